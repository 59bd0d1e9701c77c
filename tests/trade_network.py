"""The whole network of the trade, straight from the knowledge data, and invented evidence for it.

Every placed finding stands once as such and once for each of its places, spread by the causes' profiles alone.
"""

from collections import Counter
from random import Random

from core.knowledge import Knowledge
from core.knowledge.schema import PlaceKind

Event = tuple[float, dict[str, float]]


def describe_trade(knowledge: Knowledge) -> tuple[dict[str, float], dict[str, Event], dict[str, tuple[str, ...]]]:
    """Return cause to prior, event to leak and links, and finding to the events that one look at it settles."""
    kinds = Counter(place.kind for place in knowledge.places.values())
    events: dict[str, Event] = {}
    looks: dict[str, tuple[str, ...]] = {}
    for name, finding in knowledge.findings.items():
        if not finding.placed:
            events[name] = (finding.leak, dict(finding.links))
            looks[name] = (name,)
            continue
        for place, entry in knowledge.places.items():
            events[f"{name}@{place}"] = (
                finding.leak / len(knowledge.places),
                {
                    cause: link * _share(knowledge, cause, entry.kind, len(kinds)) / kinds[entry.kind]
                    for cause, link in finding.links.items()
                },
            )
        looks[name] = tuple(f"{name}@{place}" for place in knowledge.places)
    return {cause: entry.prior for cause, entry in knowledge.causes.items()}, events, looks


def invent_evidence(
    looks: dict[str, tuple[str, ...]], chance: Random, seen: int, unseen: int, *, placed_first: bool = False
) -> tuple[list[str], list[str]]:
    """Return positive and negative events: ``seen`` findings at one place each, ``unseen`` findings nowhere."""
    findings = list(looks)
    chance.shuffle(findings)
    if placed_first:
        findings.sort(key=lambda finding: -len(looks[finding]))
    positive, negative = [], []
    for finding in findings[:seen]:
        at = chance.choice(looks[finding])
        positive.append(at)
        negative += [event for event in looks[finding] if event != at]
    for finding in findings[seen : seen + unseen]:
        negative += looks[finding]
    return positive, negative


def repeat(seed: int) -> Random:
    """Return a source of invented values that are the same in every run."""
    return Random(seed)  # noqa: S311 - invented evidence, no secret


def _share(knowledge: Knowledge, cause: str, kind: PlaceKind, kinds: int) -> float:
    profile = knowledge.profiles.get(cause)
    return 1 / kinds if profile is None else float(getattr(profile, kind))
