"""Exact inference: laws of probability, agreement with enumeration, and what happens at the edges."""

from collections.abc import Mapping
from fractions import Fraction
from math import exp, inf, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import enumerate_all, enumerate_exactly
from trade_network import describe_trade, invent_evidence, repeat

from core.diagnosis.cause_sets import most_probable_sets
from core.diagnosis.infer import MOST_ENTANGLED, MOST_POSITIVE, conclude, infer, log_evidence_of, pose
from core.diagnosis.network import build_network
from core.errors import UnusableInput
from core.knowledge import load_knowledge
from core.words import load_words


def find_sets(network, positive, negative, ratios=None, **sizes):
    problem = pose(network, positive, negative, ratios)
    return most_probable_sets(problem, conclude(problem), **sizes)


hundredths = st.integers(0, 95).map(lambda n: Fraction(n, 100))


@st.composite
def cases(draw, most_causes=6, most_events=7):
    """Draw causes, events and evidence about them, in exact fractions; leaks are not zero, so all of it is possible."""
    names = [f"c{i}" for i in range(draw(st.integers(1, most_causes)))]
    causes = {name: draw(hundredths) for name in names}
    events = {}
    for i in range(draw(st.integers(1, most_events))):
        linked = draw(st.lists(st.sampled_from(names), unique=True, max_size=4))
        leak = Fraction(draw(st.integers(1, 20)), 100)
        events[f"e{i}"] = (leak, {name: draw(hundredths) for name in linked})
    seen = draw(st.dictionaries(st.sampled_from(sorted(events)), st.booleans()))
    return causes, events, [e for e, on in seen.items() if on], [e for e, on in seen.items() if not on]


def compile_fractions(causes, events):
    return build_network(
        {name: float(prior) for name, prior in causes.items()},
        {name: (float(leak), {c: float(w) for c, w in links.items()}) for name, (leak, links) in events.items()},
    )


@given(cases())
@settings(max_examples=150, deadline=None)
def test_posteriors_agree_with_exact_enumeration(case):
    causes, events, positive, negative = case
    evidence, marginals, _ = enumerate_exactly(causes, events, positive, negative)
    posterior = infer(compile_fractions(causes, events), positive, negative)
    assert exp(posterior.log_evidence) == pytest.approx(float(evidence), rel=1e-12)
    for cause, expected in marginals.items():
        assert posterior.marginals[cause] == pytest.approx(float(expected), rel=1e-13, abs=1e-300)


@given(cases())
@settings(max_examples=60, deadline=None)
def test_sets_of_causes_agree_with_exact_enumeration(case):
    """Every set up to the largest size is weighed, and each probability is normalised by all sets of any size."""
    causes, events, positive, negative = case
    _, _, expected = enumerate_exactly(causes, events, positive, negative)
    small = sorted((float(p) for members, p in expected.items() if len(members) <= 2), reverse=True)
    found = find_sets(compile_fractions(causes, events), positive, negative, count=5, largest=2)
    assert [p for _, p in found] == pytest.approx([p for p in small[:5] if p], rel=1e-12)
    for members, probability in found:
        assert probability == pytest.approx(float(expected[members]), rel=1e-12)


@given(cases())
@settings(max_examples=60, deadline=None)
def test_probabilities_of_all_sets_sum_to_one(case):
    causes, events, positive, negative = case
    network = compile_fractions(causes, events)
    every = find_sets(network, positive, negative, count=100, largest=len(causes))
    assert sum(probability for _, probability in every) == pytest.approx(1.0, rel=1e-12)


