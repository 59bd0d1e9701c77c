"""Published and exactly derived noisy-OR values through the inference engine.

Sources, beside each check: Russell & Norvig, Artificial Intelligence: A Modern Approach (fever, burglary);
Lauritzen & Spiegelhalter, J. R. Stat. Soc. B 50 (1988) 157 (chest clinic).
"""

from fractions import Fraction
from math import exp

import pytest

from core.diagnosis.infer import infer
from core.diagnosis.network import build_network

# A cause is made certain, or impossible, by an overwhelming ratio: the form itself refuses priors of one.
CERTAIN = 200.0


@pytest.mark.parametrize(
    ("present", "fever"),
    [
        ((), 0.0),
        (("malaria",), 0.9),
        (("flu",), 0.8),
        (("flu", "malaria"), 0.98),
        (("cold",), 0.4),
        (("cold", "malaria"), 0.94),
        (("cold", "flu"), 0.88),
        (("cold", "flu", "malaria"), 0.988),
    ],
)
def test_the_fever_table_comes_out_row_by_row(present, fever):
    """Russell & Norvig, AIMA, noisy-OR table (quoted): P(no fever) is .6 for cold, .2 for flu, .1 for malaria."""
    network = build_network(
        {"cold": 0.5, "flu": 0.5, "malaria": 0.5},
        {"fever": (0.0, {"cold": 1 - 0.6, "flu": 1 - 0.2, "malaria": 1 - 0.1})},
    )
    ratios = {cause: CERTAIN if cause in present else -CERTAIN for cause in network.causes}
    assert exp(infer(network, ["fever"], [], ratios).log_evidence) == pytest.approx(fever, abs=1e-12)
    assert exp(infer(network, [], ["fever"], ratios).log_evidence) == pytest.approx(1 - fever, abs=1e-12)


THREE_BY_THREE = build_network(
    {"c0": 1 / 10, "c1": 1 / 5, "c2": 1 / 20},
    {
        "f0": (1 / 100, {"c0": 4 / 5, "c2": 1 / 2}),
        "f1": (1 / 50, {"c0": 3 / 10, "c1": 9 / 10}),
        "f2": (1 / 20, {"c1": 2 / 5, "c2": 7 / 10}),
    },
)


@pytest.mark.parametrize(
    ("positive", "negative", "evidence", "posteriors"),
    [
        (["f0"], [], "11197/100000", ("16139/22394", "1/5", "2723/11197")),
        (["f0"], ["f1"], "352625707/5000000000", ("112973/175523", "1/41", "51757/175523")),
        (
            ["f0", "f1", "f2"],
            [],
            "64466171483/5000000000000",
            ("6117585419/9209453069", "54301699283/64466171483", "3688112729/9209453069"),
        ),
    ],
)
def test_the_three_by_three_network_matches_its_exact_fractions(positive, negative, evidence, posteriors):
    """Derived, not published: worked by hand in rational numbers."""
    posterior = infer(THREE_BY_THREE, positive, negative)
    assert exp(posterior.log_evidence) == pytest.approx(float(Fraction(evidence)), rel=1e-14)
    expected = [float(Fraction(one)) for one in posteriors]
    assert list(posterior.marginals.values()) == pytest.approx(expected, rel=1e-14)


def single_parent(parent, chance_if_present, chance_if_absent):
    """Return the event that gives a child of one parent its two conditional chances, exactly."""
    return chance_if_absent, {parent: 1 - (1 - chance_if_present) / (1 - chance_if_absent)}


def test_the_alarm_explains_the_two_calls_of_the_burglary_network():
    """The part of AIMA's burglary network (quoted) that has this form: the alarm and its two callers.

    Burglary and earthquake act on the calls only through the alarm, a hidden middle layer, so the network as a whole
    has more than two layers. The alarm's prior is its total chance, summed here from the tables; burglary follows from
    the alarm, P(burglary | both call) = .28417184, because calls depend on burglary through the alarm alone.
    """
    burglary, earthquake = {True: 0.001, False: 0.999}, {True: 0.002, False: 0.998}
    alarm = {(True, True): 0.95, (True, False): 0.94, (False, True): 0.29, (False, False): 0.001}
    rings = {b: sum(earthquake[e] * alarm[b, e] for e in (True, False)) for b in (True, False)}
    prior = sum(burglary[b] * rings[b] for b in (True, False))
    network = build_network(
        {"alarm": prior},
        {
            "john_calls": single_parent("alarm", 0.90, 0.05),
            "mary_calls": single_parent("alarm", 0.70, 0.01),
        },
    )
    after = infer(network, ["john_calls", "mary_calls"], []).marginals["alarm"]
    b_if_alarm = burglary[True] * rings[True] / prior
    b_if_silent = burglary[True] * (1 - rings[True]) / (1 - prior)
    assert b_if_alarm * after + b_if_silent * (1 - after) == pytest.approx(0.28417184, abs=5e-9)


@pytest.mark.parametrize("tuberculosis", [True, False])
@pytest.mark.parametrize("cancer", [True, False])
def test_the_x_ray_of_the_chest_clinic_has_this_form_up_to_one_row(tuberculosis, cancer):
    """Lauritzen & Spiegelhalter 1988: the X-ray depends on "tuberculosis or cancer", an OR with links of one.

    Folded into the X-ray, P(abnormal | either) = .98 and .05 otherwise: each disease alone gives .98 and so do both.
    Noisy links make two causes more convincing than one, so the rows with at most one of the two have this form
    exactly, and the row with both, which happens to one patient in two thousand, has not.
    """
    leak, links = single_parent("cancer", 0.98, 0.05)
    network = build_network(
        {"tuberculosis": 0.0104, "cancer": 0.055},
        {"xray": (leak, {"tuberculosis": links["cancer"], **links})},
    )
    present = {"tuberculosis": tuberculosis, "cancer": cancer}
    ratios = {name: CERTAIN if is_on else -CERTAIN for name, is_on in present.items()}
    abnormal = exp(infer(network, ["xray"], [], ratios).log_evidence)
    if tuberculosis and cancer:
        assert abnormal == pytest.approx(1 - 0.02 * 0.02 / 0.95, rel=1e-12)
        assert abnormal > 0.98
    else:
        assert abnormal == pytest.approx(0.98 if tuberculosis or cancer else 0.05, rel=1e-12)


def test_shortness_of_breath_in_the_chest_clinic_has_not_this_form():
    """Lauritzen & Spiegelhalter 1988: .9 with bronchitis and "either", .7 and .8 with one of them, .1 with neither.

    Noisy-OR with the three other rows right gives .933 for both: the published table is less than additive.
    """
    leak, bronchitis = single_parent("bronchitis", 0.8, 0.1)
    _, either = single_parent("either", 0.7, 0.1)
    network = build_network({"bronchitis": 0.45, "either": 0.06}, {"dyspnoea": (leak, {**bronchitis, **either})})

    def breathless(bronchitis, either):
        ratios = {"bronchitis": bronchitis * CERTAIN, "either": either * CERTAIN}
        return exp(infer(network, ["dyspnoea"], [], ratios).log_evidence)

    assert [breathless(1, -1), breathless(-1, 1), breathless(-1, -1)] == pytest.approx([0.8, 0.7, 0.1])
    assert breathless(1, 1) == pytest.approx(1 - 0.2 * 0.3 / 0.9)
