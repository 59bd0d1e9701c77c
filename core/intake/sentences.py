"""A sentence as a person typed it in; findings with places, absences and settings out, each with its own words.

Nothing is taken that was not said: a guess, a question, someone else's print or an unclear place is handed back to be
asked. This file must never know a word of a language: those are in ``data/sentences_<language>.toml``.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, cast

from pydantic import ValidationError

from core.errors import Fault, UnusableInput
from core.intake.characters import LONGEST
from core.intake.claims import Claim, hear_claims
from core.intake.clauses import Outline, Span, outline_text
from core.intake.coupons_heard import hear_readings
from core.intake.patterns import Names
from core.intake.placing import UNKNOWN, Placed, place_claims
from core.intake.plate_places import Mention, find_places
from core.intake.sentence_lexicon import SentenceLexicon, Value, load_sentence_lexicon
from core.intake.tokens import Token, split_tokens
from core.knowledge import Knowledge
from core.report import Readings, Report, Seen
from core.words import Words

__all__ = [
    "Heard",
    "HeardAbsence",
    "HeardFinding",
    "HeardSetting",
    "Phrase",
    "SentenceLexicon",
    "Unsure",
    "describe",
    "load_sentence_lexicon",
    "read_sentence",
    "to_report",
]

Reason = Literal["hedged", "ambiguous", "typo", "place", "mirror"]

PLACE_TOO_FAR = 12
"""Words between a finding and its place beyond which only the finding's own words are shown."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """The person's own words: ``text`` is the input from ``start`` to ``end``, verbatim."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class HeardFinding:
    """A finding and where it shows; ``unknown`` where no place was given, or the finding has none."""

    id: str
    where: str
    words: Phrase


@dataclass(frozen=True, slots=True)
class HeardAbsence:
    """A finding of which the person says that it is not there, anywhere."""

    id: str
    words: Phrase


@dataclass(frozen=True, slots=True)
class HeardSetting:
    """A value for the field of the Report at a dotted path, in the Report's unit."""

    field: str
    value: Value
    words: Phrase


@dataclass(frozen=True, slots=True)
class Unsure:
    """Something to be asked; it is not in the Report.

    Attributes:
        about: Finding id or dotted path of a field.
        reason: ``hedged`` said as a guess or a question, ``ambiguous`` may mean something else, someone else's print or
            two values, ``typo`` a word put right twice, ``place`` and ``mirror`` only the place is unclear.
    """

    about: str
    words: Phrase
    reason: Reason


@dataclass(frozen=True, slots=True)
class Heard:
    """All that was understood, what must be asked, and what was not read."""

    findings: tuple[HeardFinding, ...] = ()
    absences: tuple[HeardAbsence, ...] = ()
    settings: tuple[HeardSetting, ...] = ()
    readings: Readings | None = None
    readings_words: Phrase | None = None
    unread: tuple[Phrase, ...] = ()
    unsure: tuple[Unsure, ...] = ()


def read_sentence(text: str, lexicon: SentenceLexicon, knowledge: Knowledge) -> Heard:
    """Return what one message says about a failed print.

    Args:
        text: As typed, at most ``LONGEST`` characters, of any content.
        lexicon: Of the person's language.
        knowledge: For the findings and places there are.

    Raises:
        UnusableInput: The text is too long.
    """
    if len(text) > LONGEST:
        raise UnusableInput((Fault("text", text, "sentence_too_long", {"count": len(text), "most": LONGEST}),))
    tokens = split_tokens(text, lexicon.spelling)
    names = lexicon.name_tokens(tokens)
    outline = outline_text(tokens, names)
    claims = hear_claims(tokens, names, outline, lexicon)
    mentions = find_places(names, knowledge)
    page = _Page(text, tokens, names)
    placed = place_claims(claims, mentions, names, outline, knowledge)
    findings = tuple(_findings(placed, page))
    absences = tuple(_absences(placed, findings, page))
    settings, contested = _settings(claims, page)
    readings = hear_readings(text, tokens, names, outline, lexicon.readings)
    return Heard(
        findings=findings,
        absences=absences,
        settings=settings,
        readings=readings[0] if readings else None,
        readings_words=page.phrase(*readings[1]) if readings else None,
        unread=tuple(_unread(claims, mentions, outline, page, readings[1] if readings else (0, 0))),
        unsure=_once((*_asked(placed, findings, page), *contested)),
    )


