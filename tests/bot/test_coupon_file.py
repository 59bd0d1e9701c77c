"""``platewright coupons`` writes the kind of file its name asks for, or names every fault and writes none."""

from zipfile import ZipFile

import pytest

from bot.coupon_file import write_coupons
from core.coupons import design_coupons, to_3mf, to_stl
from core.errors import UnusableInput
from core.words import load_words

WORDS = load_words("en")


@pytest.mark.parametrize(
    ("name", "write"), [("set.stl", to_stl), ("set.3mf", to_3mf), ("SET.STL", to_stl), ("a.b.3MF", to_3mf)]
)
def test_the_ending_says_which_kind_of_file(tmp_path, name, write):
    note = write_coupons("150x85", "1", tmp_path / name, WORDS)
    assert (tmp_path / name).read_bytes() == write(design_coupons(150, 85, 1))
    assert str(tmp_path / name) in note.splitlines()[0]


def test_plate_and_thickness_are_read_as_people_type_them(tmp_path):
    write_coupons("15 by 8,5 cm", "0,8 mm", tmp_path / "set.stl", WORDS)
    assert (tmp_path / "set.stl").read_bytes() == to_stl(design_coupons(150, 85, 0.8))


def test_a_blank_thickness_is_the_usual_one(tmp_path):
    note = write_coupons("150x85", "", tmp_path / "set.3mf", WORDS)
    assert "1.00 mm thick" in note
    with ZipFile(tmp_path / "set.3mf") as archive:
        assert archive.testzip() is None


@pytest.mark.parametrize(
    ("plate", "nominal", "name", "fields"),
    [
        ("150x85", "1", "set.obj", ["out"]),
        ("150x85", "1", "set", ["out"]),
        ("150", "1", "set.stl", ["plate"]),
        ("45x85", "1", "set.stl", ["plate"]),
        ("150x85", "2.5", "set.stl", ["nominal"]),
        ("150x85", "thick", "set.stl", ["nominal"]),
        ("420x85", "thick", "set.txt", ["out", "nominal"]),
        ("420x85", "0.4", "set.txt", ["out", "plate", "nominal"]),
    ],
)
def test_all_that_is_wrong_is_said_at_once_and_nothing_is_written(tmp_path, plate, nominal, name, fields):
    with pytest.raises(UnusableInput) as caught:
        write_coupons(plate, nominal, tmp_path / name, WORDS)
    assert [fault.field for fault in caught.value.faults] == fields
    assert all(
        "Accepted:" in line or "Give" in line or "Write" in line for line in map(WORDS.fault, caught.value.faults)
    )
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_said(tmp_path):
    with pytest.raises(UnusableInput) as caught:
        write_coupons("150x85", "1", tmp_path / "nowhere" / "set.stl", WORDS)
    assert "cannot be written" in WORDS.fault(caught.value.faults[0])
