"""An invented club's ended cases, drawn from a seed and stored whole; verdicts are made up, not judged, to be quick."""

from datetime import UTC, datetime, timedelta

import numpy as np

from core.cases.bulk import WholeCase
from core.cases.rows import OTHER, CaseKey, Judgement, Opinion
from core.knowledge import load_knowledge
from core.report import Machine, Readings, Report, Settings
from core.verdict import CauseVerdict, GeometryVerdict, Interval, Move, Step, Verdict

FIRST = datetime(2025, 1, 1, tzinfo=UTC)
KNOWLEDGE = load_knowledge()
CAUSES = tuple(KNOWLEDGE.causes)
REMEDY = {
    cause: next(name for name, one in KNOWLEDGE.remedies.items() if cause in one.causes and one.kind != "check")
    for cause in CAUSES
}


def interval(value):
    return Interval(value=value, low=value - 0.05, high=value + 0.05)


def readings_of(spread):
    """Return readings of a plate that hangs lower at the back."""
    front, back = (round(1.0 - spread / 2, 3),), (round(1.0 + spread / 2, 3),)
    return Readings(front_left=front, front_right=front, back_left=back, back_right=back, centre=(1.0,))


def verdict_of(ranked, spread=None, status="diagnosed", *, step=True):
    """Return a made-up verdict: causes with their probabilities in order, and a first step against the first."""
    geometry = None
    if spread is not None:
        flat = interval(0.0)
        geometry = GeometryVerdict(
            offset_mm=flat,
            spread_mm=interval(spread),
            tilt_x_mm=flat,
            tilt_y_mm=flat,
            crown_mm=flat,
            twist_mm=flat,
            band="good",
            band_probability={},
            suspect=None,
            move_start_mm=Move(distance=0.0, direction="closer"),
        )
    steps = ()
    if step and ranked:
        cause = ranked[0][0]
        steps = (Step(id=REMEDY[cause], cause=cause, words="Invented.", worked_if="Invented."),)
    return Verdict(
        status=status,
        summary="Invented.",
        geometry=geometry,
        causes=tuple(CauseVerdict(id=name, probability=p, evidence=()) for name, p in ranked),
        steps=(Step(id="measure_coupons", cause=None, words="Invented.", worked_if="Invented."), *steps),
        avoid=(),
        next_check=None,
        questions=(),
        exposure={},
        cautions=(),
    )


def invent(count, seed, *, community, months=12, first=FIRST):
    """Return ended cases with every kind of end, spread over months."""
    rng = np.random.default_rng(seed)
    chances = np.array([one.prior for one in KNOWLEDGE.causes.values()])
    chances /= chances.sum()
    made = []
    for number, day in enumerate(sorted(rng.uniform(0, months * 30.0, count))):
        opened = first + timedelta(days=float(day))
        true = str(rng.choice(CAUSES, p=chances))
        named = true if rng.random() < 0.6 else str(rng.choice(CAUSES, p=chances))
        p = float(rng.choice([0.3, 0.55, 0.75, 0.95]))
        others = [name for name in CAUSES if name != named][: int(rng.integers(1, 6))]
        ranked = [(named, p), *((name, p / 3) for name in others)]
        measured = rng.random() < 0.5
        spread = round(float(rng.gamma(2, 0.1)), 2) if measured else None
        report = Report(
            readings=readings_of(spread) if measured else None,
            settings=Settings(raised_exposure=[None, True, False][int(rng.integers(0, 3))]),
            machine=Machine(
                plate_width_mm=float(rng.choice([130, 200, 300])) if rng.random() < 0.7 else None,
                adjusters=str(rng.choice(["ball_joint", "four_screws", "two_screws", "unknown"])),
                homing=str(rng.choice(["switch", "probe", "unknown"])),
            ),
        )
        status = "diagnosed" if rng.random() < 0.8 else "undecided"
        judgement = Judgement(
            attempt=1, at=opened, report=report, verdict=verdict_of(ranked, spread, status, step=rng.random() < 0.9)
        )
        ended = opened + timedelta(hours=float(rng.lognormal(3.5, 1.0)))
        confirmed = rng.random() < 0.7
        cause = (OTHER if rng.random() < 0.03 else true) if confirmed else ""
        said = [cause or true, true if rng.random() < 0.7 else named]
        opinions = tuple(
            Opinion(helper=f"invented-{k}", cause=one, at=opened + timedelta(minutes=k), blind=True)
            for k, one in enumerate(said[: int(rng.integers(0, 3))])
        )
        outcome = str(
            rng.choice(["fixed_by_step", "fixed_otherwise", "not_fixed", "abandoned"], p=[0.5, 0.1, 0.2, 0.2])
        )
        made.append(
            WholeCase(
                key=CaseKey(community, "invented", f"invented-{seed}-{number}"),
                opened_at=opened,
                judgements=(judgement,),
                opinions=opinions,
                confirmations=opinions if cause else (),
                cause=cause,
                outcome=outcome,
                step=REMEDY[named if rng.random() < 0.7 else true] if outcome == "fixed_by_step" else "",
                ended_at=ended,
            )
        )
    return made
