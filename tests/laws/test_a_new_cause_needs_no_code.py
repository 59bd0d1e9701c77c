"""Adding a cause and a finding is editing data: the same code diagnoses, explains and plans with them."""

import dataclasses
import shutil
from importlib.resources import as_file, files

import pytest

from core.engine import triage
from core.knowledge import load_knowledge
from core.knowledge.check import check_knowledge
from core.report import Report, Seen
from core.words import load_words

ADDED = {
    "causes.toml": """
[vat_tilted]
kind = "machine"
prior = 0.2
source = "common_practice"
""",
    "findings.toml": """
[resin_pools]
placed = true
leak = 0.01
effort = 1.0
source = "common_practice"
links = { vat_tilted = 0.8 }
""",
    "remedies.toml": """
[seat_vat]
causes = ["vat_tilted"]
kind = "machine"
effort = 1.0
source = "common_practice"
cautions = ["skin_contact", "follow_sds"]
""",
    "checks.toml": """
[resin_pools]
about = "finding:resin_pools"
effort = 1.0
source = "common_practice"
""",
}
SAID = {
    "causes.vat_tilted.name": "a vat that does not sit flat",
    "causes.vat_tilted.short": "vat not flat",
    "causes.vat_tilted.words": "The vat stands on one of its feet.",
    "findings.resin_pools.name": "resin pooling",
    "findings.resin_pools.asks": "Does resin pool on one side of the vat?",
    "findings.resin_pools.absent": "no resin pooling",
    "remedies.seat_vat.name": "seat the vat",
    "remedies.seat_vat.words": "Take the vat out, clean its seat and put it back.",
    "remedies.seat_vat.worked_if": "Resin stands level.",
    "checks.resin_pools": "Look at the resin from the side: does it pool?",
}


@pytest.fixture
def extended(tmp_path):
    """Return the shipped knowledge with an invented cause and finding added to copies of its files."""
    with as_file(files("core.knowledge") / "data") as shipped:
        shutil.copytree(shipped, tmp_path / "data")
    for name, text in ADDED.items():
        with (tmp_path / "data" / name).open("a", encoding="utf-8") as file:
            file.write(text)
    words = load_words("en")
    return load_knowledge(tmp_path / "data"), dataclasses.replace(words, texts={**words.texts, **SAID})


def test_the_extended_data_are_whole(extended):
    assert check_knowledge(*extended) == ()


def test_a_new_finding_leads_to_its_new_cause_and_remedy(extended):
    knowledge, words = extended
    judged = triage(Report(findings=(Seen(id="resin_pools", where="left"),)), knowledge, words)
    leading = judged.verdict.causes[0]
    assert leading.id == "vat_tilted"
    assert "resin pooling" in leading.evidence[0].words
    assert judged.verdict.steps[0].id == "seat_vat"
    assert "a vat that does not sit flat" in judged.verdict.summary
