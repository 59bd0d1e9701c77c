"""The values exposure produces: what settings do to resin, each with its interval and its assumptions.

Lengths mm, times s, masses g, volumes ml. Nothing here computes beyond looking at its own fields.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from core.report import Position

LayerKind = Literal["burn_in", "transition", "normal"]
Reach = Literal["yes", "perhaps", "no"]
"""``yes`` and ``no`` hold over the whole interval; ``perhaps`` is everything between."""


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something taken for granted: a key under ``assumptions`` in the words, and the values for that text."""

    key: str
    values: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with the interval that its unknowns leave open.

    Attributes:
        value: At the middle of every input.
        low, high: Least and greatest value over the stated ranges of all inputs. Equal to ``value`` where
            nothing was uncertain.
        unit: ``mm``, ``s``, ``g``, ``ml``, ``Pa·s``, ``N``, ``mm²``, or ``1`` for ratios and counts.
        assumptions: What was taken for granted on the way, in the order it came in.
    """

    value: float
    low: float
    high: float
    unit: str
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bridge:
    """Whether the burn-in can reach the plate at one coupon's place.

    Attributes:
        gap: What the first layer has to span there: layer height plus the error; 0 where the plate touches.
        reached: ``None`` where no burn-in exposure was given.
        short_by: Gap minus cure depth of the burn-in; negative where it reaches. ``None`` likewise.
        time_needed: Burn-in exposure that would just reach the plate.
    """

    position: Position
    gap: Quantity
    reached: Reach | None
    short_by: Quantity | None
    time_needed: Quantity


@dataclass(frozen=True, slots=True)
class LayerDose:
    """One layer, counted from the plate.

    Attributes:
        exposure_s: Its own exposure.
        dose_s: Everything its film side receives, its own exposure and what later layers let through, as
            seconds of direct light. ``low_s`` and ``high_s`` over the stated ranges.
    """

    kind: LayerKind
    exposure_s: float
    dose_s: float
    low_s: float
    high_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseProfile:
    """Dose through the layer stack, from the plate outwards.

    Attributes:
        layers: All burn-in and transition layers and the first normal ones; the print is taken to go on from
            there.
        exposure_ratio: Burn-in over normal exposure.
        step: Dose of the last burn-in layer over the dose of a normal layer: the hard zone's edge.
        ramp_step: Exposure ratio of the last step of the ramp, which is its steepest.
        ramp_layers: Fewest transition layers that keep the mean step of the ramp within the norm.
    """

    layers: tuple[LayerDose, ...]
    exposure_ratio: float
    step: Quantity
    ramp_step: float
    ramp_layers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """How long resin under the raft needs to flow out, down to one layer height.

    Attributes:
        solid: Raft as one unbroken disc of its area. An upper bound: film and plate give way.
        open: The same area in small cells under the same total force.
        rest_enough: Whether the given rest covers the raft as it is; ``None`` where rest or style is not
            known.
    """

    solid: Quantity
    open: Quantity
    rest_enough: Reach | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wear:
    """What burn-in and raft cost.

    Attributes:
        burn_in_lit: Time the screen is lit for burn-in and transition layers.
        equal_normal_layers: The same light as a number of normal layers.
        extra_volume, extra_mass: Resin in the raft beyond what it was sliced to, or beyond a usual raft.
    """

    burn_in_lit: Quantity | None = None
    equal_normal_layers: Quantity | None = None
    extra_volume: Quantity | None = None
    extra_mass: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """Everything settings, raft and resin tell, as far as they were given.

    Attributes:
        resin_known: Whether penetration depth and critical time were both given. Only then may anything be
            concluded about the normal exposure.
        burn_in_depth: Cure depth of one burn-in exposure.
        tolerated_error: How far too far the plate may start before the burn-in no longer reaches it.
        doubling_gain: What doubling any exposure adds to the cure depth.
        normal_depth: Cure depth of one normal exposure.
        layer_exposure: Normal exposure that the layer height needs; only where ``resin_known``.
        bridges: One per coupon place, in the order of ``POSITIONS``; empty without geometry.
    """

    penetration_depth: Quantity
    critical_time: Quantity
    layer_height: Quantity
    resin_known: bool
    doubling_gain: Quantity
    burn_in_depth: Quantity | None = None
    tolerated_error: Quantity | None = None
    normal_depth: Quantity | None = None
    layer_exposure: Quantity | None = None
    bridges: tuple[Bridge, ...] = ()
    dose: DoseProfile | None = None
    settling: Settling | None = None
    wear: Wear | None = None

    @property
    def furthest(self) -> Bridge | None:
        """The place with the widest gap; the first of equals."""
        return max(self.bridges, key=lambda bridge: bridge.gap.value, default=None)

    @property
    def out_of_reach(self) -> tuple[Bridge, ...]:
        """Places that the burn-in surely does not reach, widest gap first."""
        missed = [bridge for bridge in self.bridges if bridge.reached == "no"]
        return tuple(sorted(missed, key=lambda bridge: -bridge.gap.value))
