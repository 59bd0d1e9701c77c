"""What goes with a message: safe names, all different, and no more than one message takes."""

import pytest

from bot.discord_app.enclosures import enclose
from core.card import Attachment, Picture

ROOM = 1000


def names(pictures=(), files=()) -> list[str]:
    """Return the names under which pictures and then files are sent."""
    kept = enclose(
        [Picture(name, b"png", "A plate.") for name in pictures], [Attachment(name, b"mesh") for name in files], ROOM
    )
    return [one.name for one in (*kept.pictures, *kept.files)]


@pytest.mark.parametrize(
    ("given", "sent"),
    [
        ("coupons-150x85.stl", "coupons-150x85.stl"),
        ("../../etc/passwd", "passwd"),
        ("..\\..\\start\\coupons.stl", "coupons.stl"),
        ("/coupons.stl", "coupons.stl"),
        ("c:coupons.stl", "c-coupons.stl"),
        ("coupons.stl/", "file"),
        ("..", "file"),
        ("", "file"),
        (".hidden", "hidden"),
        ("coupons.stl.", "coupons.stl"),
        ("coupons\x00.stl", "coupons.stl"),
        ("cou\r\npons.stl", "cou--pons.stl"),
        ("coupons\u202elts.exe", "coupons-lts.exe"),
        ('a"; filename="b.stl', "a---filename--b.stl"),
        ("größe.stl", "gr--e.stl"),
        ("%2e%2e%2fcoupons.stl", "2e-2e-2fcoupons.stl"),
        ("SPOILER_SPOILER_coupons.stl", "coupons.stl"),
        ("x" * 90 + ".stl", "x" * 52 + ".stl"),
        ("coupons." + "x" * 90, ("coupons." + "x" * 90)[:56]),
    ],
)
def test_a_name_is_bare_and_harmless_and_keeps_its_ending(given, sent):
    """No folder, nothing hidden, nothing that ends a header; only what the platform takes: letters, digits and -_."""
    assert names(files=[given]) == [sent]


@pytest.mark.parametrize(
    ("pictures", "files", "sent"),
    [
        (["a.png"], ["a.png"], ["a.png", "a-2.png"]),
        (["a.png"], ["A.PNG"], ["a.png", "A-2.PNG"]),
        (["a.png", "a.png", "a.png"], [], ["a.png", "a-2.png", "a-3.png"]),
        (["a-2.png", "a.png", "a.png"], [], ["a-2.png", "a.png", "a-3.png"]),
        ([], ["one/a.stl", "two/a.stl", "a.3mf"], ["a.stl", "a-2.stl", "a.3mf"]),
        ([], ["?", "!"], ["file", "file-2"]),
        (["plate map", ""], [], ["plate-map.png", "picture.png"]),
    ],
)
def test_no_two_names_are_alike_even_where_capitals_do_not_count(pictures, files, sent):
    assert names(pictures, files) == sent


def test_at_most_ten_go_with_one_message_files_first_and_at_most_four_of_them():
    kept = enclose(
        [Picture(f"{number}.png", b"", "A plate.") for number in range(12)],
        [Attachment(f"{number}.stl", b"") for number in range(6)],
        ROOM,
    )
    assert [one.name for one in kept.files] == ["0.stl", "1.stl", "2.stl", "3.stl"]
    assert [one.name for one in kept.pictures] == [f"{number}.png" for number in range(6)]
    assert [one.name for one in kept.files_left_out] == ["4.stl", "5.stl"]
    assert [one.name for one in kept.pictures_left_out] == [f"{number}.png" for number in range(6, 12)]


@pytest.mark.parametrize(("most_bytes", "kept"), [(4, 1), (3, 0), (8, 2), (7, 1), (0, 0)])
def test_all_that_is_kept_fits_together_to_the_byte(most_bytes, kept):
    found = enclose((), [Attachment("a.stl", b"mesh"), Attachment("b.stl", b"mesh")], most_bytes)
    assert (len(found.files), len(found.files_left_out)) == (kept, 2 - kept)
