"""How what a person adds joins what their open case already holds. Pure: reports in, a report out."""

from collections.abc import Iterable

from core.report import POSITIONS, Part, Readings, Report


def join(report: Report, added: Report) -> Report:
    """Return ``report`` with everything that ``added`` says.

    A full set of five readings takes the place of the earlier set; a part of a set replaces only those coupons.
    Settings, raft, machine and resin are overlaid value by value. A finding that is added is no longer absent, an
    absence removes every finding of that id; the same finding at another place stands beside the first, a known
    place replaces an unknown.
    """
    parts: dict[str, object] = {}
    for name in added.model_fields_set:
        new = getattr(added, name)
        if name == "readings":
            parts[name] = _join_readings(report.readings, added.readings)
        elif name in {"findings", "absent"}:
            continue
        else:
            parts[name] = _overlay(getattr(report, name), new)
    if added.model_fields_set & {"findings", "absent"}:
        parts |= _join_findings(report, added)
    return report.model_copy(update=parts)


def is_correction(before: Readings, now: Readings) -> bool:
    """Say whether ``now`` puts single coupons of ``before`` right: fewer than half of them read otherwise.

    Nobody levels a plate and finds most coupons unmoved to the hundredth, so such a set is the same plate, read again.
    """
    differing = [position for position in POSITIONS if before.at(position) != now.at(position)]
    return 0 < len(differing) < len(POSITIONS) / 2


def sets_of(told: Iterable[Readings | None]) -> tuple[Readings, ...]:
    """Return the sets of readings among all that were told, oldest first, each as it was last put right."""
    sets: list[Readings] = []
    for now in told:
        if now is None or (sets and now == sets[-1]):
            continue
        if sets and is_correction(sets[-1], now):
            sets[-1] = now
        else:
            sets.append(now)
    return tuple(sets)


def _join_readings(earlier: Readings | None, added: Readings | None) -> Readings | None:
    if earlier is None or added is None:
        return added if added is not None else earlier
    given = {position.value for position in POSITIONS if added.at(position) != ()}
    if len(given) == len(POSITIONS):
        return added
    return earlier.model_copy(
        update={name: getattr(added, name) for name in added.model_fields_set & (given | {"nominal_mm"})}
    )


def _overlay(earlier: Part, added: Part) -> Part:
    return earlier.model_copy(update={name: getattr(added, name) for name in added.model_fields_set})


def _join_findings(report: Report, added: Report) -> dict[str, object]:
    now_seen = {seen.id for seen in added.findings}
    placed = {seen.id for seen in added.findings if seen.where != "unknown"}
    kept = [
        seen
        for seen in report.findings
        if seen.id not in added.absent
        and seen not in added.findings
        and not (seen.where == "unknown" and seen.id in placed)
    ]
    known = {seen.id for seen in kept}
    # An unplaced repeat of a finding whose place is known adds nothing.
    fresh = [seen for seen in added.findings if not (seen.where == "unknown" and seen.id in known)]
    absent = [name for name in report.absent if name not in now_seen and name not in added.absent]
    return {"findings": (*kept, *fresh), "absent": (*absent, *added.absent)}
