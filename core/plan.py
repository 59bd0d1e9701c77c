"""From what is probable to what to do: ordered steps, what to avoid, which cautions.

In: report, geometry, exposure, diagnosis. Out: a frozen ``Plan`` of remedy ids with the person's own amounts. The
rule that no exposure is raised while the geometry is bad or unmeasured is enforced here and only here (``Plan``
cannot be built past it). This file must never know words.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from core.diagnosis import Diagnosis, geometry_known_good
from core.exposure import Exposure
from core.geometry import Geometry, TooFew
from core.knowledge import Knowledge
from core.report import Position, Report

MOST_STEPS = 4
"""A plan longer than this is not followed; the rest comes after the next print."""


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """One thing to do.

    Attributes:
        id: A remedy.
        cause: The cause it is for, if one.
        probability: Of that cause.
        amount: Key under ``plan.amounts`` for the sentence with the person's own amounts, if any.
        values: Values for the amount's sentence.
        instead: Whether that sentence stands in place of the remedy's own words, not before them.
    """

    id: str
    cause: str | None = None
    probability: float = 0.0
    amount: str | None = None
    values: Mapping[str, object] = field(default_factory=dict)
    instead: bool = False


@dataclass(frozen=True, slots=True)
class Avoidance:
    """One thing not to do: an id under ``avoid``, and the key and values of its reason."""

    id: str
    reason: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Ordered steps, first one first; what to avoid; caution ids in the order of the data."""

    steps: tuple[PlannedStep, ...]
    avoid: tuple[Avoidance, ...]
    cautions: tuple[str, ...]


def _known_good(geometry: Geometry | TooFew | None, knowledge: Knowledge) -> bool:
    return isinstance(geometry, Geometry) and geometry_known_good(geometry, knowledge)


def make_plan(
    report: Report,
    geometry: Geometry | TooFew | None,
    exposure: Exposure,
    diagnosis: Diagnosis,
    knowledge: Knowledge,
) -> Plan:
    """Order the remedies of the probable causes, size them, and say what not to do.

    Mechanical before exposure before model before machine where probabilities are close; always mechanical before
    exposure; at most ``MOST_STEPS`` steps, one change per print.
    """
    chosen = _remedies(report, geometry, diagnosis, knowledge)
    allowed = _without_raising(chosen, geometry, knowledge)
    sized = tuple(_size(step, report, geometry, exposure, knowledge) for step in allowed[:MOST_STEPS])
    steps = tuple(_mind_the_mirror(step, diagnosis) for step in sized)
    avoid = tuple(_avoid(report, geometry, exposure, steps, knowledge))
    return Plan(steps=steps, avoid=avoid, cautions=_cautions(steps, diagnosis, knowledge))


def _without_raising(
    steps: Iterable[PlannedStep], geometry: Geometry | TooFew | None, knowledge: Knowledge
) -> tuple[PlannedStep, ...]:
    """Withhold every exposure increase unless the geometry is known good: the one place where this law is kept.

    What would make the geometry known stands in the place of what was withheld, unless the plan already sees to it.
    """
    kept: list[PlannedStep] = []
    good = _known_good(geometry, knowledge)
    for step in steps:
        if good or not knowledge.remedies[step.id].raises_exposure:
            kept.append(step)
        elif all(knowledge.remedies[other.id].kind not in {"check", "mechanical"} for other in kept):
            kept.append(PlannedStep("measure_coupons"))
    return tuple(kept)


# ---- which remedies, in which order ---------------------------------------------------------------


def _remedies(
    report: Report, geometry: Geometry | TooFew | None, diagnosis: Diagnosis, knowledge: Knowledge
) -> list[PlannedStep]:
    steps: list[PlannedStep] = []
    probable = _probable(diagnosis, knowledge)
    doubtful = isinstance(geometry, Geometry) and geometry.suspect is not None
    if doubtful or _measure_first(geometry, diagnosis, knowledge):
        steps.append(PlannedStep("measure_coupons"))
        # A guess about the plate's geometry is not acted upon before it is measured.
        geometric = knowledge.remedies["measure_coupons"].causes
        probable = [(cause, probability) for cause, probability in probable if cause not in geometric]
    for cause, probability in probable:
        remedy = _remedy_for(cause, knowledge)
        if remedy is None or any(step.id == remedy for step in steps) or _waits(remedy, geometry, steps):
            continue
        steps.append(PlannedStep(remedy, cause, probability))
    measured = isinstance(geometry, Geometry) and not doubtful
    if measured and _burn_in_inflated(report, knowledge) and all(step.id != "shorten_burn_in" for step in steps):
        # The cure for the old fault becomes the next one unless it is taken back after the plate is right.
        steps = steps[: MOST_STEPS - 1]
        steps.append(PlannedStep("shorten_burn_in", "burn_in_long", _probability(diagnosis, "burn_in_long")))
    return steps


