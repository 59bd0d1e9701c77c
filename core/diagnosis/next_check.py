"""What to look at, measure or tell next: the most information about the causes for the least effort.

In: posed problem, evidence, geometry, report, knowledge. Out: at most two checks, with their gain and why. This file
must never know words or remedies.

Gain is the expected drop of the sum of the causes' binary entropies, in bits. For a finding it is exact, over the
places where it may show; of a report that names so many findings together that this takes more than ``_MOST_NUMBERS``,
it counts only whether the finding shows, and beyond that no finding is offered. For readings and settings it counts
only what they say about their own causes and not what that explains away elsewhere, so it is a little too low: a
contrast's outcome is discretised on a grid, its chances under sound and faulty machines taken from the same densities
that judge it; a setting's outcome is one of its two most telling answers, of which the norm ``setting_gain_share`` is
expected.
"""

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.densities import binary_entropy
from core.diagnosis.evidence import Evidence
from core.diagnosis.gain import expected_gain, information_gain, runs_needed
from core.diagnosis.geometry_shifts import GEOMETRIC, Contrast, contrast_of, geometry_ratio
from core.diagnosis.infer import Problem, solve
from core.diagnosis.model import NextCheck
from core.diagnosis.once import once_per_knowledge
from core.diagnosis.settings_shifts import RULES, Rule, given_fields
from core.geometry.model import Geometry
from core.knowledge import Knowledge
from core.report import Report

MOST_CHECKS = 2
"""More would be a questionnaire."""

_MOST_NUMBERS = 2**17
"""Numbers that the gains of findings may take: the runs needed, times two to the power of the problem's width."""

Gain = tuple[float, str, Mapping[str, object]]
"""Bits, code of the reason, values for its words."""


def choose_next(
    problem: Problem,
    evidence: Evidence,
    ratios: Mapping[str, float],
    marginals: Mapping[str, float],
    report: Report,
    geometry: Geometry | None,
    knowledge: Knowledge,
    *,
    nothing_told: bool = False,
) -> tuple[NextCheck, ...]:
    """Return at most ``MOST_CHECKS`` checks, the most bits per effort first; ties in the order of the data.

    Only what bears on a live cause is offered: one at least as probable as the norm ``live_probability`` and not yet
    settled. Without one, everything is. What would only tell whether some unrelated fault is there as well can wait.
    Where nothing was told, the coupons come first whatever a glance costs: everything else depends on them.
    """
    live = _live(marginals, knowledge)
    gains: dict[str, Gain] = {
        **_finding_gains(problem, evidence, live, knowledge),
        **_reading_gains(marginals, ratios, geometry, knowledge),
        **_setting_gains(marginals, live, report, knowledge),
    }
    offered = []
    for name, check in knowledge.checks.items():
        bits, code, values = gains.get(check.about, (0.0, "", {}))
        if bits >= knowledge.norm("next_gain_least"):
            offered.append(NextCheck(name, check.about, bits, check.effort, code, values))
    offered.sort(key=lambda check: (nothing_told and check.about != "readings", -check.gain_bits / check.effort))
    return _with_outlook(offered[:MOST_CHECKS], problem)


def candidate_events(evidence: Evidence, live: frozenset[str], knowledge: Knowledge) -> Mapping[str, tuple[str, ...]]:
    """Return finding to the events that looking would settle, for unobserved findings that a live cause shows."""
    observed = {observation.finding for observation in evidence.observations}
    return {
        name: tuple(f"{name}@{place}" for place in knowledge.places) if finding.placed else (name,)
        for name, finding in knowledge.findings.items()
        if name not in observed and not live.isdisjoint(finding.links)
    }


def told_by_test(probability: float, most: float, least: float) -> float:
    """Return the bits a yes-or-no test gives about a cause, where yes says ``most`` and no says ``least`` log-odds.

    A test is fixed by its two likelihood ratios: P(yes | sound) = (1 - e^least)/(e^most - e^least), and
    P(yes | faulty) is e^most times that.
    """
    yes_sound = (1 - math.exp(least)) / (math.exp(most) - math.exp(least))
    yes_faulty = yes_sound * math.exp(most)
    expected = 0.0
    for sound, faulty in ((yes_sound, yes_faulty), (1 - yes_sound, 1 - yes_faulty)):
        either = (1 - probability) * sound + probability * faulty
        expected += either * binary_entropy(min(probability * faulty / either, 1.0))
    return max(binary_entropy(probability) - expected, 0.0)


