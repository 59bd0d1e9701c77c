"""The Verdict: the JSON contract of an answer, with its words filled in.

In: everything that was found and planned, as data. Out: a frozen pydantic model that a program can read and a person
too. This file must never decide anything: it says what others found.
"""

from collections.abc import Iterator, Mapping
from typing import Literal

from pydantic import BaseModel, ConfigDict

from core.diagnosis import (
    Diagnosis,
    RankedCause,
    ask_in_words,
    explain_in_words,
    explain_next,
)
from core.diagnosis import NextCheck as NextStep
from core.exposure import Exposure, to_json
from core.geometry import Band, Estimate, Geometry, TooFew
from core.knowledge import Knowledge
from core.plan import Plan, PlannedStep
from core.report import POSITIONS, Position, Report
from core.words import Words
from core.words.numbers import roughly


class Model(BaseModel):
    """Base: frozen, nothing but what is named."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Interval(Model):
    """A value and its 95 % coverage interval."""

    value: float
    low: float
    high: float


class Move(Model):
    """A physical motion of the start of the print."""

    distance: float
    direction: Literal["closer", "further"]


class GeometryVerdict(Model):
    """What the coupons tell, mm."""

    offset_mm: Interval
    spread_mm: Interval
    tilt_x_mm: Interval
    tilt_y_mm: Interval
    crown_mm: Interval
    twist_mm: Interval
    band: Band
    band_probability: dict[Band, float]
    suspect: Position | None
    move_start_mm: Move


class EvidenceLine(Model):
    """One piece of evidence: what it is about, the log-odds it moved, and why in words."""

    about: str
    log_odds: float
    words: str


class CauseVerdict(Model):
    """One cause with its posterior probability and reasons, strongest first."""

    id: str
    probability: float
    evidence: tuple[EvidenceLine, ...]


class Step(Model):
    """One thing to do, and how to see that it worked."""

    id: str
    cause: str | None
    words: str
    worked_if: str


class Avoid(Model):
    """One thing not to do, and why."""

    id: str
    why: str


class NextCheck(Model):
    """The best next thing to learn, with its expected information gain."""

    id: str
    gain_bits: float
    words: str


class CautionLine(Model):
    """One caution."""

    id: str
    words: str


class Verdict(Model):
    """One answer, whole."""

    status: Literal["no_fault", "diagnosed", "undecided", "insufficient"]
    summary: str
    geometry: GeometryVerdict | None
    causes: tuple[CauseVerdict, ...]
    steps: tuple[Step, ...]
    avoid: tuple[Avoid, ...]
    next_check: NextCheck | None
    questions: tuple[str, ...]
    exposure: dict[str, object]
    cautions: tuple[CautionLine, ...]
    notes: tuple[str, ...] = ()
    language: str = "en"
    knowledge: str = ""


def give_verdict(
    report: Report,
    geometry: Geometry | TooFew | None,
    exposure: Exposure,
    diagnosis: Diagnosis,
    plan: Plan,
    knowledge: Knowledge,
    words: Words,
) -> Verdict:
    """Put everything that was found into words, conclusion first."""
    check = _worth_it(diagnosis, knowledge)
    return Verdict(
        status=diagnosis.status,
        summary=summarise(geometry, diagnosis, plan, knowledge, words),
        geometry=_geometry(geometry) if isinstance(geometry, Geometry) else None,
        causes=tuple(_cause(cause, words) for cause in diagnosis.causes),
        steps=tuple(_step(step, words) for step in plan.steps),
        avoid=tuple(
            Avoid(id=item.id, why=words.say(f"avoid.{item.id}.{item.reason}", **spelled(item.values, words)))
            for item in plan.avoid
        ),
        next_check=None
        if check is None
        else NextCheck(id=check.id, gain_bits=round(check.gain_bits, 4), words=explain_next(check, words)),
        questions=tuple(ask_in_words(question, words) for question in diagnosis.questions),
        exposure=to_json(exposure, words),
        cautions=tuple(CautionLine(id=name, words=words.say(f"cautions.{name}")) for name in plan.cautions),
        notes=tuple(_notes(report, geometry, words)),
        language=words.language,
        knowledge=knowledge.version,
    )


def _worth_it(diagnosis: Diagnosis, knowledge: Knowledge) -> NextStep | None:
    """Return the best next check, unless the first cause is plain and stays first whatever it shows."""
    if not diagnosis.next_checks:
        return None
    best = diagnosis.next_checks[0]
    stays = "first_if_seen" in best.values and best.values["first_if_seen"] == best.values.get("first_if_absent")
    plain = diagnosis.causes[0].probability >= knowledge.norm("band_sure_probability")
    return None if stays and plain else best


def spelled(values: Mapping[str, object], words: Words) -> dict[str, object]:
    """Return ``values`` with positions and directions as words; numbers stay numbers for the template to format."""
    return {
        key: words.say(f"positions.{value.value}")
        if isinstance(value, Position)
        else words.say(f"plan.directions.{value}")
        if key == "direction"
        else value
        for key, value in values.items()
    }


def _geometry(geometry: Geometry) -> GeometryVerdict:
    def interval(estimate: Estimate) -> Interval:
        value, low, high = (round(number, 4) + 0.0 for number in (estimate.value, estimate.low, estimate.high))
        return Interval(value=value, low=low, high=high)

    return GeometryVerdict(
        offset_mm=interval(geometry.offset),
        spread_mm=interval(geometry.spread),
        tilt_x_mm=interval(geometry.tilt_x),
        tilt_y_mm=interval(geometry.tilt_y),
        crown_mm=interval(geometry.crown),
        twist_mm=interval(geometry.twist),
        band=geometry.band,
        band_probability={band: round(p, 6) for band, p in geometry.band_probability.items()},
        suspect=geometry.suspect.position if geometry.suspect else None,
        move_start_mm=Move(distance=round(geometry.move_start.distance, 4), direction=geometry.move_start.direction),
    )


def _cause(cause: RankedCause, words: Words) -> CauseVerdict:
    return CauseVerdict(
        id=cause.id,
        probability=round(cause.probability, 6),
        evidence=tuple(
            EvidenceLine(about=item.about, log_odds=round(item.log_odds, 4), words=explain_in_words(item, words))
            for item in cause.evidence
        ),
    )


def _step(step: PlannedStep, words: Words) -> Step:
    worked_if = words.say(f"remedies.{step.id}.worked_if")
    if step.amount is None:
        text = words.say(f"remedies.{step.id}.words")
    else:
        text = words.say(f"plan.amounts.{step.amount}", **spelled(step.values, words))
        if step.instead:
            worked_if = words.say(f"plan.worked_if.{step.amount}", **spelled(step.values, words))
        else:
            text = f"{text} {words.say(f'remedies.{step.id}.words')}"
    return Step(id=step.id, cause=step.cause, words=text, worked_if=worked_if)


def _notes(report: Report, geometry: Geometry | TooFew | None, words: Words) -> Iterator[str]:
    if isinstance(geometry, Geometry) and geometry.missing is not None:
        yield words.say("verdict.notes.estimated", place=words.say(f"positions.{geometry.missing.value}"))
    if report.readings is not None:
        lost = [words.say(f"positions.{position.value}") for position in report.readings.lost]
        if lost:
            yield words.say("verdict.notes.lost", places=words.listed(lost))
    if isinstance(geometry, Geometry):
        yield words.say(f"verdict.notes.repeatability_{geometry.budget.repeatability_from}")


# ---- the conclusion -------------------------------------------------------------------------------


def summarise(
    geometry: Geometry | TooFew | None, diagnosis: Diagnosis, plan: Plan, knowledge: Knowledge, words: Words
) -> str:
    """Say in one or two sentences what is most probably wrong, or what is missing to say it."""
    return " ".join(part for part in _sentences(geometry, diagnosis, plan, knowledge, words) if part)


def _sentences(
    geometry: Geometry | TooFew | None, diagnosis: Diagnosis, plan: Plan, knowledge: Knowledge, words: Words
) -> Iterator[str]:
    if isinstance(geometry, TooFew) and len(geometry.missing) == len(POSITIONS):
        yield words.say("verdict.none_stuck")
    elif isinstance(geometry, TooFew):
        missing = [words.say(f"positions.{position.value}") for position in geometry.missing]
        yield words.say("verdict.too_few", places=words.listed(missing))
    elif geometry is not None and geometry.suspect is None:
        yield _plate(geometry, knowledge, words)
    if isinstance(geometry, Geometry) and geometry.suspect is not None:
        suspect = geometry.suspect
        yield words.say(
            f"verdict.suspect_{suspect.reason}",
            place=words.say(f"positions.{suspect.position.value}"),
            read=geometry.measured.get(suspect.position, geometry.nominal),
            would_be=suspect.would_be,
        )
    elif diagnosis.status == "no_fault":
        yield words.say("verdict.no_fault")
    elif diagnosis.status != "insufficient":
        yield _leading(isinstance(geometry, Geometry), diagnosis, knowledge, words)
    elif geometry is None:
        yield words.say("verdict.insufficient")
    if (
        geometry is None
        and diagnosis.status != "insufficient"
        and plan.steps[:1]
        and plan.steps[0].id == "measure_coupons"
    ):
        yield words.say("verdict.measure_first")


def _leading(measured: bool, diagnosis: Diagnosis, knowledge: Knowledge, words: Words) -> str:  # noqa: FBT001 - one caller
    """Name the cause or causes that lead, once: what the plate's own sentence has said is not said again."""
    top, second = diagnosis.causes[:2]
    values = {
        "name": words.say(f"causes.{top.id}.name"),
        "probability": roughly(top.probability, words),
        "second": words.say(f"causes.{second.id}.name"),
        "second_probability": roughly(second.probability, words),
    }
    said = measured and top.id in knowledge.remedies["measure_coupons"].causes
    if diagnosis.status == "undecided":
        return words.say("verdict.undecided", **values)
    also = second.probability >= knowledge.norm("probable")
    if said:
        return words.say("verdict.also", **values) if also else ""
    return words.say("verdict.diagnosed_two" if also else "verdict.diagnosed", **values)


def _plate(geometry: Geometry, knowledge: Knowledge, words: Words) -> str:
    """One sentence about the plate: its band, and its height where that is out."""
    good = knowledge.norm("spread_good_mm")
    values = {
        "spread": geometry.spread.value,
        "low": max(geometry.spread.low, 0.0),
        "high": geometry.spread.high,
        "good": good,
        "thin": words.say(f"positions.{geometry.lowest.value}"),
        "thick": words.say(f"positions.{geometry.highest.value}"),
    }
    sure = knowledge.norm("band_sure_probability")
    certain = geometry.band_probability[geometry.band] >= sure
    text = words.say(f"verdict.plate.{geometry.band}{'' if certain else '_borderline'}", **values)
    offset = geometry.offset.value
    if abs(offset) > knowledge.norm("offset_ok_mm"):
        side = "close" if offset < 0 else "far"
        text = f"{text} {words.say(f'verdict.height.{side}', distance=abs(offset))}"
    crown = geometry.crown
    if abs(crown.value) > knowledge.norm("crown_notable_mm") and not crown.low <= 0 <= crown.high:
        way = "thick" if crown.value > 0 else "thin"
        text = f"{text} {words.say(f'verdict.crown.{way}', crown=abs(crown.value))}"
    return text
