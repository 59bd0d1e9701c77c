"""One report's exposure: picks the formulas that its settings allow, and fills gaps with stated ranges.

In: the parts of a report, a Geometry where there is one, knowledge for the norms. Out: an Exposure. This file
must never know a cause or a remedy.
"""

from math import sqrt

from core.exposure.bridging import bridge_gaps
from core.exposure.corners import evaluate, exact
from core.exposure.dose import lit_time, profile_dose
from core.exposure.model import Assumption, DoseProfile, Exposure, Quantity, Reach, Settling, Wear
from core.exposure.squeeze_flow import cells_settling_time, equivalent_radius, settling_time
from core.exposure.wear import equal_layers, extra_volume, mass
from core.exposure.working_curve import cure_depth, gain_of_doubling, time_for_depth
from core.geometry.model import Geometry
from core.knowledge.schema import Knowledge
from core.report import Machine, Raft, Resin, Settings

MM_PER_M = 1000


def expose(
    settings: Settings,
    raft: Raft,
    machine: Machine,
    resin: Resin,
    geometry: Geometry | None,
    knowledge: Knowledge,
) -> Exposure:
    """Return what settings, raft and resin tell, as far as they were given.

    Resin data that were not given are taken as the ranges of the norms, and their middle is the geometric
    one, since these are quantities that differ by factors; data that were given are believed to within a
    norm. Both go through to the results as intervals, and each result names what was assumed for it.
    """
    depth = _resin_value("penetration_depth", resin.penetration_depth_mm, "mm", knowledge)
    critical = _resin_value("critical_time", resin.critical_time_s, "s", knowledge)
    height = _layer_height(settings, knowledge)
    known = resin.penetration_depth_mm is not None and resin.critical_time_s is not None
    burn_in = _cured(settings.burn_in_s, depth, critical)
    dose = _dose(settings, height, depth, knowledge)
    return Exposure(
        penetration_depth=depth,
        critical_time=critical,
        layer_height=height,
        resin_known=known,
        doubling_gain=evaluate(gain_of_doubling, depth, unit="mm"),
        burn_in_depth=burn_in,
        tolerated_error=evaluate(lambda cured, layer: cured - layer, burn_in, height, unit="mm") if burn_in else None,
        normal_depth=_cured(settings.exposure_s, depth, critical),
        layer_exposure=_layer_exposure(height, depth, critical, knowledge) if known else None,
        bridges=bridge_gaps(geometry, height, settings.burn_in_s, depth, critical) if geometry else (),
        dose=dose,
        settling=_settling(settings, raft, machine, resin, height, knowledge),
        wear=_wear(settings, raft, dose, knowledge),
    )


def _resin_value(name: str, given: float | None, unit: str, knowledge: Knowledge) -> Quantity:
    suffix = {"mm": "mm", "s": "s", "Pa·s": "pa_s"}[unit]
    if given is not None:
        share = knowledge.norm("resin_data_relative")
        assumption = Assumption(f"{name}_given", {"value": given, "percent": 100 * share})
        return Quantity(given, given * (1 - share), given * (1 + share), unit, (assumption,))
    return _range(name, knowledge.norm(f"{name}_low_{suffix}"), knowledge.norm(f"{name}_high_{suffix}"), unit)


def _range(name: str, low: float, high: float, unit: str) -> Quantity:
    """Return a stated range with its geometric middle, √(low·high)."""
    return Quantity(sqrt(low * high), low, high, unit, (Assumption(f"{name}_range", {"low": low, "high": high}),))


def _layer_height(settings: Settings, knowledge: Knowledge) -> Quantity:
    if settings.layer_height_mm is not None:
        return exact(settings.layer_height_mm, "mm")
    usual = knowledge.norm("layer_height_usual_mm")
    return Quantity(usual, usual, usual, "mm", (Assumption("layer_height_usual", {"value": usual}),))


def _cured(time: float | None, depth: Quantity, critical: Quantity) -> Quantity | None:
    return evaluate(cure_depth, exact(time, "s"), depth, critical, unit="mm") if time is not None else None


def _layer_exposure(height: Quantity, depth: Quantity, critical: Quantity, knowledge: Knowledge) -> Quantity:
    least, most = knowledge.norm("cure_over_layer_low"), knowledge.norm("cure_over_layer_high")
    times = Quantity(
        sqrt(least * most), least, most, "1", (Assumption("cure_over_layer", {"low": least, "high": most}),)
    )
    return evaluate(
        lambda layer, factor, deep, gel: time_for_depth(layer * factor, deep, gel),
        height,
        times,
        depth,
        critical,
        unit="s",
    )


