"""An invented community: the same seed makes the same, whoever sees it is told, and people follow the verdict."""

from datetime import UTC, datetime

import pytest

from bot.__main__ import main
from bot.simulation import Wish, check_wish, simulate
from core.cases.store import Store
from core.errors import UnusableInput

UNTIL = datetime(2026, 3, 1, tzinfo=UTC)


async def stored(path, wish):
    """Simulate into a new database and return every case with all that belongs to it."""
    store = await Store.open(path)
    try:
        count = await simulate(wish, store)
        cases = [await store.case(wish.community, number) for number in range(1, count + 1)]
        held = [(one, await store.history(one), await store.held("confirmations", one)) for one in cases]
        assert await store.recount()
    finally:
        await store.close()
    return held


async def test_the_same_seed_invents_the_same_cases(tmp_path):
    wish = Wish(8, 6, 3, "shed", UNTIL)
    first, again = [await stored(tmp_path / name, wish) for name in ("a.db", "b.db")]
    assert len(first) == 8
    assert first == again
    assert {one.key.community for one, *_ in first} == {"invented-shed"}
    other = await stored(tmp_path / "c.db", Wish(8, 6, 4, "shed", UNTIL))
    assert [one.latest.report for one, *_ in other] != [one.latest.report for one, *_ in first]


@pytest.mark.parametrize(
    ("wish", "fields"),
    [
        (Wish(0, 6, 1, "shed", UNTIL), ["cases"]),
        (Wish(5, 0, -1, "Shed!", UNTIL), ["months", "seed", "club"]),
    ],
)
def test_what_cannot_be_invented_is_said_field_by_field(wish, fields):
    with pytest.raises(UnusableInput) as refused:
        check_wish(wish)
    assert [fault.field for fault in refused.value.faults] == fields


def test_at_the_command_line_counts_are_made_and_proved_and_figures_asked(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("PLATEWRIGHT_DATABASE", str(tmp_path / "cases.db"))
    assert main(["simulate", "--cases", "4", "--months", "6"]) == 0
    assert "None of them ever happened" in capsys.readouterr().out
    assert main(["recount"]) == 0
    assert "equal" in capsys.readouterr().out
    assert main(["stats", "causes", "--community", "invented-club"]) == 0
    assert "Not yet" in capsys.readouterr().out
    assert main(["report", "--community", "invented-club", "-o", str(tmp_path / "page.html")]) == 2
    assert "Not yet" in capsys.readouterr().err
    assert not (tmp_path / "page.html").exists()
