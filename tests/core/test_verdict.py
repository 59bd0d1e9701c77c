"""The verdict: the JSON contract, whole and in words that carry the person's own numbers."""

import json

from core.engine import triage
from core.knowledge import load_knowledge
from core.report import POSITIONS, Readings, Report, Settings
from core.verdict import Verdict
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
INTERVALS = ("offset_mm", "spread_mm", "tilt_x_mm", "tilt_y_mm", "crown_mm", "twist_mm")


def verdict(values, **more):
    readings = Readings(**{place.value: (value,) for place, value in zip(POSITIONS, values, strict=True)})
    return triage(Report(readings=readings, **more), KNOWLEDGE, WORDS).verdict


def test_the_json_holds_every_field_of_the_contract():
    held = json.loads(verdict((0.76, 1.22, 0.80, 1.20, 0.99)).model_dump_json())
    assert {
        "status", "summary", "geometry", "causes", "steps", "avoid", "next_check", "questions", "exposure", "cautions",
    } <= held.keys()  # fmt: skip
    geometry = held["geometry"]
    for name in INTERVALS:
        assert geometry[name]["low"] <= geometry[name]["value"] <= geometry[name]["high"]
    assert geometry["band"] == "out_of_parallel"
    assert abs(sum(geometry["band_probability"].values()) - 1) < 1e-4
    assert geometry["move_start_mm"]["direction"] in {"closer", "further"}
    assert {"id", "probability", "evidence"} <= held["causes"][0].keys()


def test_the_json_reads_back_as_the_same_verdict():
    first = verdict((0.76, 1.22, 0.80, 1.20, 0.99), settings=Settings(burn_in_s=30, burn_in_layers=5, exposure_s=2.5))
    assert Verdict.model_validate_json(first.model_dump_json()) == first


def test_the_same_report_always_gets_the_same_verdict():
    assert verdict((0.9, 1.1, 1.0, 1.2, 1.0)) == verdict((0.9, 1.1, 1.0, 1.2, 1.0))


def test_a_tilt_is_said_once():
    """What the plate's own sentence said is not said again as a cause."""
    said = verdict((0.76, 1.22, 0.80, 1.20, 0.99)).summary
    assert said.count("not parallel") == 1
    assert "0.46 mm" in said


def test_an_even_thin_set_names_the_start():
    held = verdict((0.72, 0.72, 0.72, 0.72, 0.72))
    assert held.status == "diagnosed"
    assert held.causes[0].id == "start_close"
    assert "0.28 mm too close" in held.summary


def test_a_value_on_the_edge_of_good_is_called_borderline():
    """At 0.19 mm about half of what may be true lies beyond 0.20 mm (common practice band)."""
    held = verdict((0.90, 1.09, 0.91, 1.08, 1.0))
    assert held.geometry.band == "good"
    assert 0.3 < held.geometry.band_probability["good"] < 0.9
    assert "close to the 0.20 mm" in held.summary


def test_a_verdict_names_the_knowledge_it_used():
    assert verdict((1.0, 1.0, 1.0, 1.0, 1.0)).knowledge == KNOWLEDGE.version
