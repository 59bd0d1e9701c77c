"""What a person told us, said back in a few lines that can be pasted elsewhere.

In: Report. Out: lines with the person's own numbers and units. This file must never judge anything.
"""

from collections.abc import Iterator, Mapping

from core.report import POSITIONS, Part, Report
from core.words import Words


def recap(report: Report, words: Words) -> tuple[str, ...]:
    """Return readings, findings with their places, absences and settings, one line each; nothing that was not given."""
    return tuple(_lines(report, words))


def _lines(report: Report, words: Words) -> Iterator[str]:
    if report.readings is not None:
        told = [
            words.say("recap.reading", place=words.say(f"positions.{place.value}"), value=_repeats(repeats, words))
            for place in POSITIONS
            if (repeats := report.readings.at(place)) != ()
        ]
        yield words.say("recap.readings", nominal=report.readings.nominal_mm, readings=", ".join(told))
    by_finding: dict[str, list[str]] = {}
    for seen in report.findings:
        by_finding.setdefault(seen.id, []).extend([seen.where] if seen.where != "unknown" else [])
    if by_finding:
        named = [
            words.say("recap.placed", finding=words.say(f"findings.{name}.name"), places=words.listed(
                [words.say(f"places.{place}") for place in places]
            ))
            if places
            else words.say(f"findings.{name}.name")
            for name, places in by_finding.items()
        ]  # fmt: skip
        yield words.say("recap.seen", findings="; ".join(named))
    if report.absent:
        yield words.say(
            "recap.absent", findings="; ".join(words.say(f"findings.{name}.name") for name in report.absent)
        )
    values = [
        words.say(f"recap.fields.{part}.{field}", value=_value(value, words))
        for part, held in _parts(report).items()
        for field, value in held.model_dump().items()
        if value is not None and value != "unknown"
    ]
    if values:
        yield words.say("recap.settings", settings=", ".join(values))


def _parts(report: Report) -> Mapping[str, Part]:
    return {"settings": report.settings, "raft": report.raft, "machine": report.machine, "resin": report.resin}


def _repeats(repeats: tuple[float, ...] | None, words: Words) -> str:
    return words.say("recap.lost") if repeats is None else "/".join(f"{value:.2f}" for value in repeats)


def _value(value: object, words: Words) -> str:
    if isinstance(value, bool):
        return words.say(f"recap.{'yes' if value else 'no'}")
    if isinstance(value, float):
        return f"{value:g}"
    # What is one of a few has a name of its own; a thread such as M4 is written alike everywhere.
    key = f"recap.values.{value}"
    return words.say(key) if words.has(key) else str(value)