def told_by_contrast(
    cause: str, probability: float, u: float, knowledge: Knowledge, seen: Contrast | None = None
) -> float:
    """Return the bits that measuring its contrast with standard uncertainty ``u`` (mm) gives about a geometric cause.

    The contrast is cut into ``_CELLS`` values; their chances on a sound machine follow from its scale, on a faulty one
    from the likelihood ratio, each made to sum to one. Where the contrast was ``seen`` with a larger uncertainty, each
    value counts by how well it agrees with that, and ``probability`` is the one before it was seen.
    """
    values, sound, faulty = _contrast_chances(knowledge, cause, u, _CELLS)
    agrees = np.ones_like(values)
    if seen is not None:
        blur = math.sqrt(max(seen.u**2 - u**2, 0.0))
        if blur == 0:
            return 0.0
        agrees = np.exp(-(((values - seen.value) / blur) ** 2) / 2)
    joint = np.stack([(1 - probability) * sound, probability * faulty]) * agrees
    return float(information_gain(joint / joint.sum()))


@once_per_knowledge
def _contrast_chances(
    knowledge: Knowledge, cause: str, u: float, cells: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return values of a contrast and their chances on a sound and on a faulty machine."""
    span = _REACH * knowledge.norm("offset_faulty_sd_mm")
    values = np.linspace(0.0 if cause == "tilt" else -span, span, cells)
    name = {"tilt": "tilt", "crown": "crown"}.get(cause, "offset")
    variance = knowledge.norm(f"{name}_sound_sd_mm") ** 2 + u**2
    # The plane's spread is the size of a quantity of two dimensions, so its density starts at zero.
    sound = np.exp(-(values**2) / (2 * variance)) * (values if cause == "tilt" else 1.0)
    faulty = sound * np.exp([geometry_ratio(cause, value, u, knowledge) for value in values.tolist()])
    chances = values, sound / sound.sum(), faulty / faulty.sum()
    for table in chances:
        table.setflags(write=False)
    return chances


_CELLS = 31
_REACH = 3.0
"""Contrasts beyond three faulty scales are too rare to count."""


# ---- what is worth asking about -------------------------------------------------------------------


def _live(marginals: Mapping[str, float], knowledge: Knowledge) -> frozenset[str]:
    """Return the causes that are worth telling apart; all of them where none stands out."""
    least, settled = knowledge.norm("live_probability"), knowledge.norm("settled_probability")
    standing_out = {cause for cause, probability in marginals.items() if probability >= least}
    if not standing_out:
        return frozenset(marginals)
    return frozenset(cause for cause in standing_out if marginals[cause] < settled)


def _settled_elsewhere(marginals: Mapping[str, float], knowledge: Knowledge) -> bool:
    """Say whether some cause stands out and no geometric one does."""
    least = knowledge.norm("live_probability")
    geometric = any(marginals[cause] >= least for cause in GEOMETRIC)
    return not geometric and max(marginals.values()) >= least


# ---- gains ----------------------------------------------------------------------------------------


def _finding_gains(
    problem: Problem, evidence: Evidence, live: frozenset[str], knowledge: Knowledge
) -> Mapping[str, Gain]:
    placed = candidate_events(evidence, live, knowledge)
    plain = {name: (name,) for name in placed}
    gains: Mapping[str, float] = {}
    for candidates in (placed, plain):
        if runs_needed(candidates) << problem.width <= _MOST_NUMBERS:
            gains = expected_gain(problem, candidates)
            break
    return {f"finding:{name}": (bits, "finding", {"finding": name}) for name, bits in gains.items()}


def _reading_gains(
    marginals: Mapping[str, float], ratios: Mapping[str, float], geometry: Geometry | None, knowledge: Knowledge
) -> Mapping[str, Gain]:
    planned = knowledge.norm("planned_contrast_u_mm")
    if geometry is None:
        # A plate suspected by what was seen is measured even where the suspicion is strong: levelling needs numbers.
        if _settled_elsewhere(marginals, knowledge):
            return {}
        bits = sum(told_by_contrast(cause, marginals[cause], planned, knowledge) for cause in GEOMETRIC)
        return {"readings": (bits, "readings", {})}
    gains: dict[str, Gain] = {}
    before = {cause: _shifted(marginals[cause], -ratios.get(cause, 0.0)) for cause in GEOMETRIC}
    if geometry.missing is not None:
        bits = sum(
            told_by_contrast(cause, before[cause], planned, knowledge, contrast_of(cause, geometry))
            for cause in GEOMETRIC
        )
        gains[f"reading:{geometry.missing}"] = (bits, "reading_missing", {"position": geometry.missing.value})
    if geometry.suspect is not None:
        lost = 1 - knowledge.norm("doubted_weight")
        bits = lost * sum(told_by_contrast(cause, before[cause], planned, knowledge) for cause in GEOMETRIC)
        gains[f"reading:{geometry.suspect.position}"] = (
            bits,
            "reading_suspect",
            {"position": geometry.suspect.position.value, "would_be_mm": geometry.suspect.would_be},
        )
    return gains


def _setting_gains(
    marginals: Mapping[str, float], live: frozenset[str], report: Report, knowledge: Knowledge
) -> Mapping[str, Gain]:
    given = given_fields(report)
    askable = {check.about.removeprefix("setting:") for check in knowledge.checks.values()}
    gains: dict[str, Gain] = {}
    for field in dict.fromkeys(field for rule in RULES for field in rule.fields):
        if field in given or field not in askable:
            continue
        told: dict[str, float] = {}
        for rule, missing in _waiting_for(field, given, askable):
            if rule.cause not in live:
                continue
            most, least = rule.strongest(knowledge)
            bits = told_by_test(marginals[rule.cause], most, least) / missing
            # Two rules on one cause look at the same setting from two sides.
            told[rule.cause] = max(told.get(rule.cause, 0.0), bits)
        bits = knowledge.norm("setting_gain_share") * sum(told.values())
        about = max(told, key=lambda cause: told[cause], default="")
        gains[f"setting:{field}"] = (bits, "setting", {"first": about})
    return gains


def _waiting_for(field: str, given: frozenset[str], askable: set[str]) -> Iterator[tuple[Rule, int]]:
    """Yield the rules that lack this field and only others that can be asked for, with how many they lack."""
    for rule in RULES:
        missing = [name for name in rule.fields if name not in given]
        if field in missing and askable.issuperset(missing):
            yield rule, len(missing)


# ---- odds and outlook -----------------------------------------------------------------------------


def _shifted(probability: float, log_odds: float) -> float:
    inside = min(max(probability, 1e-12), 1 - 1e-12)
    return 1 / (1 + (1 - inside) / inside * math.exp(-log_odds))


def _with_outlook(checks: list[NextCheck], problem: Problem) -> tuple[NextCheck, ...]:
    """Add to each finding's check which cause would lead if it is seen, and which if it is not."""
    network = problem.network
    looks = [check.about.removeprefix("finding:") for check in checks]
    if not any(look in network.event_at for look in looks):
        return tuple(checks)
    rows = [network.event_at.get(look) for look in looks]
    keeps = [np.ones(len(network.causes)) if row is None else 1.0 - network.link[row] for row in rows]
    _, joint = solve(problem, np.stack([np.ones(len(network.causes)), *keeps], axis=1))
    outlook: list[NextCheck] = []
    for check, row, absent in zip(checks, rows, joint.T[1:], strict=True):
        if row is None:
            outlook.append(check)
            continue
        # What is not seen and what is seen make the whole; ``solve`` leaves the leak of a further event to its caller.
        seen = joint[:, 0] - absent * (1.0 - network.leak[row])
        first, other = network.causes[int(np.argmax(seen))], network.causes[int(np.argmax(absent))]
        code = "finding_turns" if first != other else "finding_firms"
        values = {**check.values, "first_if_seen": first, "first_if_absent": other}
        outlook.append(NextCheck(check.id, check.about, check.gain_bits, check.effort, code, values))
    return tuple(outlook)
