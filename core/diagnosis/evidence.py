"""From a report to the events of the network: what was seen, where, and what was looked for in vain.

In: Report, Knowledge. Out: observations, each with its positive and negative events. A finding with a place is split
into its places: the reported ones are positive, the others negative. This file must never know leaks, links, or how the
network is solved.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from core.errors import Fault, UnusableInput
from core.knowledge import Knowledge
from core.knowledge.schema import Place
from core.report import CORNERS, Position, Report, Seen

UNKNOWN = "unknown"

Origin = Literal["told", "raft", "coupon"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Observation:
    """One finding that was seen, or looked for and not seen.

    Attributes:
        finding: Its id.
        places: Where it was seen; empty for an unknown place and for an absence.
        present: Whether it was seen.
        origin: Whether the person said so, or the raft's thickness or a lost coupon shows it.
        positive, negative: Events of the network that hold and that do not.
        values: The person's own numbers, for the words.
    """

    finding: str
    places: tuple[str, ...]
    present: bool
    origin: Origin
    positive: tuple[str, ...]
    negative: tuple[str, ...]
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All observations in the order of the data.

    Attributes:
        contradicted: Findings reported both as seen and as not seen; the sighting counts.
    """

    observations: tuple[Observation, ...]
    contradicted: tuple[str, ...]

    @property
    def positive(self) -> tuple[str, ...]:
        """Events that hold."""
        return tuple(event for observation in self.observations for event in observation.positive)

    @property
    def negative(self) -> tuple[str, ...]:
        """Events that do not hold."""
        return tuple(event for observation in self.observations for event in observation.negative)


def gather(report: Report, knowledge: Knowledge) -> Evidence:
    """Turn a report into observations and their events, whatever the order in which it was told.

    Where more places were named than the norm ``most_positive_split``, the several places of one finding are taken
    together.

    Raises:
        UnusableInput: A finding or a place is not in the knowledge.
    """
    _refuse_unknown(report, knowledge)
    seen = _seen(report, knowledge)
    if sum(max(len(places), 1) for _, places in seen.values()) > knowledge.norm("most_positive_split"):
        seen = {name: (origin, places if len(places) == 1 else ()) for name, (origin, places) in seen.items()}
    as_sliced = _raft_as_sliced(report, knowledge)
    observations: list[Observation] = []
    for finding in knowledge.findings:
        if finding in seen:
            observations.append(_sighting(finding, *seen[finding], report, knowledge))
        elif finding in report.absent:
            observations.append(_absence(finding, (finding,)))
        elif finding in as_sliced:
            observations.append(as_sliced[finding])
    told = {one.id for one in report.findings}
    return Evidence(
        observations=tuple(observations),
        contradicted=tuple(name for name in knowledge.findings if name in told and name in report.absent),
    )


def mirrored(report: Report, knowledge: Knowledge) -> Report:
    """Return the report as if every place had been named on a plate turned over: left and right change names."""
    return report.model_copy(
        update={
            "findings": tuple(
                seen.model_copy(update={"where": _across(seen.where, knowledge)}) for seen in report.findings
            )
        }
    )


# ---- places ---------------------------------------------------------------------------------------


def _across(where: str, knowledge: Knowledge) -> str:
    place = knowledge.places.get(where)
    return where if place is None else _place(knowledge, place.kind, -place.x, place.y)


def _place(knowledge: Knowledge, kind: str, x: int = 0, y: int = 0) -> str:
    def fits(place: Place) -> bool:
        return (place.kind, place.x, place.y) == (kind, x, y)

    return next(name for name, place in knowledge.places.items() if fits(place))


# ---- what was seen --------------------------------------------------------------------------------


