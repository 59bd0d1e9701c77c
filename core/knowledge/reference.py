"""Knowledge and words in, one Markdown page of everything the data say out, for the developers' handbook.

This file must never know a particular cause, finding or remedy, nor where the page is put.
"""

from collections.abc import Iterable, Iterator, Sequence

from core.knowledge.schema import Knowledge
from core.words import Words

Row = Sequence[str]


def reference_page(knowledge: Knowledge, words: Words) -> str:
    """Return all causes, findings, profiles, norms, remedies, checks, cautions and sources as Markdown tables."""
    sections = (
        _section("causes", ("id", "kind", "prior", "name", "source"), _causes(knowledge, words), words),
        _section(
            "findings",
            ("id", "place", "side", "leak", "effort", "links", "name", "source"),
            _findings(knowledge, words),
            words,
        ),
        _section("profiles", ("id", *_KINDS_OF_PLACE, "source"), _profiles(knowledge), words),
        words.say("reference.evenly"),
        _section("norms", ("id", "value", "unit", "note", "source"), _norms(knowledge), words),
        _section(
            "remedies",
            ("id", "kind", "causes", "raises_exposure", "effort", "cautions", "name", "source"),
            _remedies(knowledge, words),
            words,
        ),
        _section("checks", ("id", "about", "effort", "cautions", "name", "source"), _checks(knowledge, words), words),
        _section("cautions", ("id", "name", "source"), _cautions(knowledge, words), words),
        _section("sources", ("id", "title", "how"), _sources(knowledge), words),
    )
    return "\n\n".join(sections) + "\n"


_KINDS_OF_PLACE = ("everywhere", "side_or_corner", "edges", "centre", "scattered")


def _section(part: str, columns: Sequence[str], rows: Iterable[Row], words: Words) -> str:
    heads = [words.say(f"reference.columns.{column}") for column in columns]
    lines = [_line(heads), _line(["---"] * len(heads)), *(_line(row) for row in rows)]
    return "\n".join((f"### {words.say(f'reference.headings.{part}')}", "", *lines))


def _line(cells: Iterable[str]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"


def _code(name: str) -> str:
    return f"`{name}`"


def _codes(names: Iterable[str]) -> str:
    return ", ".join(_code(name) for name in names)


def _yes_or_no(answer: bool, words: Words) -> str:  # noqa: FBT001 - it is the answer itself
    return words.say("reference.yes" if answer else "reference.no")


def _causes(knowledge: Knowledge, words: Words) -> Iterator[Row]:
    for name, cause in knowledge.causes.items():
        said = words.say(f"causes.{name}.name")
        yield _code(name), cause.kind, f"{cause.prior:.2f}", said, _code(cause.source)


def _findings(knowledge: Knowledge, words: Words) -> Iterator[Row]:
    for name, finding in knowledge.findings.items():
        yield (
            _code(name),
            _yes_or_no(finding.placed, words),
            finding.side or "",
            f"{finding.leak:.2f}",
            f"{finding.effort:g}",
            ", ".join(f"{_code(cause)} {link:.2f}" for cause, link in finding.links.items()),
            words.say(f"findings.{name}.name"),
            _code(finding.source),
        )


def _profiles(knowledge: Knowledge) -> Iterator[Row]:
    for name, profile in knowledge.profiles.items():
        chances = profile.model_dump(include=set(_KINDS_OF_PLACE))
        yield _code(name), *(f"{chances[kind]:.2f}" for kind in _KINDS_OF_PLACE), _code(profile.source)


def _norms(knowledge: Knowledge) -> Iterator[Row]:
    for name, norm in knowledge.norms.items():
        yield _code(name), f"{norm.value:g}", norm.unit, norm.note, _code(norm.source)


def _remedies(knowledge: Knowledge, words: Words) -> Iterator[Row]:
    for name, remedy in knowledge.remedies.items():
        yield (
            _code(name),
            remedy.kind,
            _codes(remedy.causes),
            _yes_or_no(remedy.raises_exposure, words),
            f"{remedy.effort:g}",
            _codes(remedy.cautions),
            words.say(f"remedies.{name}.name"),
            _code(remedy.source),
        )


def _checks(knowledge: Knowledge, words: Words) -> Iterator[Row]:
    for name, check in knowledge.checks.items():
        yield (
            _code(name),
            _code(check.about),
            f"{check.effort:g}",
            _codes(check.cautions),
            words.say(f"checks.{name}"),
            _code(check.source),
        )


def _cautions(knowledge: Knowledge, words: Words) -> Iterator[Row]:
    for name, caution in knowledge.cautions.items():
        yield _code(name), words.say(f"cautions.{name}"), _code(caution.source)


def _sources(knowledge: Knowledge) -> Iterator[Row]:
    for name, source in knowledge.sources.items():
        yield _code(name), source.title, source.how
