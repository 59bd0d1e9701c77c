"""What settings, resin, raft and machine say about each cause, as log likelihood ratios with the person's own numbers.

In: Report, Knowledge. Out: ``Shift`` values, and the table of rules with the fields each needs, so that the next
check can ask for what was not told. Homing by a probe has no rule: it measures height and not angle, and rules no
tilt out. This file must never know findings, geometry or words.

A rule looks at one quantity x and says tanh((x - centre)/width), times what it may say for or against the cause:
near nothing at the centre, bounded at the ends, smooth between.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from core.diagnosis.model import Shift
from core.knowledge import Knowledge
from core.report import Report

Quantity = tuple[float, Mapping[str, object]]
"""What a rule looks at, and the values for its words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One thing that settings say about one cause.

    Attributes:
        name: Its norms are ``<name>_width``, ``<name>_for``, ``<name>_against``; its words ``<name>_for``,
            ``<name>_against``.
        cause: What it speaks about.
        about: What was looked at.
        fields: Fields of the report that it needs; asking for the missing ones makes it speak.
        quantity: The quantity in its own unit; ``None`` where it cannot be told.
        centre: Norms whose geometric mean is the centre, or none for a centre at 0.
        rising: Whether more of the quantity favours the cause.
        logarithmic: Whether the quantity counts by its ratio to the centre.
    """

    name: str
    cause: str
    about: str
    fields: tuple[str, ...]
    quantity: Callable[[Report, Knowledge], Quantity | None]
    centre: tuple[str, ...] = ()
    rising: bool = True
    logarithmic: bool = True

    def strongest(self, knowledge: Knowledge) -> tuple[float, float]:
        """Return the most it can say for and the most it can say against, the latter negative."""
        return knowledge.norm(f"{self.name}_for"), -knowledge.norm(f"{self.name}_against")

    def shift(self, report: Report, knowledge: Knowledge) -> Shift | None:
        """Return what it says about this report, or ``None`` where a field is missing."""
        looked_at = self.quantity(report, knowledge)
        if looked_at is None:
            return None
        x, values = looked_at
        centre = self._centre(knowledge)
        distance = math.log(max(x, _LEAST) / centre) if self.logarithmic else x - centre
        side = math.tanh((distance if self.rising else -distance) / knowledge.norm(f"{self.name}_width"))
        most, least = self.strongest(knowledge)
        code = f"{self.name}_{'for' if side > 0 else 'against'}"
        return Shift(self.cause, self.about, side * (most if side > 0 else -least), code, {**values, "limit": centre})

    def _centre(self, knowledge: Knowledge) -> float:
        if not self.centre:
            return 0.0
        return math.prod(knowledge.norm(name) for name in self.centre) ** (1 / len(self.centre))


_LEAST = 1e-3
"""Stands for zero where a quantity counts by its logarithm."""


def shift_by_settings(report: Report, knowledge: Knowledge) -> tuple[Shift, ...]:
    """Return what every rule says for which the fields were given."""
    shifts = (rule.shift(report, knowledge) for rule in RULES)
    return tuple(shift for shift in shifts if shift is not None)


def given_fields(report: Report) -> frozenset[str]:
    """Return the fields of settings, raft, machine and resin that were given a value."""
    parts = (report.settings, report.raft, report.machine, report.resin)
    return frozenset(
        name for part in parts for name in type(part).model_fields if getattr(part, name) not in {None, "unknown"}
    )


# ---- quantities -----------------------------------------------------------------------------------


def _load(report: Report, _knowledge: Knowledge) -> Quantity | None:
    """Layers times exposure: how much burn-in there is in all, s."""
    layers, each = report.settings.burn_in_layers, report.settings.burn_in_s
    if layers is None or each is None:
        return None
    return layers * each, {"layers": layers, "burn_in_s": each, "total_s": layers * each}


def _burn_in_alone(report: Report, _knowledge: Knowledge) -> Quantity | None:
    each = report.settings.burn_in_s
    if each is None or report.settings.burn_in_layers is not None:
        return None
    return each, {"burn_in_s": each}


def _layers_alone(report: Report, _knowledge: Knowledge) -> Quantity | None:
    layers = report.settings.burn_in_layers
    if layers is None or report.settings.burn_in_s is not None:
        return None
    return layers, {"layers": layers}


def _ratio(report: Report, _knowledge: Knowledge) -> Quantity | None:
    burn_in, normal = report.settings.burn_in_s, report.settings.exposure_s
    if burn_in is None or normal is None:
        return None
    return burn_in / normal, {"burn_in_s": burn_in, "exposure_s": normal, "ratio": burn_in / normal}


def _raised(report: Report, _knowledge: Knowledge) -> Quantity | None:
    raised = report.settings.raised_exposure
    return None if raised is None else (1.0 if raised else -1.0, {})


def _step(report: Report, knowledge: Knowledge) -> Quantity | None:
    """Ratio of exposure from one layer to the next, if the transition is even: ratio^(1/(layers + 1))."""
    layers = report.settings.transition_layers
    if layers is None:
        return None
    known = _ratio(report, knowledge)
    ratio = knowledge.norm("burn_in_ratio_usual") if known is None else known[0]
    step = ratio ** (1 / (layers + 1))
    return step, {"transition_layers": layers, "ratio": ratio, "step": step, "assumed": known is None}


def _cure_over_layer(report: Report, _knowledge: Knowledge) -> Quantity | None:
    """Cure depth of a normal layer over its height, Dp ln(t/Tc)/h (Jacobs 1992), only where resin data are given."""
    resin, settings = report.resin, report.settings
    depth, critical = resin.penetration_depth_mm, resin.critical_time_s
    time, height = settings.exposure_s, settings.layer_height_mm
    if depth is None or critical is None or time is None or height is None:
        return None
    cured = max(depth * math.log(time / critical), 0.0)
    return cured / height, {"exposure_s": time, "cured_mm": cured, "layer_mm": height, "times": cured / height}


def _temperature(report: Report, _knowledge: Knowledge) -> Quantity | None:
    warmth = report.resin.temperature_c
    return None if warmth is None else (warmth, {"temperature_c": warmth})


def _style(report: Report, _knowledge: Knowledge) -> Quantity | None:
    style = report.raft.style
    return None if style == "unknown" else (1.0 if style == "solid" else -1.0, {})


def _area(report: Report, _knowledge: Knowledge) -> Quantity | None:
    area = report.raft.area_mm2
    return None if area is None or report.raft.style == "open" else (area, {"area_cm2": area / 100})


def _lift(report: Report, _knowledge: Knowledge) -> Quantity | None:
    speed = report.settings.lift_mm_per_min
    return None if speed is None else (speed, {"speed": speed})


def _rest(report: Report, _knowledge: Knowledge) -> Quantity | None:
    rest = report.settings.rest_s
    return None if rest is None else (rest, {"rest_s": rest})


def _ball_joint(report: Report, _knowledge: Knowledge) -> Quantity | None:
    adjusters = report.machine.adjusters
    return None if adjusters == "unknown" else (1.0 if adjusters == "ball_joint" else -1.0, {})


# ---- the rules ------------------------------------------------------------------------------------

_BURN_IN = "settings.burn_in"
_TRANSITION = ("transition_layers", "burn_in_s", "exposure_s")
_CURVE = ("exposure_s", "layer_height_mm", "penetration_depth_mm", "critical_time_s")

RULES = (
    Rule(
        name="burn_in_load_long",
        cause="burn_in_long",
        about=_BURN_IN,
        fields=("burn_in_layers", "burn_in_s"),
        quantity=_load,
        centre=("burn_in_load_long",),
    ),
    Rule(
        name="burn_in_load_short",
        cause="burn_in_short",
        about=_BURN_IN,
        fields=("burn_in_layers", "burn_in_s"),
        quantity=_load,
        centre=("burn_in_load_short",),
        rising=False,
    ),
    Rule(
        name="burn_in_s_long",
        cause="burn_in_long",
        about="settings.burn_in_s",
        fields=("burn_in_s",),
        quantity=_burn_in_alone,
        centre=("burn_in_s_high", "burn_in_s_long"),
    ),
    Rule(
        name="burn_in_s_short",
        cause="burn_in_short",
        about="settings.burn_in_s",
        fields=("burn_in_s",),
        quantity=_burn_in_alone,
        centre=("burn_in_s_short",),
        rising=False,
    ),
    Rule(
        name="burn_in_layers_many",
        cause="burn_in_long",
        about="settings.burn_in_layers",
        fields=("burn_in_layers",),
        quantity=_layers_alone,
        centre=("burn_in_layers_high", "burn_in_layers_many"),
    ),
    Rule(
        name="burn_in_ratio_high",
        cause="burn_in_long",
        about="settings.burn_in_ratio",
        fields=("burn_in_s", "exposure_s"),
        quantity=_ratio,
        centre=("burn_in_ratio_high",),
    ),
    Rule(
        name="burn_in_ratio_low",
        cause="burn_in_short",
        about="settings.burn_in_ratio",
        fields=("burn_in_s", "exposure_s"),
        quantity=_ratio,
        centre=("burn_in_ratio_low",),
        rising=False,
    ),
    Rule(
        name="raised_exposure",
        cause="burn_in_long",
        about="settings.raised_exposure",
        fields=("raised_exposure",),
        quantity=_raised,
        logarithmic=False,
    ),
    Rule(
        name="transition_abrupt",
        cause="transition_short",
        about="settings.transition_layers",
        fields=_TRANSITION,
        quantity=_step,
        centre=("transition_abrupt",),
    ),
    Rule(
        name="transition_fine",
        cause="transition_long",
        about="settings.transition_layers",
        fields=_TRANSITION,
        quantity=_step,
        centre=("transition_fine",),
        rising=False,
    ),
    Rule(
        name="exposure_under",
        cause="exposure_short",
        about="settings.exposure_s",
        fields=_CURVE,
        quantity=_cure_over_layer,
        centre=("cure_over_layer_low",),
        rising=False,
    ),
    Rule(
        name="exposure_over",
        cause="exposure_long",
        about="settings.exposure_s",
        fields=_CURVE,
        quantity=_cure_over_layer,
        centre=("cure_over_layer_high",),
    ),
    Rule(
        name="resin_temperature",
        cause="resin_cold",
        about="resin.temperature_c",
        fields=("temperature_c",),
        quantity=_temperature,
        centre=("resin_cold_c",),
        rising=False,
        logarithmic=False,
    ),
    Rule(
        name="raft_style", cause="raft_solid", about="raft.style", fields=("style",), quantity=_style, logarithmic=False
    ),
    Rule(
        name="raft_area",
        cause="raft_solid",
        about="raft.area_mm2",
        fields=("area_mm2",),
        quantity=_area,
        centre=("raft_area_large_mm2",),
    ),
    Rule(
        name="lift_speed",
        cause="lift_fast",
        about="settings.lift_mm_per_min",
        fields=("lift_mm_per_min",),
        quantity=_lift,
        centre=("lift_fast_mm_per_min",),
    ),
    Rule(
        name="rest_time",
        cause="lift_fast",
        about="settings.rest_s",
        fields=("rest_s",),
        quantity=_rest,
        centre=("rest_short_s",),
        rising=False,
        logarithmic=False,
    ),
    Rule(
        name="ball_joint_tilt",
        cause="tilt",
        about="machine.adjusters",
        fields=("adjusters",),
        quantity=_ball_joint,
        logarithmic=False,
    ),
    Rule(
        name="ball_joint_loose",
        cause="loose_plate",
        about="machine.adjusters",
        fields=("adjusters",),
        quantity=_ball_joint,
        logarithmic=False,
    ),
)
