"""Knowledge in, what does not fit together in it out, as faults for its author.

``check_knowledge`` also asks whether every identifier has its words in a language. This file must never know
a particular cause, finding or remedy, nor the words for a fault.
"""

from collections.abc import Collection, Iterator, Mapping
from math import fsum, isclose

from rapidfuzz import process

from core.errors import Fault
from core.knowledge.schema import (
    Adjuster,
    Cause,
    Caution,
    Check,
    Finding,
    Knowledge,
    Norm,
    PlaceProfile,
    Remedy,
)
from core.report import POSITIONS, Machine, Raft, Resin, Settings
from core.words import Words

SUM_TOLERANCE = 1e-9

WORDS: Mapping[str, tuple[str, ...]] = {
    "causes": (".name", ".short", ".words"),
    "findings": (".name", ".asks", ".absent"),
    "remedies": (".name", ".words", ".worked_if"),
    "places": ("",),
    "cautions": ("",),
    "checks": ("",),
}
"""Which texts each identifier of a part needs, as endings of ``<part>.<id>``."""

NO_PLACE = "unknown"
"""Said of a finding without a place; it has words but is no entry."""


def check_knowledge(knowledge: Knowledge, words: Words) -> tuple[Fault, ...]:
    """Return everything that does not fit together, and every text a language lacks or has for nothing."""
    return (
        *check_references(knowledge),
        *check_completeness(knowledge),
        *check_words(knowledge, words),
    )


def check_references(knowledge: Knowledge, ids: Mapping[str, Collection[str]] | None = None) -> tuple[Fault, ...]:
    """Return a fault for every name that refers to nothing and every profile that does not sum to 1.

    Args:
        knowledge: What was read.
        ids: Identifiers that exist per part, where some entries could not be read; what refers to a part
            that is not named is not checked.
    """
    ids = ids if ids is not None else _ids(knowledge)
    return (
        *_unknown(knowledge, ids),
        *_unresolved_checks(knowledge, ids),
        *_wrong_sums(knowledge.profiles),
    )


def check_completeness(knowledge: Knowledge) -> tuple[Fault, ...]:
    """Return a fault for each cause nothing shows or remedies, each finding nothing explains or looks for."""
    remedied = {cause for remedy in knowledge.remedies.values() if remedy.kind != "check" for cause in remedy.causes}
    shown = {cause for finding in knowledge.findings.values() for cause in finding.links}
    looked_for = {check.about for check in knowledge.checks.values()}
    faults: list[Fault] = []
    for name in knowledge.causes:
        if name not in remedied:
            faults.append(Fault(f"causes.toml: {name}", name, "cause_without_remedy"))
        if name not in shown:
            faults.append(Fault(f"causes.toml: {name}", name, "cause_without_finding"))
    for name, finding in knowledge.findings.items():
        if not finding.links:
            faults.append(Fault(f"findings.toml: {name}.links", name, "finding_without_cause"))
        if f"finding:{name}" not in looked_for:
            faults.append(Fault(f"findings.toml: {name}", name, "finding_without_check"))
        if finding.side and not finding.placed:
            faults.append(Fault(f"findings.toml: {name}.side", finding.side, "side_without_place"))
    return tuple(faults)


def check_words(knowledge: Knowledge, words: Words) -> tuple[Fault, ...]:
    """Return a fault for every text an identifier lacks, and for texts of identifiers that do not exist."""
    ids = {part: (*names, NO_PLACE) if part == "places" else names for part, names in _ids(knowledge).items()}
    where = f"words/{words.language}"
    missing = (
        Fault(f"{where}: {part}.{name}{ending}", "", "words_missing")
        for part, endings in WORDS.items()
        for name in ids[part]
        for ending in endings
        if not words.has(f"{part}.{name}{ending}")
    )
    spoken = {part: dict.fromkeys(rest.partition(".")[0] for rest, _ in words.under(part)) for part in WORDS}
    idle = (
        Fault(f"{where}: {part}.{name}", name, "unknown_reference", _accepted(part, name, ids[part]))
        for part, names in spoken.items()
        for name in names
        if name not in ids[part]
    )
    return (*missing, *idle)