def _waits(remedy: str, geometry: Geometry | TooFew | None, steps: list[PlannedStep]) -> bool:
    """Say whether a move of the start has to wait: levelling changes it, so it is read off the next set of coupons."""
    if remedy not in {"start_further", "start_closer"}:
        return False
    if any(step.id == "level_plate" for step in steps):
        return True
    return isinstance(geometry, Geometry) and remedy != f"start_{geometry.move_start.direction}"


def _probable(diagnosis: Diagnosis, knowledge: Knowledge) -> list[tuple[str, float]]:
    """Causes worth a step, in the order in which to act."""
    if diagnosis.status in {"no_fault", "insufficient"}:
        return []
    least = knowledge.norm("step_probability")
    kept = [(cause.id, cause.probability) for cause in diagnosis.causes if cause.probability >= least]
    if not kept and diagnosis.status == "diagnosed":
        kept = [(diagnosis.causes[0].id, diagnosis.causes[0].probability)]
    preference = knowledge.norm("kind_preference")
    rank = {"mechanical": 0, "exposure": 1, "model": 2, "machine": 3}

    def urgency(entry: tuple[str, float]) -> tuple[float, float]:
        return (rank[knowledge.causes[entry[0]].kind] * preference / 3 - entry[1], -entry[1])

    kept.sort(key=urgency)
    mechanical = [entry for entry in kept if knowledge.causes[entry[0]].kind == "mechanical"]
    exposure = [entry for entry in kept if knowledge.causes[entry[0]].kind == "exposure"]
    both = iter([*mechanical, *exposure])
    kinds = {"mechanical", "exposure"}
    # Exposure tuned on a crooked plate is tuned to the wrong thing: within their own places, mechanical goes first.
    return [next(both) if knowledge.causes[entry[0]].kind in kinds else entry for entry in kept]


def _measure_first(geometry: Geometry | TooFew | None, diagnosis: Diagnosis, knowledge: Knowledge) -> bool:
    if isinstance(geometry, Geometry):
        return False
    if isinstance(geometry, TooFew) or diagnosis.status in {"insufficient", "undecided"}:
        return True
    if diagnosis.causes[0].probability < knowledge.norm("probable"):
        return True
    geometric = knowledge.remedies["measure_coupons"].causes
    # At its prior a tilt is no more likely than in any printer; what was seen has to speak for it.
    least = knowledge.norm("measure_first_probability")
    return any(cause.probability >= least for cause in diagnosis.causes if cause.id in geometric)


def _remedy_for(cause: str, knowledge: Knowledge) -> str | None:
    for name, remedy in knowledge.remedies.items():
        if cause in remedy.causes and remedy.kind != "check":
            return name
    return None


def _probability(diagnosis: Diagnosis, cause: str) -> float:
    return next(ranked.probability for ranked in diagnosis.causes if ranked.id == cause)


def _burn_in_inflated(report: Report, knowledge: Knowledge) -> bool:
    settings = report.settings
    if settings.raised_exposure:
        return True
    return (settings.burn_in_s or 0) >= knowledge.norm("burn_in_s_long") or (
        settings.burn_in_layers or 0
    ) >= knowledge.norm("burn_in_layers_many")


# ---- how much -------------------------------------------------------------------------------------

Sized = tuple[str, Mapping[str, object]] | None
"""Key under ``plan.amounts`` and its values; ``None`` where there is nothing to compute from."""


def _size(
    step: PlannedStep,
    report: Report,
    geometry: Geometry | TooFew | None,
    exposure: Exposure,
    knowledge: Knowledge,
) -> PlannedStep:
    """Add the person's own amounts to a step."""
    sized: Sized = None
    if step.id in {"shorten_burn_in", "lengthen_burn_in"}:
        sized = _burn_in_amount(step.id, report, knowledge)
    elif step.id in {"add_transition", "fewer_transition"} and exposure.dose is not None:
        sized = "transition", {"layers": exposure.dose.ramp_layers, "ratio": exposure.dose.exposure_ratio}
    elif step.id in {"lengthen_exposure", "shorten_exposure"} and exposure.layer_exposure is not None:
        sized = "exposure", {"low": exposure.layer_exposure.low, "high": exposure.layer_exposure.high}
    elif isinstance(geometry, Geometry):
        sized = _geometric_amount(step.id, geometry)
    if sized is None:
        return step
    return PlannedStep(step.id, step.cause, step.probability, *sized, instead=step.id == "measure_coupons")


def _geometric_amount(remedy: str, geometry: Geometry) -> Sized:
    if remedy == "measure_coupons" and geometry.suspect is not None:
        return "repeat_reading", {"place": geometry.suspect.position, "would_be": geometry.suspect.would_be}
    if remedy == "measure_coupons":
        return "make_sure", {"low": max(geometry.spread.low, 0.0), "high": geometry.spread.high}
    if remedy == "level_plate":
        high, low = geometry.highest, geometry.lowest
        return "level_plate", {
            "high": high,
            "low": low,
            "down": geometry.errors[high] - geometry.offset.value,
            "up": geometry.offset.value - geometry.errors[low],
        }
    if remedy in {"start_further", "start_closer"}:
        return remedy, {"distance": geometry.move_start.distance}
    if remedy == "map_crown":
        rim = "thin" if geometry.crown.value > 0 else "thick"
        move = geometry.move_start
        values = {"crown": abs(geometry.crown.value), "distance": move.distance, "direction": move.direction}
        return f"map_crown_{rim}", values
    return None


