"""The values diagnosis produces: ranked causes with reasons, the next checks, questions, and how sure all of it is.

Numbers are natural-log odds and probabilities; gains are bits. Codes are keys of the words under ``evidence``,
``next`` and ``questions``; ``values`` are the person's own numbers for them. Nothing here computes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Status = Literal["no_fault", "diagnosed", "undecided", "insufficient"]


@dataclass(frozen=True, slots=True)
class Shift:
    """What one reading or setting says about one cause.

    Attributes:
        cause: The cause it speaks for (positive) or against (negative).
        about: What was looked at, such as ``geometry.spread`` or ``settings.burn_in_s``.
        log_odds: Log likelihood ratio, bounded by the norm ``evidence_limit``.
        code: Key under ``evidence`` in the words.
        values: Values for that text.
    """

    cause: str
    about: str
    log_odds: float
    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EvidenceItem:
    """How much one piece of evidence moved one cause, in log-odds, with its words' key and values."""

    about: str
    log_odds: float
    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RankedCause:
    """One cause with its posterior probability and its reasons.

    Attributes:
        id: The cause.
        probability: Posterior probability that it holds, whatever else holds.
        evidence: What moved it, strongest first.
        expected_absent: Findings this cause would probably show that the person looked for and did not see.
    """

    id: str
    probability: float
    evidence: tuple[EvidenceItem, ...] = ()
    expected_absent: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NextCheck:
    """The best next thing to learn.

    Attributes:
        id: A check of the knowledge.
        about: What it would tell: ``finding:<id>``, ``reading:<position>``, ``readings`` or ``setting:<field>``.
        gain_bits: Expected information gain about the causes.
        effort: Relative effort, from the knowledge.
        code: Key under ``next`` in the words.
        values: Values for that text; for a finding, ``first_if_seen`` and ``first_if_absent`` name the cause that would
            then lead.
    """

    id: str
    about: str
    gain_bits: float
    effort: float
    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Question:
    """Something only the person or a human helper can settle: a key under ``questions`` in the words, with values."""

    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CauseSet:
    """A set of causes that together, and alone, would account for everything, with its posterior probability."""

    causes: tuple[str, ...]
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """Everything that follows from a report.

    Attributes:
        status: Whether there is a fault to name, and whether it can be named.
        causes: All causes, most probable first; ties in the order of the data.
        sets: The most probable sets of causes, most probable first.
        log_evidence: Natural log of the probability the network gives to the findings.
        surprise: How much less probable the findings are together, after readings and settings, than each on its
            own; in nats. Positive means that they disagree (conflict measure, Jensen et al. 1990).
        next_checks: At most two, best first.
        questions: In the order in which to ask.
        geometry_known: Whether four or five coupons were measured.
        geometry_good: Whether the plate is known to be good enough to touch exposure; ``None`` where unmeasured.
    """

    status: Status
    causes: tuple[RankedCause, ...]
    sets: tuple[CauseSet, ...]
    log_evidence: float
    surprise: float
    next_checks: tuple[NextCheck, ...]
    questions: tuple[Question, ...]
    geometry_known: bool
    geometry_good: bool | None

    def probability(self, cause: str) -> float:
        """Return the posterior probability of a cause. Raises ``KeyError`` for one that is not in the data."""
        for ranked in self.causes:
            if ranked.id == cause:
                return ranked.probability
        raise KeyError(cause)