@given(cases(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_the_order_of_telling_does_not_change_a_digit(case, shuffle):
    causes, events, positive, negative = case
    network = compile_fractions(causes, events)
    told = infer(network, positive, negative)
    shuffle.shuffle(positive)
    shuffle.shuffle(negative)
    assert infer(network, [*positive, *positive], negative) == told


@given(cases(), st.data())
@settings(max_examples=100, deadline=None)
def test_the_order_of_the_data_does_not_matter(case, data):
    causes, events, positive, negative = case
    expected = infer(compile_fractions(causes, events), positive, negative)
    other = compile_fractions(
        {name: causes[name] for name in data.draw(st.permutations(list(causes)))},
        {name: events[name] for name in data.draw(st.permutations(list(events)))},
    )
    assert infer(other, positive, negative).marginals == pytest.approx(expected.marginals, rel=1e-13, abs=1e-300)


@given(cases(), st.data())
@settings(max_examples=100, deadline=None)
def test_looking_in_vain_alone_never_raises_a_cause_that_would_show_there(case, data):
    """Given negatives alone the causes stay independent, so a further one can only lower what it is linked to."""
    causes, events, _, negative = case
    network = compile_fractions(causes, events)
    missed = data.draw(st.sampled_from(sorted(events)))
    before, after = infer(network, [], negative).marginals, infer(network, [], [*negative, missed]).marginals
    for cause in causes:
        assert after[cause] <= before[cause] * (1 + 1e-13)


@given(cases(), st.data())
@settings(max_examples=100, deadline=None)
def test_an_event_missed_that_only_one_cause_produces_never_raises_that_cause(case, data):
    """Whatever else was seen: P(off | cause) < P(off | not cause), and nothing else touches the event.

    With other parents, a missed event may raise a cause by making its rivals less likely; that is explaining away.
    """
    causes, events, positive, negative = case
    cause = data.draw(st.sampled_from(sorted(causes)))
    network = compile_fractions(causes, {**events, "missed": (Fraction(1, 100), {cause: data.draw(hundredths)})})
    before = infer(network, positive, negative).marginals[cause]
    assert infer(network, positive, [*negative, "missed"]).marginals[cause] <= before * (1 + 1e-13)


@given(cases(), st.data())
@settings(max_examples=100, deadline=None)
def test_a_finding_splits_into_seen_and_not_seen(case, data):
    """P(evidence, e) + P(evidence, not e) = P(evidence)."""
    causes, events, positive, negative = case
    network = compile_fractions(causes, {**events, "more": (Fraction(1, 50), dict.fromkeys(causes, Fraction(1, 3)))})
    halves = infer(network, [*positive, "more"], negative), infer(network, positive, [*negative, "more"])
    whole = infer(network, positive, negative)
    assert sum(exp(half.log_evidence) for half in halves) == pytest.approx(exp(whole.log_evidence), rel=1e-12)


@given(cases(), st.floats(-40, 40))
@settings(max_examples=100, deadline=None)
def test_a_ratio_shifts_the_prior_odds_of_its_cause(case, ratio):
    """A ratio is the same as a network whose prior has those odds."""
    causes, events, positive, negative = case
    causes["c0"] = max(causes["c0"], Fraction(1, 100))
    odds = float(causes["c0"] / (1 - causes["c0"])) * exp(ratio)
    shifted = build_network(
        {name: float(prior) for name, prior in causes.items()} | {"c0": min(odds / (1 + odds), 1 - 1e-16)},
        {name: (float(leak), {c: float(w) for c, w in links.items()}) for name, (leak, links) in events.items()},
    )
    ours = infer(compile_fractions(causes, events), positive, negative, {"c0": ratio})
    expected = infer(shifted, positive, negative)
    assert ours.log_evidence == pytest.approx(expected.log_evidence, abs=1e-10)
    assert ours.marginals == pytest.approx(expected.marginals, abs=1e-10)


def test_fifteen_positive_findings_keep_every_digit():
    """The alternating sum has lost all but three digits here (SOURCES: 4e-4); twelve are asked, fourteen are kept."""
    chance = repeat(15)
    for _ in range(5):
        causes = {f"c{i}": Fraction(chance.randint(1, 20), 100) for i in range(9)}
        events = {
            f"e{i}": (
                Fraction(chance.randint(1, 50), 1000),
                {c: Fraction(chance.randint(5, 90), 100) for c in chance.sample(sorted(causes), chance.randint(1, 8))},
            )
            for i in range(20)
        }
        positive, negative = [f"e{i}" for i in range(15)], [f"e{i}" for i in range(15, 20)]
        evidence, marginals, _ = enumerate_exactly(causes, events, positive, negative)
        posterior = infer(compile_fractions(causes, events), positive, negative)
        assert posterior.log_evidence == pytest.approx(log(evidence), rel=1e-14)
        assert posterior.marginals == pytest.approx({c: float(p) for c, p in marginals.items()}, rel=1e-14)


@pytest.mark.parametrize("seed", range(3))
def test_the_whole_trade_agrees_with_enumeration_of_all_sets(seed):
    """All sets of twenty-two causes are four million, which an enumeration just manages."""
    causes, events, looks = describe_trade(load_knowledge())
    positive, negative = invent_evidence(looks, repeat(seed), 4, 2)
    evidence, marginals = enumerate_all(causes, events, positive, negative)
    posterior = infer(build_network(causes, events), positive, negative)
    assert exp(posterior.log_evidence) == pytest.approx(evidence, rel=1e-10)
    assert posterior.marginals == pytest.approx(marginals, rel=1e-9)


def test_nothing_observed_leaves_the_priors():
    network = build_network({"a": 0.1, "b": 0.0}, {"x": (0.01, {"a": 0.5})})
    posterior = infer(network, [], [])
    assert posterior.marginals == {"a": 0.1, "b": 0.0}
    assert posterior.log_evidence == 0.0


NO_LEAK = build_network({"a": 0.1, "b": 0.2}, {"x": (0.0, {"a": 0.5}), "y": (0.0, {}), "z": (0.1, {"b": 0.5})})
IMPOSSIBLE: Mapping[str, tuple[list[str], list[str]]] = {
    "nothing produces it": (["y"], []),
    "seen and not seen": (["x"], ["x"]),
    "seen and not seen among others": (["x", "z"], ["z"]),
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_the_impossible_teaches_nothing(name):
    """Impossible evidence has log-evidence of minus infinity, leaves the shifted priors, and no set explains it."""
    positive, negative = IMPOSSIBLE[name]
    posterior = infer(NO_LEAK, positive, negative, {"b": log(4)})
    assert posterior.log_evidence == -inf
    assert posterior.marginals == pytest.approx({"a": 0.1, "b": 0.5})
    assert find_sets(NO_LEAK, positive, negative) == ()


def test_a_finding_that_one_cause_alone_produces_proves_it():
    posterior = infer(NO_LEAK, ["x"], [])
    assert posterior.marginals == pytest.approx({"a": 1.0, "b": 0.2}, rel=1e-15)
    assert find_sets(NO_LEAK, ["x"], [])[0] == (frozenset({"a"}), pytest.approx(0.8))


@pytest.mark.parametrize("ratio", [-800.0, -50.0, 50.0, 800.0])
def test_an_overwhelming_ratio_stays_a_probability(ratio):
    posterior = infer(NO_LEAK, ["z"], [], {"a": ratio})
    assert 0 <= posterior.marginals["a"] <= 1
    assert posterior.marginals["a"] == pytest.approx(float(ratio > 0), abs=1e-20)
    (likely, chance), *_ = find_sets(NO_LEAK, ["z"], [], {"a": ratio, "b": ratio})
    assert likely == (frozenset({"a", "b"}) if ratio > 0 else frozenset())
    assert chance == pytest.approx(1.0)
    assert posterior.marginals["b"] == pytest.approx(0.2 * 0.55 / (0.2 * 0.55 + 0.8 * 0.1))


@pytest.mark.parametrize("ratio", [inf, -inf, float("nan")])
def test_a_ratio_that_is_not_finite_is_our_mistake(ratio):
    with pytest.raises(ValueError, match="finite"):
        infer(NO_LEAK, [], [], {"a": ratio})


def test_as_many_findings_as_can_be_weighed_are_weighed():
    """Findings that share no cause are weighed one after the other; each is explained by its own."""
    names = [f"e{i}" for i in range(MOST_POSITIVE)]
    network = build_network({f"c{i}": 0.1 for i in range(20)}, {e: (0.01, {f"c{e[1:]}": 0.5}) for e in names})
    assert infer(network, names, []).marginals == pytest.approx({f"c{i}": 0.0505 / 0.0595 for i in range(20)})


@pytest.mark.parametrize(
    ("findings", "shared", "code", "given", "most"),
    [
        (MOST_POSITIVE + 1, False, "too_many_findings", "21", "20"),
        (MOST_ENTANGLED + 1, True, "entangled_findings", "16", "15"),
    ],
)
def test_more_findings_than_can_be_weighed_are_refused_in_words(findings, shared, code, given, most):
    names = [f"e{i}" for i in range(findings)]
    causes = {f"c{i}": 0.1 for i in range(findings)}
    links = dict.fromkeys(causes, 0.5)
    network = build_network(causes, {e: (0.01, links if shared else {f"c{e[1:]}": 0.5}) for e in names})
    with pytest.raises(UnusableInput) as raised:
        infer(network, names, [])
    (fault,) = raised.value.faults
    assert (fault.field, fault.given, fault.code) == ("findings", given, code)
    line = load_words().fault(fault)
    assert given in line
    assert most in line


@pytest.mark.parametrize(("positive", "negative", "ratios"), [(["?"], [], {}), ([], ["?"], {}), ([], [], {"?": 1.0})])
def test_a_name_the_network_does_not_know_is_our_mistake(positive, negative, ratios):
    with pytest.raises(KeyError):
        infer(NO_LEAK, positive, negative, ratios)


@given(cases())
@settings(max_examples=40, deadline=None)
def test_half_an_answer_has_the_whole_evidence(case):
    causes, events, positive, negative = case
    problem = pose(compile_fractions(causes, events), positive, negative)
    assert log_evidence_of(problem) == pytest.approx(conclude(problem).log_evidence, abs=1e-12)
