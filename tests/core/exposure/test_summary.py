"""The few sentences about light and resin carry ranges, and only what could be computed."""

from core.exposure import describe, expose
from core.geometry import measure
from core.knowledge import load_knowledge
from core.report import POSITIONS, Machine, Raft, Readings, Report, Resin, Settings
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
TILTED = measure(
    Readings(**{place.value: (value,) for place, value in zip(POSITIONS, (0.76, 1.22, 0.8, 1.2, 0.99), strict=True)}),
    KNOWLEDGE,
)


def said(geometry=TILTED, **parts):
    report = Report(**parts)
    exposure = expose(report.settings, report.raft, report.machine, report.resin, geometry, KNOWLEDGE)
    return describe(exposure, WORDS)


def test_without_settings_nothing_is_said():
    assert said() == ()


def test_the_reach_of_the_burn_in_stands_beside_the_widest_gap():
    """Jacobs' equation with the person's own Dp 0.15 mm, Tc 1.2 s: 0.15 ln(30/1.2) = 0.48 mm, believed to ±10 %."""
    first = said(
        settings=Settings(burn_in_s=30, layer_height_mm=0.05),
        resin=Resin(penetration_depth_mm=0.15, critical_time_s=1.2),
    )[0]
    assert "0.27 mm, at the front right" in first
    low, high = (float(number) for number in first.split("cures ")[1].split(" mm")[0].split(" to "))
    assert low < 0.48 < high
    assert high - low < 0.15


def test_an_unknown_resin_is_said_to_be_the_reason_for_wide_ranges():
    assert "ranges" in said(settings=Settings(burn_in_s=30, layer_height_mm=0.05))[-1]
    known = said(settings=Settings(burn_in_s=30), resin=Resin(penetration_depth_mm=0.15, critical_time_s=1.2))
    assert all("not known to me" not in line for line in known)


def test_a_short_rest_over_a_solid_raft_is_told_with_the_open_one_beside_it():
    lines = said(
        settings=Settings(burn_in_s=30, rest_s=0.5, layer_height_mm=0.05), raft=Raft(area_mm2=9000, style="solid")
    )
    assert any("solid" in line and "open" in line for line in lines)


def test_machine_alone_says_nothing():
    assert said(machine=Machine(plate_width_mm=150, plate_depth_mm=85)) == ()
