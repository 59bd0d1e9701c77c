"""How much each piece of evidence moved each cause, and that in words with the person's own numbers.

In: the evidence, the shifts and the posed problem. Out: evidence items per cause, strongest first; sentences from
``Words``. This file must never know the sentences themselves.

A finding's weight is the exact posterior log-odds of the cause with all evidence minus that with everything except
this finding (leave one out); what two findings tell only together is therefore in neither. A reading or setting
speaks about one cause directly, and its weight is its own log likelihood ratio. The weights need not add up to the
posterior.
"""

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.evidence import Evidence, Observation
from core.diagnosis.infer import Posterior, Problem
from core.diagnosis.leave_one_out import Piece, conclude_without_each
from core.diagnosis.model import EvidenceItem, NextCheck, Question, RankedCause, Shift
from core.knowledge import Knowledge
from core.words import Words
from core.words.numbers import mm, seconds

_Told = tuple[str, str, Mapping[str, object]]

LEAST_TOLD = 0.005
"""Log-odds below which a piece of evidence is not listed: under one per cent of a change."""


def rank_causes(
    posterior: Posterior,
    evidence: Evidence,
    weights: NDArray[np.float64],
    shifts: tuple[Shift, ...],
    knowledge: Knowledge,
) -> tuple[RankedCause, ...]:
    """Return all causes, most probable first, each with what moved it and what it would have shown but did not.

    Posterior and weights are those of ``weigh_findings``.
    """
    marginals = posterior.marginals
    told = tuple(_tell(one) for one in evidence.observations)
    moved: dict[str, list[float]] = dict(zip(marginals, weights.tolist(), strict=True))
    # Rounded, so that equals keep the order of the data and do not take theirs from the last digit.
    order = sorted(marginals, key=lambda cause: -round(marginals[cause], 12))
    return tuple(
        RankedCause(
            cause,
            marginals[cause],
            _items(cause, shifts, zip(told, moved[cause], strict=True)),
            _expected_absent(cause, evidence, knowledge),
        )
        for cause in order
    )


def weigh_findings(problem: Problem, evidence: Evidence) -> tuple[Posterior, NDArray[np.float64]]:
    """Return the posterior, and by how much leaving out each observation would lower the log-odds of each cause.

    The latter has shape (n, observations).
    """
    pieces = [Piece(one.positive, one.negative) for one in evidence.observations]
    posterior, odds = conclude_without_each(problem, pieces)
    return posterior, odds[:, :1] - odds[:, 1:]


def explain_in_words(item: EvidenceItem, words: Words) -> str:
    """Return one or two sentences: what was seen or measured, and which way it points."""
    return _say("evidence", item.code, item.values, words)


def explain_next(check: NextCheck, words: Words) -> str:
    """Return what to look at or measure next, and why that."""
    return f"{words.say(f'checks.{check.id}')} {_say('next', check.code, check.values, words)}"


def ask_in_words(question: Question, words: Words) -> str:
    """Return a question for the person or a human helper."""
    return _say("questions", question.code, question.values, words)


# ---- weights --------------------------------------------------------------------------------------


def _items(cause: str, shifts: tuple[Shift, ...], told: Iterable[tuple[_Told, float]]) -> tuple[EvidenceItem, ...]:
    items = [
        EvidenceItem(shift.about, shift.log_odds, shift.code, shift.values)
        for shift in shifts
        if shift.cause == cause and abs(shift.log_odds) >= LEAST_TOLD
    ]
    items += [
        EvidenceItem(about, moved, f"{what}_{'for' if moved > 0 else 'against'}", values)
        for (about, what, values), moved in told
        if abs(moved) >= LEAST_TOLD
    ]
    # Rounded for the same reason.
    return tuple(sorted(items, key=lambda item: (-round(abs(item.log_odds), 9), item.about)))


def _tell(observation: Observation) -> _Told:
    """Return what an observation is about, the start of its words' key, and their values."""
    if observation.origin == "raft":
        what = "raft_measured" if observation.present else "raft_as_sliced"
    elif observation.origin == "coupon":
        what = "coupon_lost"
    elif observation.present:
        what = "seen_at" if observation.places else "seen"
    else:
        what = "absent"
    values = {"finding": observation.finding, "places": observation.places, **observation.values}
    return f"finding:{observation.finding}", what, values


def _expected_absent(cause: str, evidence: Evidence, knowledge: Knowledge) -> tuple[str, ...]:
    least = knowledge.norm("expected_link")
    return tuple(
        one.finding
        for one in evidence.observations
        if one.origin == "told" and not one.present and knowledge.findings[one.finding].links.get(cause, 0.0) >= least
    )


# ---- words ----------------------------------------------------------------------------------------

_NAMED = {"finding": "findings.{}.name", "first": "causes.{}.name", "second": "causes.{}.name"}
_NAMED |= {"first_if_seen": "causes.{}.name", "first_if_absent": "causes.{}.name", "position": "positions.{}"}
_NAMED |= {"high_at": "places.{}", "low_at": "places.{}", "way": "evidence.ways.{}", "middle": "evidence.ways.{}"}
_LISTED = {"places": "places.{}", "missing_all": "positions.{}"}
_REMARKS = ("doubted", "missing", "assumed")
"""Values that, where true, add a sentence of their own."""

_WHOLE_FROM = 100
"""Numbers from here on are told without decimals, smaller ones with three digits."""


def _say(table: str, code: str, values: Mapping[str, object], words: Words) -> str:
    shown = {name: _shown(name, value, words) for name, value in values.items() if name not in _REMARKS}
    if "finding" in values:
        shown["absent"] = words.say(f"findings.{values['finding']}.absent")
    said = [words.say(f"{table}.{code}", **shown)]
    said += [
        words.say(f"evidence.remarks.{remark}", **_remark_values(remark, values, words))
        for remark in _REMARKS
        if values.get(remark)
    ]
    return " ".join(said)


def _remark_values(remark: str, values: Mapping[str, object], words: Words) -> Mapping[str, str]:
    if remark == "missing":
        return {"position": _shown("position", values[remark], words)}
    return {name: _shown(name, value, words) for name, value in values.items() if name == "ratio"}


def _shown(name: str, value: object, words: Words) -> str:
    """Return a value as it stands in a sentence: names from the words, lengths and times with their units."""
    if name in _NAMED:
        return words.say(_NAMED[name].format(value))
    if name in _LISTED and isinstance(value, tuple):
        names = [words.say(_LISTED[name].format(one)) for one in value]
        return words.say("evidence.and").join(names)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _number(name, value)
    return str(value)


def _number(name: str, value: float) -> str:
    if name == "low_mm":
        # The unit stands once, after the upper end.
        return mm(value).removesuffix(" mm")
    if name.endswith("_mm"):
        return mm(value)
    if name.endswith("_s"):
        return seconds(value)
    return f"{value:.3g}" if abs(value) < _WHOLE_FROM else f"{value:.0f}"
