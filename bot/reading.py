"""``platewright read``: a sentence in, what was understood out. No database, no network, nothing judged."""

import json

from bot.sources import read_source
from core.errors import Fault, UnusableInput
from core.intake.hearing import hear_sentence, load_sentence_lexicons
from core.intake.sentences import describe, to_report
from core.knowledge import load_knowledge
from core.words import Words


def run_read(source: str, words: Words, *, as_json: bool, language: str = "") -> str:
    """Return what a sentence says: lines with the words each came from, or a Report with ``unread`` and ``unsure``.

    Args:
        source: The sentence, or ``-`` for standard input.
        words: Texts.
        as_json: Whether JSON is wanted.
        language: Of the sentence, where it is not that of the texts.

    Raises:
        UnusableInput: The text cannot be read.
    """
    heard = hear_sentence(_text(source), language or words.language, load_sentence_lexicons(), load_knowledge())
    if not as_json:
        return "\n".join(describe(heard, words)) or words.say("symptoms.nothing")
    report = to_report(heard).model_dump(mode="json")
    unsure = [{"about": one.about, "reason": one.reason, "words": one.words.text} for one in heard.unsure]
    unread = [phrase.text for phrase in heard.unread]
    return json.dumps({**report, "unread": unread, "unsure": unsure}, ensure_ascii=False, indent=2)


def _text(source: str) -> str:
    if source != "-":
        return source
    try:
        return read_source("-").decode("utf-8-sig")
    except UnicodeDecodeError as error:
        given = error.object[error.start : error.end].hex(" ")
        raise UnusableInput((Fault("text", given, "not_utf8", {"at": error.start + 1}),)) from None