def _seen(report: Report, knowledge: Knowledge) -> dict[str, tuple[Origin, tuple[str, ...]]]:
    """Finding to origin and places. What the person says comes before what thickness or coupons show."""
    seen: dict[str, tuple[Origin, tuple[str, ...]]] = {}
    for name in {one.id for one in report.findings}:
        seen[name] = ("told", _places(name, report.findings, knowledge))
    raft = _raft_finding(report, knowledge)
    if raft is not None and raft not in seen:
        seen[raft] = ("raft", ())
    lost = () if report.readings is None else report.readings.lost
    # A coupon that did not stick is a finding, not a zero.
    if lost and not seen.get("missing_parts", ("told", ()))[1]:
        seen["missing_parts"] = ("coupon", (_where_lost(lost, knowledge),))
    return seen


def _places(finding: str, findings: Iterable[Seen], knowledge: Knowledge) -> tuple[str, ...]:
    named = {one.where for one in findings if one.id == finding}
    return tuple(place for place in knowledge.places if place in named) if knowledge.findings[finding].placed else ()


def _raft_finding(report: Report, knowledge: Knowledge) -> str | None:
    raft = report.raft
    if raft.sliced_mm is None or raft.measured_mm is None:
        return None
    difference = raft.measured_mm - raft.sliced_mm
    if abs(difference) <= knowledge.norm("raft_difference_mm"):
        return None
    return "thin_raft" if difference < 0 else "thick_raft"


def _raft_as_sliced(report: Report, knowledge: Knowledge) -> Mapping[str, Observation]:
    """A raft that measures as sliced is thin or thick not everywhere; of one side it says nothing."""
    raft = report.raft
    if raft.sliced_mm is None or raft.measured_mm is None or _raft_finding(report, knowledge) is not None:
        return {}
    everywhere = _place(knowledge, "everywhere")
    return {
        name: _absence(name, (f"{name}@{everywhere}",), "raft", _raft_values(report))
        for name in ("thin_raft", "thick_raft")
    }


def _raft_values(report: Report) -> Mapping[str, object]:
    return {"sliced_mm": report.raft.sliced_mm, "measured_mm": report.raft.measured_mm}


def _where_lost(lost: tuple[Position, ...], knowledge: Knowledge) -> str:
    """Return the place that lost coupons make together."""
    corners = [position for position in lost if position in CORNERS]
    if len(lost) > len(CORNERS):
        return _place(knowledge, "everywhere")
    if len(corners) == len(CORNERS):
        return _place(knowledge, "edges")
    if not corners:
        return _place(knowledge, "centre")
    x = {position.x for position in corners}
    y = {position.y for position in corners}
    if len(x) > 1 and len(y) > 1:
        return _place(knowledge, "scattered")
    return _place(knowledge, "side_or_corner", x.pop() if len(x) == 1 else 0, y.pop() if len(y) == 1 else 0)


def _sighting(
    finding: str, origin: Origin, places: tuple[str, ...], report: Report, knowledge: Knowledge
) -> Observation:
    return Observation(
        finding=finding,
        places=places,
        present=True,
        origin=origin,
        positive=tuple(f"{finding}@{place}" for place in places) or (finding,),
        negative=tuple(f"{finding}@{place}" for place in knowledge.places if place not in places) if places else (),
        values=_raft_values(report) if origin == "raft" else {},
    )


def _absence(
    finding: str,
    events: tuple[str, ...],
    origin: Origin = "told",
    values: Mapping[str, object] | None = None,
) -> Observation:
    return Observation(
        finding=finding,
        places=(),
        present=False,
        origin=origin,
        positive=(),
        negative=events,
        values=values or {},
    )


def _refuse_unknown(report: Report, knowledge: Knowledge) -> None:
    told = [*(("findings", one.id) for one in report.findings), *(("absent", name) for name in report.absent)]
    findings = {"accepted": ", ".join(knowledge.findings)}
    places = {"accepted": ", ".join((*knowledge.places, UNKNOWN))}
    faults = [Fault(where, name, "no_such_finding", findings) for where, name in told if name not in knowledge.findings]
    faults += [
        Fault("findings.where", seen.where, "no_such_place", places)
        for seen in report.findings
        if seen.where not in {*knowledge.places, UNKNOWN}
    ]
    if faults:
        raise UnusableInput(tuple(faults))
