"""ISO 261 and ISO 262, general-purpose metric screw threads: the coarse pitches, and what a designation means.

M3 to M8 as quoted from the standards; M2, M2.5 and M10 are values from memory.
"""

import pytest

from core.geometry.threads import read_thread
from core.knowledge import load_knowledge

QUOTED = {"M3": 0.5, "M4": 0.7, "M5": 0.8, "M6": 1.0, "M8": 1.25}
FROM_MEMORY = {"M2": 0.4, "M2.5": 0.45, "M10": 1.5}


@pytest.fixture(scope="module")
def knowledge():
    return load_knowledge()


@pytest.mark.parametrize(("size", "pitch"), [*QUOTED.items(), *FROM_MEMORY.items()])
def test_a_size_alone_means_its_coarse_pitch(knowledge, size, pitch):
    thread = read_thread(size, knowledge)
    assert (thread.size, thread.pitch_mm, thread.origin) == (size, pitch, "coarse")


def test_every_pitch_in_the_data_is_checked_here(knowledge):
    held = {name: norm for name, norm in knowledge.norms.items() if name.startswith("thread_")}
    assert {norm.value for norm in held.values()} == {*QUOTED.values(), *FROM_MEMORY.values()}
    assert len(held) == len(QUOTED) + len(FROM_MEMORY)
    recalled = {norm.value for norm in held.values() if knowledge.sources[norm.source].how == "memory"}
    assert recalled == set(FROM_MEMORY.values())


@pytest.mark.parametrize(
    ("designation", "pitch", "origin"),
    [
        ("M4x0.5", 0.5, "stated"),
        ("M4x0.7", 0.7, "stated"),
        ("M8x1", 1.0, "stated"),
        ("M7x0.75", 0.75, "stated"),
        ("M4x8", 0.7, "coarse_not_length"),
        ("M4x0", 0.7, "coarse"),
        ("M4.0", 0.7, "coarse"),
    ],
)
def test_a_stated_pitch_counts_unless_it_is_coarser_than_coarse(knowledge, designation, pitch, origin):
    """The coarse pitch is the largest of a diameter, so a larger number after the x is a screw's length."""
    thread = read_thread(designation, knowledge)
    assert (thread.pitch_mm, thread.origin) == (pitch, origin)


@pytest.mark.parametrize("designation", [None, "M7", "M99", "screw"])
def test_an_unknown_thread_has_no_pitch(knowledge, designation):
    assert read_thread(designation, knowledge) is None
