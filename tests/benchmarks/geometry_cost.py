"""Cost of one geometry: ``python tests/benchmarks/geometry_cost.py`` (with the project's root on PYTHONPATH).

Prints median and 99th percentile of a verdict's geometry in processor time of its thread, which other work on the
machine disturbs less than the clock on the wall, and how much slower a plain loop over trials is. The loop runs
fewer trials and is scaled up in proportion, since its cost is so many times the cost of one trial.
"""

import math
import random
import time
from collections.abc import Callable

from core.geometry import Geometry, compare, measure
from core.geometry.measurement import DRAWS
from core.knowledge import Knowledge, load_knowledge
from core.report import Readings

SETS = {
    "one reading each": Readings(
        front_left=(0.98,), front_right=(1.02,), back_left=(1.31,), back_right=(1.28,), centre=(1.10,)
    ),
    "repeats of each": Readings(
        front_left=(0.98, 0.99, 0.98),
        front_right=(1.02, 1.02, 1.03),
        back_left=(1.31, 1.30, 1.31),
        back_right=(1.28, 1.28, 1.29),
        centre=(1.10, 1.11, 1.10),
    ),
    "one corner lost": Readings(
        front_left=None, front_right=(1.02,), back_left=(1.31,), back_right=(1.28,), centre=(1.10,)
    ),
}
RUNS = 200
LOOP_TRIALS = 4000


def timed(work: Callable[[], object], runs: int = RUNS) -> tuple[float, float]:
    """Return median and 99th percentile of the processor time of a call, ms."""
    work()
    times = []
    for _ in range(runs):
        start = time.thread_time()
        work()
        times.append(1e3 * (time.thread_time() - start))
    times.sort()
    return times[len(times) // 2], times[min(len(times) - 1, math.ceil(0.99 * len(times)))]


def loop(readings: Readings, knowledge: Knowledge, trials: int) -> list[float]:
    """Propagate the same budget one trial at a time, with the standard library's generator."""
    rng = random.Random(1)  # noqa: S311 - trials, not secrets
    values = [group[0] for _, group in readings.measured()]
    step = knowledge.norm("caliper_resolution_mm") / 2
    seating = knowledge.norm("seating_limit_mm")
    s = knowledge.norm("repeatability_s_mm")
    caliper, cure = knowledge.norm("caliper_limit_mm"), knowledge.norm("cure_shrinkage_limit_mm")
    results: list[list[float]] = [[] for _ in range(6)]
    for _ in range(trials):
        shared = rng.uniform(-caliper, caliper) + rng.uniform(-cure, cure)
        fl, fr, bl, br, c = (
            v + rng.uniform(-step, step) + rng.uniform(-seating, seating) + rng.gauss(0, s) for v in values
        )
        mean = (fl + fr + bl + br) / 4
        trial = (
            max(fl, fr, bl, br) - min(fl, fr, bl, br),
            mean + shared,
            (fr + br - fl - bl) / 4,
            (bl + br - fl - fr) / 4,
            (fl + br - fr - bl) / 4,
            c - mean,
        )
        for column, value in zip(results, trial, strict=True):
            column.append(value)
    ends = []
    for column in results:
        column.sort()
        ends += [column[int(0.025 * trials)], column[int(0.975 * trials)]]
    return ends


def main() -> None:
    """Print the costs."""
    knowledge = load_knowledge()
    for name, readings in SETS.items():
        median, slow = timed(lambda readings=readings: measure(readings, knowledge))
        print(f"measure, {DRAWS} trials, {name}: median {median:.1f} ms, p99 {slow:.1f} ms")
    before, after = (measure(SETS[name], knowledge) for name in ("one reading each", "one corner lost"))
    assert isinstance(before, Geometry)
    assert isinstance(after, Geometry)
    median, slow = timed(lambda: compare(before, after), runs=50)
    print(f"compare: median {median:.1f} ms, p99 {slow:.1f} ms")
    first = SETS["one reading each"]
    ours, _ = timed(lambda: measure(first, knowledge))
    plain, _ = timed(lambda: loop(first, knowledge, LOOP_TRIALS), runs=20)
    scaled = plain * DRAWS / LOOP_TRIALS
    print(
        f"plain loop: {plain:.1f} ms for {LOOP_TRIALS} trials, {scaled:.0f} ms scaled to {DRAWS}: "
        f"{scaled / ours:.0f} times ours"
    )


if __name__ == "__main__":
    main()