def to_report(heard: Heard) -> Report:
    """Return the Report of what was understood; what is unsure is not in it."""
    told: dict[str, dict[str, Value]] = {}
    for setting in heard.settings:
        part, _, name = setting.field.partition(".")
        told.setdefault(part, {})[name] = setting.value
    return Report.model_validate(
        {
            **told,
            **({"readings": heard.readings} if heard.readings else {}),
            **({"findings": [Seen(id=one.id, where=one.where) for one in heard.findings]} if heard.findings else {}),
            **({"absent": [absence.id for absence in heard.absences]} if heard.absences else {}),
        }
    )


def describe(heard: Heard, words: Words) -> tuple[str, ...]:
    """Return one line for each thing understood, then for each to be asked, each with the words it came from."""

    def line(kind: str, phrase: Phrase, **values: object) -> str:
        return words.say(f"sentences.{kind}", words=_on_one_line(phrase.text), **values)

    return (
        *(
            line(
                "finding" if found.where == UNKNOWN else "placed",
                found.words,
                finding=words.say(f"findings.{found.id}.name"),
                where=words.say(f"places.{found.where}"),
            )
            for found in heard.findings
        ),
        *(
            line("absence", absence.words, finding=words.say(f"findings.{absence.id}.absent"))
            for absence in heard.absences
        ),
        *(
            line("setting", one.words, setting=_name(one.field, words), value=_value(one, words))
            for one in heard.settings
        ),
        *(line("readings", phrase) for phrase in (heard.readings_words,) if phrase is not None),
        *(
            line(f"ask.{unsure.reason}", unsure.words, question=_question(unsure.about, words))
            for unsure in heard.unsure
        ),
        *(line("unread", phrase) for phrase in heard.unread),
    )


@dataclass(frozen=True, slots=True)
class _Page:
    text: str
    tokens: Sequence[Token]
    names: Names

    def phrase(self, start: int, end: int) -> Phrase:
        """Return the words from one token to another, with the article before them."""
        while start and "<the>" in self.names[start - 1]:
            start -= 1
        first, last = self.tokens[start].start, self.tokens[end - 1].end
        return Phrase(self.text[first:last], first, last)

    def of(self, placed: Placed) -> Phrase:
        """Return a finding's words, with those of its place where they stand near."""
        start, end, mention = placed.claim.start, placed.claim.end, placed.mention
        if mention and max(mention.start - end, start - mention.end) <= PLACE_TOO_FAR:
            start, end = min(start, mention.start), max(end, mention.end)
        return self.phrase(start, end)


def _findings(placed: Iterable[Placed], page: _Page) -> Iterator[HeardFinding]:
    taken = [one for one in placed if one.claim.kind == "seen"]
    known = {(one.claim.about, one.where) for one in taken}
    given: set[tuple[str, str]] = set()
    for one in taken:
        key = one.claim.about, one.where
        elsewhere = any(about == key[0] and where != UNKNOWN for about, where in known)
        if key in given or (one.where == UNKNOWN and elsewhere):
            continue
        given.add(key)
        yield HeardFinding(*key, page.of(one))


def _absences(placed: Iterable[Placed], findings: Sequence[HeardFinding], page: _Page) -> Iterator[HeardAbsence]:
    present = {found.id for found in findings}
    given: set[str] = set()
    for one in placed:
        about = one.claim.about
        # Absent at one place only says where a finding is not; it does not say that it is nowhere.
        here_only = one.where not in {UNKNOWN, "everywhere"} or one.reason
        if one.claim.kind == "absent" and not here_only and about not in present | given:
            given.add(about)
            yield HeardAbsence(about, page.of(one))


