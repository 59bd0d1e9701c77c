"""Loading knowledge: what ships loads, and an author is told every fault of every file at once."""

import shutil
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from core.errors import Fault, UnusableKnowledge
from core.knowledge import Knowledge, load_knowledge
from core.words import load_words

Edit = Callable[[str, str, str], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a copy of the shipped data that a test may spoil."""
    copy = tmp_path / "data"
    shutil.copytree(str(files("core.knowledge") / "data"), copy)
    return copy


@pytest.fixture
def edit(folder: Path) -> Edit:
    """Give a way to replace the first occurrence of a text in one file; it must be there."""

    def replace(name: str, old: str, new: str) -> None:
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text, f"the test expects {old!r} in {name}"
        (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")

    return replace


def faults_of(folder: Path) -> tuple[Fault, ...]:
    with pytest.raises(UnusableKnowledge) as caught:
        load_knowledge(folder)
    return caught.value.faults


def test_what_ships_loads():
    """The numbers of the trade's own tables, one of each kind."""
    knowledge = load_knowledge()
    assert isinstance(knowledge, Knowledge)
    assert (len(knowledge.causes), len(knowledge.findings), len(knowledge.places)) == (22, 24, 12)
    assert knowledge.causes["tilt"].prior == 0.16
    assert knowledge.findings["glossy_raft"].links["start_close"] == 0.60
    assert knowledge.findings["uneven_drag"].check
    assert knowledge.profiles["transition_long"] == knowledge.profiles["transition_short"]
    assert (knowledge.places["front_left"].x, knowledge.places["front_left"].y) == (-1, -1)
    assert knowledge.norm("spread_out_mm") == 0.40


def test_a_copy_of_the_same_files_has_the_same_version(folder: Path):
    assert load_knowledge(folder).version == load_knowledge().version


def test_any_change_of_any_file_changes_the_version(folder: Path):
    """The version is stored with every verdict, so it must tell apart even a changed note."""
    before = load_knowledge(folder).version
    versions = {before}
    for file in sorted(folder.iterdir()):
        file.write_text(file.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
        versions.add(load_knowledge(folder).version)
    assert len(versions) == 1 + len(list(folder.iterdir()))


def test_entries_cannot_be_changed_after_loading():
    knowledge = load_knowledge()
    with pytest.raises(TypeError):
        knowledge.causes["tilt"] = knowledge.causes["crown"]


SPOILED = [
    # file, text there, text instead, field of the fault, its code
    ("causes.toml", "prior = 0.16", 'prior = "often"', "causes.toml: tilt.prior", "entry_wrong_type"),
    ("causes.toml", "prior = 0.16", "prior = true", "causes.toml: tilt.prior", "entry_wrong_type"),
    ("causes.toml", "prior = 0.16", "prior = 1.6", "causes.toml: tilt.prior", "entry_out_of_range"),
    ("causes.toml", "prior = 0.16", "prior = nan", "causes.toml: tilt.prior", "entry_wrong_type"),
    ("causes.toml", "prior = 0.16", "", "causes.toml: tilt.prior", "key_missing"),
    ("causes.toml", "prior = 0.16", "prior = 0.16\npriro = 1", "causes.toml: tilt.priro", "key_unknown"),
    ("causes.toml", '"mechanical"', '"mechanics"', "causes.toml: tilt.kind", "entry_not_one_of"),
    ("causes.toml", "[tilt]", "[Tilt-ed]", "causes.toml: Tilt-ed", "no_identifier"),
    ("causes.toml", "[tilt]", "[tilt", "causes.toml", "file_not_toml"),
    ("causes.toml", "[tilt]", "stray = 1\n[tilt]", "causes.toml: stray", "entry_wrong_type"),
    ("findings.toml", "tilt = 0.50", "tlt = 0.50", "findings.toml: glossy_raft.links.tlt", "unknown_reference"),
    ("findings.toml", "tilt = 0.50", "tilt = 1.0", "findings.toml: glossy_raft.links.tilt", "entry_out_of_range"),
    ("findings.toml", "placed = true", "placed = false", "findings.toml: glossy_raft.side", "side_without_place"),
    ("profiles.toml", "[tilt]", "[tilted]", "profiles.toml: tilted", "unknown_reference"),
    ("profiles.toml", "everywhere = 0.05", "everywhere = 0.06", "profiles.toml: tilt", "does_not_sum_to_one"),
    ("norms.toml", '"common_practice"', '"hearsay"', "norms.toml: coupon_nominal_mm.source", "unknown_reference"),
    ("remedies.toml", '["tilt"]', '["tild"]', "remedies.toml: level_plate.causes", "unknown_reference"),
    ("remedies.toml", '"blade"', '"blades"', "remedies.toml: measure_coupons.cautions", "unknown_reference"),
    ("remedies.toml", '["tilt"]', "[]", "causes.toml: tilt", "cause_without_remedy"),
    ("checks.toml", "finding:glossy_raft", "finding:gloss", "checks.toml: glossy_raft.about", "about_nothing"),
    ("checks.toml", "finding:glossy_raft", "readings", "findings.toml: glossy_raft", "finding_without_check"),
    ("checks.toml", "reading:centre", "reading:middle", "checks.toml: remeasure_centre.about", "about_nothing"),
    ("checks.toml", "setting:burn_in_s", "setting:burn", "checks.toml: tell_burn_in_time.about", "about_nothing"),
]


@pytest.mark.parametrize(("file", "old", "new", "field", "code"), SPOILED)
def test_a_fault_names_file_entry_and_key(folder: Path, edit: Edit, file, old, new, field, code):
    edit(file, old, new)
    assert (field, code) in {(fault.field, fault.code) for fault in faults_of(folder)}


@pytest.mark.parametrize(("file", "old", "new", "field", "code"), SPOILED)
def test_every_fault_can_be_said(folder: Path, edit: Edit, file, old, new, field, code):
    """The words know every code and get every value they want; the field stands in the sentence."""
    edit(file, old, new)
    words = load_words()
    assert all(fault.field in words.fault(fault) for fault in faults_of(folder))


def test_every_fault_of_every_file_is_reported_at_once(folder: Path, edit: Edit):
    edit("causes.toml", "prior = 0.16", "prior = 2.0")
    edit("causes.toml", "prior = 0.12", "prior = 3.0")
    edit("findings.toml", "crown = 0.40", "crwn = 0.40")
    edit("profiles.toml", "everywhere = 0.05", "everywhere = 0.5")
    edit("norms.toml", "value = 1.0", "valeu = 1.0")
    edit("checks.toml", 'about = "readings"', 'about = "reading"')
    (folder / "sources.toml").write_text("= broken", encoding="utf-8")
    (folder / "cautions.toml").unlink()
    (folder / "norm.toml").write_text("", encoding="utf-8")
    assert sorted((fault.field, fault.code) for fault in faults_of(folder)) == [
        ("causes.toml: start_close.prior", "entry_out_of_range"),
        ("causes.toml: tilt.prior", "entry_out_of_range"),
        ("cautions.toml", "file_missing"),
        ("checks.toml: measure_coupons.about", "about_nothing"),
        ("findings.toml: glossy_raft.links.crwn", "unknown_reference"),
        ("norm.toml", "file_unknown"),
        ("norms.toml: coupon_nominal_mm.valeu", "key_unknown"),
        ("norms.toml: coupon_nominal_mm.value", "key_missing"),
        ("profiles.toml: tilt", "does_not_sum_to_one"),
        ("sources.toml", "file_not_toml"),
    ]


def test_a_misspelled_cause_comes_with_what_was_probably_meant(folder: Path, edit: Edit):
    edit("findings.toml", "tilt = 0.50", "tlt = 0.50")
    (fault,) = faults_of(folder)
    assert fault.given == "tlt"
    assert fault.values["meant"] == "tilt"
    assert "start_close" in str(fault.values["accepted"])
    assert "Did you mean tilt?" in load_words().fault(fault)


def test_a_broken_entry_does_not_make_its_references_faulty(folder: Path, edit: Edit):
    """The author mends one thing and sees one fault, not one more for each mention of it."""
    edit("causes.toml", "prior = 0.16", "")
    assert [fault.field for fault in faults_of(folder)] == ["causes.toml: tilt.prior"]


def test_a_folder_that_is_not_there_lacks_every_file(tmp_path: Path):
    faults = faults_of(tmp_path / "nowhere")
    assert {fault.code for fault in faults} == {"file_missing"}
    assert len(faults) == 11