def _ids(knowledge: Knowledge) -> Mapping[str, tuple[str, ...]]:
    parts: Mapping[str, Mapping[str, object]] = {
        "causes": knowledge.causes,
        "findings": knowledge.findings,
        "places": knowledge.places,
        "profiles": knowledge.profiles,
        "norms": knowledge.norms,
        "remedies": knowledge.remedies,
        "checks": knowledge.checks,
        "cautions": knowledge.cautions,
        "sources": knowledge.sources,
        "adjusters": knowledge.adjusters,
        "guides": knowledge.guides,
    }
    return {part: tuple(entries) for part, entries in parts.items()}


def _accepted(part: str, given: str, known: Collection[str]) -> Mapping[str, object]:
    closest = "".join(name for name, _, _ in process.extract(given, list(known), limit=1))
    return {"file": f"{part}.toml", "accepted": ", ".join(known), "meant": closest}


def _unknown(knowledge: Knowledge, ids: Mapping[str, Collection[str]]) -> Iterator[Fault]:
    for field, part, given in _references(knowledge):
        if part in ids and given not in ids[part]:
            yield Fault(field, given, "unknown_reference", _accepted(part, given, ids[part]))


def _references(knowledge: Knowledge) -> Iterator[tuple[str, str, str]]:
    """Yield where it stands, which part it refers to, and the name, for every reference by name."""
    for name, finding in knowledge.findings.items():
        yield from ((f"findings.toml: {name}.links.{cause}", "causes", cause) for cause in finding.links)
        if finding.mistaken_for:
            yield f"findings.toml: {name}.mistaken_for", "findings", finding.mistaken_for
    yield from ((f"profiles.toml: {name}", "causes", name) for name in knowledge.profiles)
    for name, remedy in knowledge.remedies.items():
        yield from ((f"remedies.toml: {name}.causes", "causes", cause) for cause in remedy.causes)
        yield from ((f"remedies.toml: {name}.cautions", "cautions", caution) for caution in remedy.cautions)
    for name, check in knowledge.checks.items():
        yield from ((f"checks.toml: {name}.cautions", "cautions", caution) for caution in check.cautions)
    yield from ((f"adjusters.toml: {name}.guide", "guides", kind.guide) for name, kind in knowledge.adjusters.items())
    for name, guide in knowledge.guides.items():
        yield from ((f"guides.toml: {name}.cautions", "cautions", caution) for caution in guide.cautions)
    for part, entries in _sourced(knowledge).items():
        yield from ((f"{part}.toml: {name}.source", "sources", entry.source) for name, entry in entries.items())


def _sourced(
    knowledge: Knowledge,
) -> Mapping[str, Mapping[str, Cause | Finding | PlaceProfile | Norm | Remedy | Check | Caution | Adjuster]]:
    return {
        "causes": knowledge.causes,
        "findings": knowledge.findings,
        "profiles": knowledge.profiles,
        "norms": knowledge.norms,
        "remedies": knowledge.remedies,
        "checks": knowledge.checks,
        "cautions": knowledge.cautions,
        "adjusters": knowledge.adjusters,
    }


def _unresolved_checks(knowledge: Knowledge, ids: Mapping[str, Collection[str]]) -> Iterator[Fault]:
    known = {
        "readings": {""},
        "reading": {position.value for position in POSITIONS},
        "setting": {field for part in (Settings, Raft, Machine, Resin) for field in part.model_fields},
    }
    if "findings" in ids:
        known["finding"] = set(ids["findings"])
    for name, check in knowledge.checks.items():
        about, _, what = check.about.partition(":")
        if about == "finding" and "finding" not in known:
            continue
        if what not in known.get(about, ()):
            accepted = [f"{kind}:{one}" if one else kind for kind, some in known.items() for one in sorted(some)]
            yield Fault(
                f"checks.toml: {name}.about",
                check.about,
                "about_nothing",
                _accepted("checks", check.about, accepted),
            )


def _wrong_sums(profiles: Mapping[str, PlaceProfile]) -> Iterator[Fault]:
    for name, profile in profiles.items():
        chances = (
            profile.everywhere,
            profile.side_or_corner,
            profile.edges,
            profile.centre,
            profile.scattered,
        )
        total = fsum(chances)
        if not isclose(total, 1, rel_tol=0, abs_tol=SUM_TOLERANCE):
            yield Fault(f"profiles.toml: {name}", f"{total:.6g}", "does_not_sum_to_one")