def _asked(placed: Iterable[Placed], findings: Sequence[HeardFinding], page: _Page) -> Iterator[Unsure]:
    settled = {found.id for found in findings if found.where != UNKNOWN}
    present = {found.id for found in findings}
    for one in placed:
        about = one.claim.about
        if one.claim.kind == "ask" and about not in present:
            yield Unsure(about, page.of(one), cast("Reason", one.claim.reason))
        elif one.claim.kind == "seen" and one.reason and about not in settled:
            yield Unsure(about, page.of(one), cast("Reason", one.reason))


def _settings(claims: Iterable[Claim], page: _Page) -> tuple[tuple[HeardSetting, ...], tuple[Unsure, ...]]:
    heard: dict[str, HeardSetting] = {}
    unsure: list[Unsure] = []
    for claim in claims:
        if claim.value is None:
            continue
        phrase = page.phrase(claim.start, claim.end)
        value = _whole(claim.value)
        before = heard.get(claim.about)
        if claim.kind == "ask":
            unsure.append(Unsure(claim.about, phrase, cast("Reason", claim.reason)))
        elif not _is_possible(claim.about, value) or (before is not None and before.value != value):
            unsure.append(Unsure(claim.about, phrase, "ambiguous"))
        else:
            heard.setdefault(claim.about, HeardSetting(claim.about, value, phrase))
    contested = {one.about for one in unsure if one.reason == "ambiguous"}
    unsure.extend(Unsure(field, heard.pop(field).words, "ambiguous") for field in contested & heard.keys())
    return tuple(heard.values()), tuple(one for one in unsure if one.about not in heard)


def _whole(value: Value) -> Value:
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _is_possible(path: str, value: Value) -> bool:
    part, _, name = path.partition(".")
    try:
        Report.model_validate({part: {name: value}})
    except ValidationError:
        return False
    return True


def _once(unsure: Iterable[Unsure]) -> tuple[Unsure, ...]:
    first: dict[tuple[str, str], Unsure] = {}
    for one in unsure:
        first.setdefault((one.about, one.reason), one)
    return tuple(sorted(first.values(), key=lambda one: (one.words.start, one.about)))


def _unread(
    claims: Iterable[Claim], mentions: Iterable[Mention], outline: Outline, page: _Page, readings: Span
) -> Iterator[Phrase]:
    """Yield runs of clauses of one sentence in which nothing was understood."""
    read = {index for claim in claims for index in range(claim.start, claim.end)}
    read |= set(range(*readings))
    read |= {index for mention in mentions if mention.fine for index in range(mention.start, mention.end)}
    run: tuple[int, int] | None = None
    for start, end in outline.clauses:
        unread = read.isdisjoint(range(start, end)) and any(page.tokens[index].is_word for index in range(start, end))
        joined = run is not None and unread and outline.sentence_of[run[0]] == outline.sentence_of[start]
        if run is not None and not joined:
            yield page.phrase(*run)
            run = None
        if unread:
            run = (run[0] if run is not None else start, end)
    if run is not None:
        yield page.phrase(*run)


def _on_one_line(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def _question(about: str, words: Words) -> str:
    asks = f"findings.{about}.asks"
    return words.say(asks) if words.has(asks) else words.say("sentences.ask.value", setting=_name(about, words))


def _name(path: str, words: Words) -> str:
    return words.say(f"sentences.settings.{path.rpartition('.')[2]}")


def _value(setting: HeardSetting, words: Words) -> str:
    known = f"sentences.values.{setting.value}".lower()
    unit = f"sentences.units.{setting.field.rpartition('.')[2]}"
    value = words.say(known) if words.has(known) else str(setting.value)
    return words.say(unit, value=value) if words.has(unit) else value
