"""The Verdict: the JSON contract of an answer, with its words filled in."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

from core.geometry.model import Band
from core.report import Position


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
