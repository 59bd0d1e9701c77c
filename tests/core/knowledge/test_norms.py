"""The shipped norms agree with each other and with what their notes say."""

from math import log, sqrt

import pytest

from core.knowledge import Knowledge, load_knowledge


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge()


def middle(knowledge: Knowledge, low: str, high: str) -> float:
    return sqrt(knowledge.norm(low) * knowledge.norm(high))


def test_the_usual_burn_in_cures_what_it_is_said_to_cure(knowledge: Knowledge):
    """Cd = Dp ln(t/Tc) (Jacobs 1992): 0.2 to 0.6 mm in the middle of the ranges, as critical_time_low_s notes."""
    depth = middle(knowledge, "penetration_depth_low_mm", "penetration_depth_high_mm")
    critical = middle(knowledge, "critical_time_low_s", "critical_time_high_s")
    usual = middle(knowledge, "burn_in_s_low", "burn_in_s_high")
    assert depth * log(usual / critical) == pytest.approx(0.33, abs=0.01)
    assert depth * log(knowledge.norm("burn_in_s_low") / knowledge.norm("critical_time_high_s")) == pytest.approx(
        0.23, abs=0.005
    )
    assert depth * log(knowledge.norm("burn_in_s_high") / knowledge.norm("critical_time_low_s")) == pytest.approx(
        0.44, abs=0.005
    )


def test_a_low_end_lies_below_its_high_end(knowledge: Knowledge):
    # What a cause gains or loses where a band ends is an amount of evidence and has no order.
    ends = [name for name in knowledge.norms if "_low" in name and not name.endswith(("_width", "_for", "_against"))]
    pairs = [(name, name.replace("_low", "_high", 1)) for name in ends]
    pairs = [(low, high) for low, high in pairs if high in knowledge.norms]
    assert len(pairs) >= 6
    assert [low for low, high in pairs if knowledge.norm(low) >= knowledge.norm(high)] == []


def test_a_fault_moves_a_contrast_further_than_soundness_does(knowledge: Knowledge):
    for contrast in ("tilt", "offset", "crown"):
        sound = knowledge.norm(f"{contrast}_sound_sd_mm")
        assert sound < knowledge.norm(f"{contrast}_faulty_sd_mm")


@pytest.mark.parametrize(
    ("ending", "unit"),
    [("_mm", "mm"), ("_s", "s"), ("_c", "°C"), ("_n", "N"), ("_mm_per_min", "mm/min"), ("_mm2", "mm²")],
)
def test_a_name_that_ends_in_a_unit_has_that_unit(knowledge: Knowledge, ending: str, unit: str):
    named = {name: norm.unit for name, norm in knowledge.norms.items() if name.endswith(ending)}
    named = {name: given for name, given in named.items() if not (ending == "_s" and name.endswith("_pa_s"))}
    assert named
    assert {name: given for name, given in named.items() if given != unit} == {}
