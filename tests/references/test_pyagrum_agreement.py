"""The whole network of the trade against an independent exact engine, pyagrum's LazyPropagation.

Its ``addNoisyORNet`` is the textbook noisy-OR with a leak; its ``addNoisyOR`` is another, compound form.
"""

import warnings
from math import exp

import pytest
from trade_network import describe_trade, invent_evidence, repeat

from core.diagnosis.infer import infer
from core.diagnosis.network import build_network
from core.knowledge import load_knowledge

with warnings.catch_warnings():
    # Its compiled part warns about its own wrapper types while it loads, and crashes if that warning is an error.
    warnings.filterwarnings("ignore", r"builtin type \w+ has no __module__ attribute", DeprecationWarning)
    import pyagrum as gum

CAUSES, EVENTS, LOOKS = describe_trade(load_knowledge())
NETWORK = build_network(CAUSES, EVENTS)


def their_network(events):
    theirs = gum.BayesNet()
    for cause, prior in CAUSES.items():
        theirs.add(gum.LabelizedVariable(cause, cause, 2))
        theirs.cpt(cause).fillWith([1 - prior, prior])
    for event in events:
        leak, links = EVENTS[event]
        # The third argument is what they call the external weight: the leak.
        theirs.addNoisyORNet(gum.LabelizedVariable(event, event, 2), leak)
        for cause, link in links.items():
            theirs.addWeightedArc(cause, event, link)
    return theirs


def their_posterior(positive, negative):
    engine = gum.LazyPropagation(their_network([*positive, *negative]))
    engine.setEvidence(dict.fromkeys(positive, 1) | dict.fromkeys(negative, 0))
    engine.makeInference()
    return {cause: engine.posterior(cause)[1] for cause in CAUSES}, engine.evidenceProbability()


@pytest.mark.parametrize("seed", range(12))
def test_posteriors_agree_with_an_independent_exact_engine(seed):
    chance = repeat(seed)
    positive, negative = invent_evidence(LOOKS, chance, chance.randint(1, 5), chance.randint(0, 4))
    expected, evidence = their_posterior(positive, negative)
    ours = infer(NETWORK, positive, negative)
    assert max(abs(ours.marginals[cause] - expected[cause]) for cause in CAUSES) <= 1e-12
    assert exp(ours.log_evidence) == pytest.approx(evidence, rel=1e-10)
