"""The batch gives what leaving pieces out one at a time gives."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.diagnosis.infer import infer, pose
from core.diagnosis.leave_one_out import Piece, conclude_without_each
from core.diagnosis.network import build_network

CAUSES = ("a", "b", "c", "d", "e")


@st.composite
def networks(draw, most=6):
    count = draw(st.integers(1, most))
    events = {
        f"f{one}": (
            draw(st.floats(0.001, 0.2)),
            {cause: draw(st.floats(0.05, 0.9)) for cause in CAUSES if draw(st.booleans())},
        )
        for one in range(count)
    }
    network = build_network({cause: draw(st.floats(0.02, 0.6)) for cause in CAUSES}, events)
    pieces, rest = [], list(events)
    while rest:
        size = draw(st.integers(1, len(rest)))
        taken, rest = rest[:size], rest[size:]
        signs = [draw(st.booleans()) for _ in taken]
        pieces.append(
            Piece(
                tuple(event for event, seen in zip(taken, signs, strict=True) if seen),
                tuple(event for event, seen in zip(taken, signs, strict=True) if not seen),
            )
        )
    return network, pieces


def at_once(network, pieces, ratios):
    problem = pose(
        network,
        [event for piece in pieces for event in piece.positive],
        [event for piece in pieces for event in piece.negative],
        ratios,
    )
    return conclude_without_each(problem, pieces)[1]


def expected(network, pieces, ratios):
    columns = []
    for left_out in (None, *pieces):
        kept = [piece for piece in pieces if piece is not left_out]
        marginals = infer(
            network,
            [event for piece in kept for event in piece.positive],
            [event for piece in kept for event in piece.negative],
            ratios,
        ).marginals
        columns.append([np.log(p) - np.log1p(-p) for p in marginals.values()])
    return np.array(columns).T


@settings(deadline=None, max_examples=60)
@given(networks(), st.floats(-3, 3))
def test_leaving_out_in_one_run_equals_leaving_out_one_at_a_time(case, ratio):
    network, pieces = case
    ratios = {"a": ratio, "d": -ratio}
    assert at_once(network, pieces, ratios) == pytest.approx(expected(network, pieces, ratios), abs=1e-7)


def test_many_positive_events_are_left_out_with_the_same_result():
    count = 12
    events = {f"f{one}": (0.01, {CAUSES[one % 5]: 0.6, CAUSES[(one + 2) % 5]: 0.3}) for one in range(count)}
    network = build_network(dict.fromkeys(CAUSES, 0.1), events)
    pieces = [Piece((event,), ()) for event in events]
    assert at_once(network, pieces, {}) == pytest.approx(expected(network, pieces, {}), abs=1e-7)


def test_no_pieces_leave_the_priors():
    network = build_network({"a": 0.2}, {"f": (0.01, {"a": 0.5})})
    assert at_once(network, [], {}) == pytest.approx(np.array([[np.log(0.25)]]))


def test_an_event_that_no_cause_explains_moves_none_when_left_out():
    network = build_network({"a": 0.2, "b": 0.1}, {"f": (0.01, {"a": 0.5}), "alone": (0.02, {})})
    odds = at_once(network, [Piece(("f",), ()), Piece(("alone",), ())], {})
    assert odds[:, 2] == pytest.approx(odds[:, 0], abs=1e-12)
    assert odds[0, 1] < odds[0, 0]


def test_the_posterior_is_the_one_with_everything():
    network = build_network({"a": 0.2, "b": 0.1}, {"f": (0.01, {"a": 0.5, "b": 0.3}), "g": (0.02, {"b": 0.4})})
    posterior, _ = conclude_without_each(pose(network, ["f"], ["g"]), [Piece(("f",), ()), Piece((), ("g",))])
    whole = infer(network, ["f"], ["g"])
    assert posterior.log_evidence == pytest.approx(whole.log_evidence, abs=1e-12)
    assert posterior.marginals == pytest.approx(whole.marginals, abs=1e-12)
