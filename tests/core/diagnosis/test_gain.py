"""What a look is expected to teach, against plain enumeration of its outcomes."""

from itertools import product
from math import log2, prod

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trade_network import describe_trade, invent_evidence, repeat

from core.diagnosis.gain import entropy_bits, expected_gain, information_gain
from core.diagnosis.infer import infer, pose
from core.diagnosis.network import build_network
from core.knowledge import load_knowledge


def enumerate_gain(causes, events, positive, negative, look):
    """Return the gain of a look by listing every set of causes with every pattern of the events looked at."""

    def off(event, present):
        leak, links = events[event]
        return (1 - leak) * prod(1 - links.get(cause, 0.0) for cause in present)

    table = {}
    for pattern in product((False, True), repeat=len(causes)):
        present = [cause for cause, on in zip(causes, pattern, strict=True) if on]
        weight = prod(p if cause in present else 1 - p for cause, p in causes.items())
        weight *= prod(1 - off(event, present) for event in positive) * prod(off(event, present) for event in negative)
        for shown in product((False, True), repeat=len(look)):
            chance = prod(1 - off(e, present) if on else off(e, present) for e, on in zip(look, shown, strict=True))
            outcome = shown if sum(shown) <= 1 else "several"
            table[pattern, outcome] = table.get((pattern, outcome), 0.0) + weight * chance
    total = sum(table.values())

    def uncertainty(entries):
        mass = sum(entries.values())
        chances = [sum(w for (p, _), w in entries.items() if p[i]) / mass for i in range(len(causes))]
        return sum(-q * log2(q) for p in chances for q in (p, 1 - p) if q > 0)

    after = 0.0
    for outcome in {outcome for _, outcome in table}:
        entries = {key: weight for key, weight in table.items() if key[1] == outcome}
        after += sum(entries.values()) / total * uncertainty(entries) if sum(entries.values()) else 0.0
    return uncertainty(table) - after


@pytest.mark.parametrize("seed", range(12))
def test_gains_agree_with_enumeration_of_every_outcome(seed):
    chance = repeat(seed)
    causes = {f"c{i}": chance.uniform(0.01, 0.4) for i in range(5)}
    events = {
        f"e{i}": (chance.uniform(0.001, 0.05), {c: chance.uniform(0.05, 0.9) for c in chance.sample(sorted(causes), 3)})
        for i in range(9)
    }
    names = list(events)
    positive, negative = names[: seed % 4], names[3:5]
    looks = {"plain": names[5:6], "placed": names[5:9], "pair": names[7:9]}
    gains = expected_gain(pose(build_network(causes, events), positive, negative), looks)
    assert list(gains) == list(looks)
    for look, watched in looks.items():
        assert gains[look] == pytest.approx(enumerate_gain(causes, events, positive, negative, watched), abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_a_plain_look_in_the_whole_trade_is_worth_what_inference_says(seed):
    """With P(+) from the evidence: uncertainty now, less the average of the uncertainties after each answer."""
    causes, events, looks = describe_trade(load_knowledge())
    network = build_network(causes, events)
    positive, negative = invent_evidence(looks, repeat(seed), 5, 5)
    plain = {name: look for name, look in looks.items() if len(look) == 1 and look[0] not in {*positive, *negative}}
    ratios = {name: repeat(seed).uniform(-3, 3) for name in causes}

    def uncertainty(posterior):
        p = np.array(list(posterior.marginals.values()))
        return float(entropy_bits(np.stack([p, 1 - p], axis=-1)).sum())

    now = infer(network, positive, negative, ratios)
    gains = expected_gain(pose(network, positive, negative, ratios), looks)
    for name, (event,) in plain.items():
        seen = infer(network, [*positive, event], negative, ratios)
        missed = infer(network, positive, [*negative, event], ratios)
        p = float(np.exp(seen.log_evidence - now.log_evidence))
        after = p * uncertainty(seen) + (1 - p) * uncertainty(missed)
        assert gains[name] == pytest.approx(uncertainty(now) - after, abs=1e-11)
    for name, look in looks.items():
        if look[0] in {*positive, *negative}:
            assert gains[name] == 0.0


@given(st.integers(0, 10**6), st.integers(0, 8), st.integers(0, 8))
@settings(max_examples=25, deadline=None)
def test_no_look_is_worth_less_than_nothing_or_more_than_all_there_is_to_know(seed, seen, unseen):
    causes, events, looks = describe_trade(load_knowledge())
    network = build_network(causes, events)
    positive, negative = invent_evidence(looks, repeat(seed), seen, unseen)
    p = np.array(list(infer(network, positive, negative).marginals.values()))
    everything = float(entropy_bits(np.stack([p, 1 - p], axis=-1)).sum())
    for gain in expected_gain(pose(network, positive, negative), looks).values():
        assert 0 <= gain <= everything


NETWORK = build_network(
    {"a": 0.2, "b": 0.3}, {"x": (0.0, {"a": 0.9}), "y": (0.01, {"b": 0.5}), "z": (0.01, {}), "never": (0.0, {})}
)


def test_looking_at_what_no_cause_touches_teaches_nothing():
    gains = expected_gain(pose(NETWORK, ["y"], []), {"z": ["z"], "never": ["never"], "x": ["x"]})
    assert gains["z"] == pytest.approx(0.0, abs=1e-12)
    assert gains["never"] == pytest.approx(0.0, abs=1e-12)
    assert gains["x"] > 0.4


def test_of_a_look_taken_in_part_only_the_rest_counts():
    half = expected_gain(pose(NETWORK, [], ["x"]), {"x or y": ["x", "y"], "y": ["y"], "x": ["x"]})
    assert half["x or y"] == pytest.approx(half["y"])
    assert half["x"] == 0.0


def test_impossible_evidence_promises_nothing():
    assert expected_gain(pose(NETWORK, ["never"], []), {"x": ["x"]}) == {"x": 0.0}


def test_places_in_which_causes_differ_make_a_look_worth_more():
    """The same finding tells two causes apart by where it shows, and cannot when all it says is that it shows."""
    causes = {"left": 0.2, "right": 0.2}
    network = build_network(
        causes,
        {
            "seen@left": (0.01, {"left": 0.8, "right": 0.01}),
            "seen@right": (0.01, {"right": 0.8, "left": 0.01}),
            "seen": (0.02, dict.fromkeys(causes, 0.8)),
        },
    )
    gains = expected_gain(pose(network, [], []), {"placed": ["seen@left", "seen@right"], "plain": ["seen"]})
    assert gains["placed"] > 1.5 * gains["plain"]


def test_entropy_of_a_certainty_is_zero_and_of_a_fair_choice_is_its_logarithm():
    table = np.array([[1.0, 0.0, 0.0, 0.0], [0.25, 0.25, 0.25, 0.25]])
    assert entropy_bits(table).tolist() == [0.0, 2.0]


def test_independence_gains_nothing_and_identity_gains_everything():
    tables = np.array([[[0.06, 0.14], [0.24, 0.56]], [[0.5, 0.0], [0.0, 0.5]]])
    assert information_gain(tables) == pytest.approx([0.0, 1.0], abs=1e-12)