def _mind_the_mirror(step: PlannedStep, diagnosis: Diagnosis) -> PlannedStep:
    """Put the open question about left and right before a step that would turn the wrong corner."""
    if step.amount != "level_plate" or all(question.code != "mirror" for question in diagnosis.questions):
        return step
    return replace(step, amount="level_plate_mirror")


def _burn_in_amount(remedy: str, report: Report, knowledge: Knowledge) -> Sized:
    """One step towards the usual band: never past it, and only one of layers and seconds at a time."""
    layers, lit = report.settings.burn_in_layers, report.settings.burn_in_s
    usual_layers, usual_s = knowledge.norm("burn_in_layers_high"), knowledge.norm("burn_in_s_high")
    change = knowledge.norm("burn_in_step_share")
    if remedy == "lengthen_burn_in":
        if lit is None or lit >= usual_s:
            return None
        # Below the usual band its lower edge is the next step.
        lowest = knowledge.norm("burn_in_s_low")
        return "burn_in_s", {"old": lit, "new": min(max(lit * (1 + change), lowest), usual_s)}
    if layers is not None and layers > usual_layers and layers / usual_layers >= (lit or 0) / usual_s:
        return "burn_in_layers", {"old": layers, "new": int(usual_layers)}
    if lit is not None:
        return "burn_in_s", {"old": lit, "new": max(lit * (1 - change), min(usual_s, lit * (1 - change / 2)))}
    return None


# ---- what not to do -------------------------------------------------------------------------------


def _avoid(
    report: Report,
    geometry: Geometry | TooFew | None,
    exposure: Exposure,
    steps: tuple[PlannedStep, ...],
    knowledge: Knowledge,
) -> Iterable[Avoidance]:
    ids = {step.id for step in steps}
    if not _known_good(geometry, knowledge):
        yield _no_longer_exposure(report, geometry, exposure, knowledge)
    elif "shorten_burn_in" in ids:
        yield Avoidance("longer_exposure", "already_long")
    if "level_plate" in ids:
        yield Avoidance("mirrored_plate", "facing")
        yield Avoidance("start_before_level", "moves")
    if len(steps) > 1:
        yield Avoidance("two_changes", "cannot_tell")


def _no_longer_exposure(
    report: Report, geometry: Geometry | TooFew | None, exposure: Exposure, knowledge: Knowledge
) -> Avoidance:
    if not isinstance(geometry, Geometry):
        return Avoidance("longer_exposure", "unmeasured")
    if geometry.suspect is not None:
        return Avoidance("longer_exposure", "doubtful")
    # A corner whose coupon was lost is only estimated: the argument rests on what was measured.
    far = max(geometry.measured, key=lambda position: geometry.errors[position])
    close = min(geometry.measured, key=lambda position: geometry.errors[position])
    gap, squeeze = geometry.errors[far], -geometry.errors[close]
    out = knowledge.norm("offset_ok_mm") / 2
    if max(gap, squeeze) < out:
        return Avoidance(
            "longer_exposure", "unsure", {"low": max(geometry.spread.low, 0), "high": geometry.spread.high}
        )
    if gap < out:
        return Avoidance("longer_exposure", "squeezed", {"place": close, "out": squeeze})
    return _gap_argument(report, far, gap, exposure)


def _gap_argument(report: Report, far: Position, gap: float, exposure: Exposure) -> Avoidance:
    """Argue with the person's own gap: the seconds it would take, or how little twice the time buys."""
    furthest, gain = exposure.furthest, exposure.doubling_gain
    if exposure.resin_known and furthest is not None and furthest.reached != "yes":
        needed = furthest.time_needed
        bridge = {"place": furthest.position, "gap": furthest.gap.value, "low": needed.low, "high": needed.high}
        return Avoidance("longer_exposure", "gap_with_need", bridge)
    values: dict[str, object] = {"place": far, "out": gap, "low": gain.low, "high": gain.high}
    if report.settings.burn_in_s is None:
        return Avoidance("longer_exposure", "gap", values)
    seconds = report.settings.burn_in_s
    return Avoidance("longer_exposure", "gap_with_time", values | {"old": seconds, "new": 2 * seconds})


# ---- cautions -------------------------------------------------------------------------------------


def _cautions(steps: tuple[PlannedStep, ...], diagnosis: Diagnosis, knowledge: Knowledge) -> tuple[str, ...]:
    """Every caution that a step or the next check calls for, in the order of the data."""
    wanted = {caution for step in steps for caution in knowledge.remedies[step.id].cautions}
    for check in diagnosis.next_checks:
        wanted.update(knowledge.checks[check.id].cautions)
    ordered = sorted(knowledge.cautions, key=lambda name: knowledge.cautions[name].order)
    return tuple(name for name in ordered if name in wanted)