def _dose(settings: Settings, height: Quantity, depth: Quantity, knowledge: Knowledge) -> DoseProfile | None:
    if settings.burn_in_s is None or settings.exposure_s is None or not settings.burn_in_layers:
        return None
    return profile_dose(
        burn_in_layers=settings.burn_in_layers,
        burn_in=settings.burn_in_s,
        transition_layers=settings.transition_layers or 0,
        normal=settings.exposure_s,
        layer_height=height,
        penetration_depth=depth,
        step_ratio=knowledge.norm("transition_step_ratio"),
        ramp_given=settings.transition_layers is not None,
    )


def _settling(
    settings: Settings, raft: Raft, machine: Machine, resin: Resin, height: Quantity, knowledge: Knowledge
) -> Settling | None:
    area = _raft_area(raft, machine)
    if area is None:
        return None
    viscosity = _resin_value("viscosity", resin.viscosity_pa_s, "Pa·s", knowledge)
    force = _range("plate_force", knowledge.norm("plate_force_low_n"), knowledge.norm("plate_force_high_n"), "N")
    width = 2 * knowledge.norm("raft_cell_radius_mm")
    # The formulas take metres, and areas in square metres.
    solid = evaluate(
        lambda mu, mm2, newton, mm: settling_time(mu, equivalent_radius(mm2) / MM_PER_M, newton, mm / MM_PER_M),
        viscosity,
        area,
        force,
        height,
        unit="s",
        also=(Assumption("rigid_discs"),),
    )
    cells = evaluate(
        lambda mu, mm2, newton, mm: cells_settling_time(mu, mm2 / MM_PER_M**2, width / MM_PER_M, newton, mm / MM_PER_M),
        viscosity,
        area,
        force,
        height,
        unit="s",
        also=(Assumption("rigid_discs"), Assumption("cells", {"width": width})),
    )
    own = {"solid": solid, "open": cells}.get(raft.style)
    return Settling(solid=solid, open=cells, rest_enough=_covers(settings.rest_s, own))


def _covers(rest: float | None, needed: Quantity | None) -> Reach | None:
    if rest is None or needed is None:
        return None
    return "yes" if rest >= needed.high else "no" if rest < needed.low else "perhaps"


def _raft_area(raft: Raft, machine: Machine) -> Quantity | None:
    """Return the raft's area, mm², and no more than the plate has where that is known."""
    if raft.area_mm2 is None:
        return None
    if machine.plate_width_mm is not None and machine.plate_depth_mm is not None:
        plate = machine.plate_width_mm * machine.plate_depth_mm
        if raft.area_mm2 > plate:
            return Quantity(plate, plate, plate, "mm²", (Assumption("raft_as_large_as_plate", {"area": plate}),))
    return exact(raft.area_mm2, "mm²")


def _wear(settings: Settings, raft: Raft, dose: DoseProfile | None, knowledge: Knowledge) -> Wear | None:
    lit = equal = None
    if settings.burn_in_layers is not None and settings.burn_in_s is not None:
        seconds = lit_time(dose) if dose else settings.burn_in_layers * settings.burn_in_s
        lit = exact(seconds, "s")
        if settings.exposure_s is not None:
            equal = exact(equal_layers(seconds, settings.exposure_s), "1")
    volume = _extra_volume(raft, knowledge)
    density = knowledge.norm("resin_density_g_per_cm3")
    grams = (
        evaluate(lambda ml: mass(ml, density), volume, unit="g", also=(Assumption("density", {"value": density}),))
        if volume
        else None
    )
    if lit is None and volume is None:
        return None
    return Wear(burn_in_lit=lit, equal_normal_layers=equal, extra_volume=volume, extra_mass=grams)


def _extra_volume(raft: Raft, knowledge: Knowledge) -> Quantity | None:
    """Return resin beyond the sliced raft where it was measured, else beyond the thickest usual one."""
    if raft.area_mm2 is None:
        return None
    whole = () if raft.style == "solid" else (Assumption("raft_unbroken"),)
    if raft.measured_mm is not None and raft.sliced_mm is not None:
        milliliters = extra_volume(raft.area_mm2, raft.measured_mm, raft.sliced_mm)
        return Quantity(milliliters, milliliters, milliliters, "ml", whole)
    thickness = raft.measured_mm if raft.measured_mm is not None else raft.sliced_mm
    if thickness is None:
        return None
    usual = knowledge.norm("raft_thick_mm")
    milliliters = extra_volume(raft.area_mm2, thickness, usual)
    return Quantity(milliliters, milliliters, milliliters, "ml", (*whole, Assumption("raft_usual", {"value": usual})))
