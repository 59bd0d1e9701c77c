"""What a person told us, once it has been understood: the Report and its parts.

In: values that ``intake`` has already turned into millimetres, seconds and degrees Celsius. Out: frozen, validated
models, the JSON contract of a report. This file must never know how people spell things, what a finding means, or
what follows.
"""

from collections.abc import Iterator
from enum import StrEnum
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, SerializerFunctionWrapHandler, model_serializer


class Position(StrEnum):
    """Where a coupon stands, on the plate as it hangs in the printer, seen by a person facing the printer."""

    FRONT_LEFT = "front_left"
    FRONT_RIGHT = "front_right"
    BACK_LEFT = "back_left"
    BACK_RIGHT = "back_right"
    CENTRE = "centre"

    @property
    def x(self) -> int:
        """-1 left, +1 right, 0 centre."""
        return {"left": -1, "right": 1}.get(self.value.rpartition("_")[2], 0)

    @property
    def y(self) -> int:
        """-1 front, +1 back, 0 centre."""
        return {"front": -1, "back": 1}.get(self.value.partition("_")[0], 0)


CORNERS = (Position.FRONT_LEFT, Position.FRONT_RIGHT, Position.BACK_LEFT, Position.BACK_RIGHT)
POSITIONS = (*CORNERS, Position.CENTRE)
"""The stated order in which five values are read."""

MOST_REPEATS = 20
THINNEST_MM, THICKEST_MM = 0.05, 5.0

Identifier = Annotated[str, Field(pattern=r"^[a-z][a-z_]{0,39}$")]
Thickness = Annotated[float, Field(ge=THINNEST_MM, le=THICKEST_MM, allow_inf_nan=False)]
Coupon = Annotated[tuple[Thickness, ...], Field(max_length=MOST_REPEATS)] | None
"""Repeats of one spot in mm; ``()`` nothing given; ``None`` the coupon did not stick or was lost."""


class Part(BaseModel):
    """Base of all parts: frozen, unknown keys refused, and nothing that was not given is written out."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    @model_serializer(mode="wrap")
    def _leave_out_what_was_not_given(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        kept = self.model_fields_set
        return {key: value for key, value in write(self).items() if key in kept}


class Readings(Part):
    """Five coupon thicknesses in mm."""

    nominal_mm: float = Field(default=1.0, ge=0.3, le=3.0)
    front_left: Coupon = ()
    front_right: Coupon = ()
    back_left: Coupon = ()
    back_right: Coupon = ()
    centre: Coupon = ()

    def at(self, position: Position) -> tuple[float, ...] | None:
        """Return the repeats at a position: ``()`` not given, ``None`` lost."""
        repeats: tuple[float, ...] | None = getattr(self, position.value)
        return repeats

    def measured(self) -> Iterator[tuple[Position, tuple[float, ...]]]:
        """Yield position and repeats wherever there is at least one value."""
        for position in POSITIONS:
            repeats = self.at(position)
            if repeats:
                yield position, repeats

    @property
    def missing(self) -> tuple[Position, ...]:
        """Positions without a value, lost or not given."""
        return tuple(position for position in POSITIONS if not self.at(position))

    @property
    def lost(self) -> tuple[Position, ...]:
        """Positions whose coupon did not stick or was lost."""
        return tuple(position for position in POSITIONS if self.at(position) is None)


class Seen(Part):
    """One finding and the place where it shows."""

    id: Identifier
    where: Identifier = "unknown"


class Settings(Part):
    """Exposure and motion settings of the print that failed."""

    layer_height_mm: float | None = Field(default=None, ge=0.005, le=0.3)
    burn_in_layers: int | None = Field(default=None, ge=0, le=200)
    burn_in_s: float | None = Field(default=None, gt=0, le=600)
    transition_layers: int | None = Field(default=None, ge=0, le=200)
    exposure_s: float | None = Field(default=None, gt=0, le=120)
    rest_s: float | None = Field(default=None, ge=0, le=120)
    lift_mm_per_min: float | None = Field(default=None, gt=0, le=2000)
    raised_exposure: bool | None = None


class Raft(Part):
    """The raft or brim under the print; thickness as sliced and as measured."""

    area_mm2: float | None = Field(default=None, gt=0, le=200_000)
    style: Literal["solid", "open", "unknown"] = "unknown"
    sliced_mm: float | None = Field(default=None, gt=0, le=10)
    measured_mm: float | None = Field(default=None, gt=0, le=10)


class Machine(Part):
    """What matters of the printer for levelling it."""

    plate_width_mm: float | None = Field(default=None, ge=40, le=500)
    plate_depth_mm: float | None = Field(default=None, ge=30, le=500)
    adjusters: Literal["ball_joint", "four_screws", "three_screws", "two_screws", "none", "unknown"] = "unknown"
    screw_thread: str | None = Field(default=None, pattern=r"^M\d{1,2}(\.\d)?(x\d(\.\d{1,2})?)?$")
    homing: Literal["switch", "probe", "unknown"] = "unknown"


class Resin(Part):
    """Resin data, where the person has them."""

    temperature_c: float | None = Field(default=None, ge=-10, le=60)
    viscosity_pa_s: float | None = Field(default=None, gt=0, le=50)
    penetration_depth_mm: float | None = Field(default=None, gt=0, le=2)
    critical_time_s: float | None = Field(default=None, gt=0, le=60)


class Report(Part):
    """Everything one person told us about one failing print."""

    readings: Readings | None = None
    findings: tuple[Seen, ...] = Field(default=(), max_length=60)
    absent: tuple[Identifier, ...] = Field(default=(), max_length=60)
    settings: Settings = Settings()
    raft: Raft = Raft()
    machine: Machine = Machine()
    resin: Resin = Resin()
