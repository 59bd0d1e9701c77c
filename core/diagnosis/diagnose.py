"""The diagnosis: from a report, its geometry and the knowledge to ranked causes, and to how sure all of that is.

In: Report, Geometry (or TooFew, or nothing), Knowledge. Out: a frozen ``Diagnosis``. This file must never know
remedies' words, pictures or front ends.
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.cause_sets import most_probable_sets
from core.diagnosis.events import compile_network
from core.diagnosis.evidence import Evidence, gather, mirrored
from core.diagnosis.explain import rank_causes, weigh_findings
from core.diagnosis.geometry_shifts import GEOMETRIC
from core.diagnosis.infer import log_evidence_of, pose
from core.diagnosis.model import CauseSet, Diagnosis, Question, RankedCause, Status
from core.diagnosis.network import Network
from core.diagnosis.next_check import choose_next
from core.diagnosis.priors import add_up, shift_priors
from core.geometry import Geometry, TooFew
from core.knowledge import Knowledge
from core.report import Report


def diagnose(report: Report, geometry: Geometry | TooFew | None, knowledge: Knowledge) -> Diagnosis:
    """Weigh everything a person told against every cause.

    Args:
        report: What was told.
        geometry: What the coupons say; ``TooFew`` where two or more are missing; ``None`` where nothing was measured.
        knowledge: Causes, findings, links, norms.

    Raises:
        UnusableInput: A finding or place is not in the knowledge, or more findings were named than can be weighed
            together.
    """
    measured = geometry if isinstance(geometry, Geometry) else None
    evidence = gather(report, knowledge)
    shifts = shift_priors(report, measured, knowledge)
    ratios = add_up(shifts)
    network = compile_network(measured, knowledge)
    problem = pose(network, evidence.positive, evidence.negative, ratios)
    posterior, weights = weigh_findings(problem, evidence)
    causes = rank_causes(posterior, evidence, weights, shifts, knowledge)
    sets = tuple(
        CauseSet(tuple(name for name in network.causes if name in together), probability)
        for together, probability in most_probable_sets(problem, posterior)
    )
    surprise = measure_conflict(network, evidence, posterior.log_evidence)
    mirror = measured is not None and _mirror_fits_better(report, network, ratios, posterior.log_evidence, knowledge)
    questions = (
        *_reading_questions(geometry, causes, ratios, mirror=mirror, knowledge=knowledge),
        *_finding_questions(evidence, causes, sets, surprise, knowledge),
    )
    status = _status(report, geometry, causes, questions, knowledge)
    checks = choose_next(
        problem,
        evidence,
        ratios,
        posterior.marginals,
        report,
        measured,
        knowledge,
        nothing_told=status == "insufficient",
    )
    return Diagnosis(
        status=status,
        causes=causes,
        sets=sets,
        log_evidence=posterior.log_evidence,
        surprise=surprise,
        # Where nothing is wrong there is nothing to look for.
        next_checks=() if status == "no_fault" else checks,
        questions=questions,
        geometry_known=measured is not None,
        geometry_good=None if measured is None else geometry_known_good(measured, knowledge),
    )


def geometry_known_good(geometry: Geometry, knowledge: Knowledge) -> bool:
    """Say whether the plate is good enough to touch exposure.

    All five coupons measured, the spread good and the offset within the norm each with at least the probability
    ``known_good_probability``, no reading in doubt, and a crown no larger than is common.
    """
    if geometry.missing is not None or geometry.suspect is not None or geometry.twist_significant:
        return False
    sure = knowledge.norm("known_good_probability")
    return (
        geometry.band_probability["good"] >= sure
        and geometry.offset_ok_probability >= sure
        and abs(geometry.crown.value) <= knowledge.norm("crown_common_mm")
    )


def measure_conflict(network: Network, evidence: Evidence, log_evidence: float) -> float:
    """Return by how many nats the findings together are less probable than each on its own.

    The sum of the log probabilities of each observation under the unshifted priors, minus that of all together
    after readings and settings: positive where the pieces disagree, negative where one explanation carries several
    (conflict measure of Jensen, Chamberlain, Nordahl & Jensen 1990, with readings and settings as one more piece).

    With at most one positive event the probability of an observation is the difference of two chances that events are
    off, which loses no digit that matters; several places of one finding take the general way.
    """
    simple = [one for one in evidence.observations if len(one.positive) <= 1]
    alone = sum(
        log_evidence_of(pose(network, one.positive, one.negative))
        for one in evidence.observations
        if len(one.positive) > 1
    )
    if not simple:
        return alone - log_evidence
    unseen = _chances_off(network, [one.negative for one in simple])
    silent = _chances_off(network, [(*one.negative, *one.positive) for one in simple])
    seen = np.array([bool(one.positive) for one in simple], dtype=np.bool_)
    return alone + float(np.log(unseen - silent * seen).sum()) - log_evidence


def _chances_off(network: Network, groups: Sequence[tuple[str, ...]]) -> NDArray[np.float64]:
    """Return the chance that all events of each group are off, under the priors; 1 for a group without events."""
    # Every group starts with a row that is always off, so that none is empty.
    silent, kept = np.append(1.0 - network.leak, 1.0), np.vstack((1.0 - network.link, np.ones(len(network.causes))))
    rows = [[len(network.events), *(network.event_at[event] for event in group)] for group in groups]
    starts = np.cumsum([0, *(len(one) for one in rows[:-1])])
    everything = [row for one in rows for row in one]
    left_off = np.multiply.reduceat(kept[everything], starts, axis=0)
    return np.asarray(
        np.multiply.reduceat(silent[everything], starts) * np.prod(1.0 - network.prior * (1.0 - left_off), axis=1)
    )


# ---- knowing when not to know ---------------------------------------------------------------------


OPPOSITES = (
    ("start_close", "start_far"),
    ("burn_in_short", "burn_in_long"),
    ("transition_short", "transition_long"),
    ("exposure_short", "exposure_long"),
)
"""Causes that cannot both hold. The network knows no such thing: where it believes both, the evidence disagrees."""


def _reading_questions(
    geometry: Geometry | TooFew | None,
    causes: tuple[RankedCause, ...],
    ratios: Mapping[str, float],
    *,
    mirror: bool,
    knowledge: Knowledge,
) -> Iterator[Question]:
    if isinstance(geometry, TooFew):
        yield Question("reprint_coupons", {"missing_all": tuple(position.value for position in geometry.missing)})
    if not isinstance(geometry, Geometry):
        return
    suspect = geometry.suspect
    if suspect is not None:
        values = {"measured_mm": geometry.measured[suspect.position], "would_be_mm": suspect.would_be}
        yield Question("repeat_reading", {"position": suspect.position.value, **values})
    if mirror:
        yield Question("mirror", {"high_at": geometry.highest.value, "low_at": geometry.lowest.value})
    for cause in causes:
        against = cause.id in GEOMETRIC and -ratios[cause.id] >= knowledge.norm("readings_disagree")
        if against and cause.probability >= knowledge.norm("probable"):
            yield Question("readings_disagree", {"first": cause.id})


def _finding_questions(
    evidence: Evidence,
    causes: tuple[RankedCause, ...],
    sets: tuple[CauseSet, ...],
    surprise: float,
    knowledge: Knowledge,
) -> Iterator[Question]:
    for finding in evidence.contradicted:
        yield Question("seen_or_not", {"finding": finding})
    probable = {cause.id: cause.probability for cause in causes}
    opposed = any(
        min(probable.get(one, 0.0), probable.get(other, 0.0)) >= knowledge.norm("opposites_probability")
        for one, other in OPPOSITES
    )
    if opposed or surprise > knowledge.norm("surprise_limit"):
        yield Question("human_helper")
    if _not_told_apart(causes, sets, knowledge):
        yield Question("which_first", {"first": causes[0].id, "second": causes[1].id})


def _mirror_fits_better(
    report: Report, network: Network, ratios: Mapping[str, float], log_evidence: float, knowledge: Knowledge
) -> bool:
    """Say whether place and readings would agree markedly better if left and right had been swapped."""
    swapped = mirrored(report, knowledge)
    if swapped.findings == report.findings:
        return False
    other = gather(swapped, knowledge)
    better = log_evidence_of(pose(network, other.positive, other.negative, ratios)) - log_evidence
    return better > knowledge.norm("mirror_log_evidence")


def _not_told_apart(causes: tuple[RankedCause, ...], sets: tuple[CauseSet, ...], knowledge: Knowledge) -> bool:
    """Say whether the two first causes are close, want different remedies, and are not simply both there."""
    first, second = causes[0], causes[1]
    likely = knowledge.norm("probable") - knowledge.norm("close_margin")
    if first.probability < likely or first.probability - second.probability > knowledge.norm("close_margin"):
        return False
    both = bool(sets) and {first.id, second.id} <= set(sets[0].causes)
    one_remedy = any({first.id, second.id} <= set(remedy.causes) for remedy in knowledge.remedies.values())
    return not both and not one_remedy


def _status(
    report: Report,
    geometry: Geometry | TooFew | None,
    causes: tuple[RankedCause, ...],
    questions: tuple[Question, ...],
    knowledge: Knowledge,
) -> Status:
    probable = causes[0].probability >= knowledge.norm("probable")
    open_questions = {question.code for question in questions}
    if not report.findings and not isinstance(geometry, Geometry):
        return "insufficient"
    if open_questions & _UNSETTLING:
        return "undecided"
    if probable:
        return "diagnosed"
    # A coupon that did not stick is a finding, whatever the others say.
    seen = bool(report.findings) or bool(report.readings and report.readings.lost)
    if not seen and isinstance(geometry, Geometry) and _nothing_wrong(geometry, knowledge):
        return "no_fault"
    return "undecided"


_UNSETTLING = {"repeat_reading", "readings_disagree", "seen_or_not", "human_helper", "which_first"}
"""Questions without whose answer no cause is named. A mirrored plate has the same tilt: that one is not among them."""


def _nothing_wrong(geometry: Geometry, knowledge: Knowledge) -> bool:
    """Say whether a plate needs no work: good or workable, and started at the right height."""
    sure = knowledge.norm("known_good_probability")
    fine = geometry.band_probability["good"] + geometry.band_probability["workable"]
    return fine >= sure and geometry.offset_ok_probability >= sure and not geometry.twist_significant
