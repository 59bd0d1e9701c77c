"""``platewright triage``: one Report in, one verdict out. No database, no network."""

from pathlib import Path

from bot.sources import read_source
from bot.terminal_app.render import render
from core.card import verdict_card
from core.engine import triage
from core.errors import Fault, UnusableInput
from core.exposure import describe
from core.intake.document import read_report
from core.intake.lexicon import load_lexicon
from core.knowledge import load_knowledge
from core.pictures.plate_map import draw_plate_map
from core.pictures.text_map import draw_text_map
from core.words import Words


def run_triage(source: str, words: Words, *, as_json: bool, picture: Path | None, width: int) -> str:
    """Return the verdict of one Report as text or JSON, leaving the plate map at ``picture`` if asked to.

    Args:
        source: Path of a file, or ``-`` for standard input.
        words: Texts.
        as_json: Whether the Verdict itself is wanted.
        picture: Where the map goes.
        width: Columns of the text.

    Raises:
        UnusableInput: The Report cannot be read or used, there is no geometry to draw, or the map cannot be written.
    """
    knowledge = load_knowledge()
    heard = read_report(read_source(source), knowledge, lexicon=load_lexicon())
    judged = triage(heard.report, knowledge, words)
    geometry = judged.known_geometry
    if picture is not None:
        if geometry is None:
            raise UnusableInput((Fault("readings", "", "nothing_to_draw"),))
        _write(picture, draw_plate_map(geometry, heard.report.machine, words).png)
    notes = tuple(words.say(f"notes.{note.code}", **note.values) for note in heard.notes)
    verdict = judged.verdict.model_copy(update={"notes": (*notes, *judged.verdict.notes)})
    if as_json:
        return verdict.model_dump_json(indent=2)
    lines = draw_text_map(geometry, words) if geometry is not None else ()
    return render(verdict_card(verdict, words, light=describe(judged.exposure, words), map_lines=lines), width)


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnusableInput((Fault("picture", str(path), "file_unwritable", {"why": why}),)) from error
