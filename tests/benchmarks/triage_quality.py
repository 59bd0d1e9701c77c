"""How often the triage answers as a good helper would, over the invented trade cases, and what one triage costs."""

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))
sys.path.insert(1, str(Path(__file__).parents[1]))

from trade_cases import CASES, report_of, score

from core.diagnosis import diagnose
from core.engine import triage
from core.geometry import measure
from core.knowledge import load_knowledge
from core.report import POSITIONS, Readings, Report, Seen, Settings
from core.words import load_words

ROUNDS = 200
SEED = 8_12


def main():
    knowledge, words = load_knowledge(), load_words()
    scores = [score(case, triage(report_of(case), knowledge, words), knowledge) for case in CASES]
    print(f"{len(CASES)} invented cases, written from the trade by the people who wrote the program: read with care")
    for aspect, label in (
        ("first", "right cause first"),
        ("in_three", "in the first three"),
        ("first_step", "first step"),
    ):
        asked = [one for one in scores if getattr(one, aspect) is not None]
        right = sum(bool(getattr(one, aspect)) for one in asked)
        print(f"{label:<20} {right:3d} of {len(asked):3d}  {100 * right / len(asked):5.1f} %")
        wrong = [one.name for one in asked if not getattr(one, aspect)]
        print("".join(f"    not: {name}\n" for name in wrong), end="")
    print(f"harmful advice       {sum(one.harmful for one in scores):3d} of {len(scores):3d}")

    rng = np.random.default_rng(SEED)
    names = list(knowledge.findings)
    places = list(knowledge.places)
    readings = Readings(
        **{place.value: (value,) for place, value in zip(POSITIONS, (0.8, 1.2, 0.9, 1.1, 1.0), strict=True)}
    )
    geometry = measure(readings, knowledge)
    wall, processor = [], []
    for _ in range(ROUNDS):
        drawn = [str(name) for name in rng.permutation(names)]
        seen = tuple(
            Seen(id=name, where=str(rng.choice(places)) if knowledge.findings[name].placed else "unknown")
            for name in drawn[:8]
        )
        settings = Settings(burn_in_layers=8, burn_in_s=45, exposure_s=2.5, layer_height_mm=0.05)
        report = Report(readings=readings, findings=seen, absent=tuple(drawn[8:20]), settings=settings)
        start, start_cpu = time.perf_counter(), time.process_time()
        diagnose(report, geometry, knowledge)
        wall.append(1e3 * (time.perf_counter() - start))
        processor.append(1e3 * (time.process_time() - start_cpu))
    print(f"one diagnosis, 8 findings seen, 12 absent, next check included, {ROUNDS} random reports:")
    for label, times in (("wall", wall), ("processor", processor)):
        print(
            f"    {label:<10} median {np.median(times):6.1f} ms   p99 {np.percentile(times, 99):6.1f} ms (asked: < 20)"
        )


if __name__ == "__main__":
    main()
