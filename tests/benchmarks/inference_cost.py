"""What inference costs, beside an independent exact engine on the same network and the same evidence.

Run from the root: ``python tests/benchmarks/inference_cost.py [reports]``. One core, warm. Wall clock, and processor
time beside it, which other work on the same machine disturbs less.
"""

import os
import sys
from pathlib import Path
from time import perf_counter, process_time

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]
# One core for everyone; the linear algebra reads it when numpy loads.
os.environ |= dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")

import numpy as np  # noqa: E402 - after path and threads are set
import pyagrum as gum  # noqa: E402 - likewise
from trade_network import describe_trade, invent_evidence, repeat  # noqa: E402 - likewise

from core.diagnosis.cause_sets import most_probable_sets  # noqa: E402 - after path and threads are set
from core.diagnosis.gain import expected_gain  # noqa: E402 - likewise
from core.diagnosis.infer import conclude, infer, pose  # noqa: E402 - likewise
from core.diagnosis.network import build_network  # noqa: E402 - likewise
from core.knowledge import load_knowledge  # noqa: E402 - likewise

CAUSES, EVENTS, LOOKS = describe_trade(load_knowledge())
NETWORK = build_network(CAUSES, EVENTS)


def measure(label, calls):
    """Time each call once, print median and 99th percentile in ms, and return the median of the wall clock."""
    wall, processor = [], []
    for call in calls:
        start, start_processor = perf_counter(), process_time()
        call()
        processor.append(1e3 * (process_time() - start_processor))
        wall.append(1e3 * (perf_counter() - start))
    middle, worst = np.percentile(wall, [50, 99])
    middle_processor, worst_processor = np.percentile(processor, [50, 99])
    print(
        f"{label:<64} wall {middle:8.2f} p99 {worst:8.2f}   "
        f"processor {middle_processor:8.2f} p99 {worst_processor:8.2f}   n {len(wall)}"
    )
    return middle


def their_network(events):
    """Build the part of the network that the evidence speaks of: causes and observed events, others being barren."""
    theirs = gum.BayesNet()
    for cause, prior in CAUSES.items():
        theirs.add(gum.LabelizedVariable(cause, cause, 2))
        theirs.cpt(cause).fillWith([1 - prior, prior])
    for event in events:
        leak, links = EVENTS[event]
        theirs.addNoisyORNet(gum.LabelizedVariable(event, event, 2), leak)
        for cause, link in links.items():
            theirs.addWeightedArc(cause, event, link)
    return theirs


def their_engine(positive, negative):
    """Return their engine with the evidence set; building it is not timed."""
    network = their_network([*positive, *negative])
    engine = gum.LazyPropagation(network)
    engine.setNumberOfThreads(1)
    engine.setEvidence(dict.fromkeys(positive, 1) | dict.fromkeys(negative, 0))
    return network, engine


def their_marginals(engine):
    """Run their inference and read all posteriors."""
    engine.makeInference()
    return {cause: engine.posterior(cause)[1] for cause in CAUSES}


def everything(positive, negative):
    """Do what one diagnosis needs: posteriors, sets of causes, and the gain of every look."""
    problem = pose(NETWORK, positive, negative)
    most_probable_sets(problem, conclude(problem))
    expected_gain(problem, LOOKS)


def invent(seen, unseen, count, *, placed_first):
    """Return bodies of evidence, the same in every run."""
    chance = repeat(seen * 100 + unseen)
    return [invent_evidence(LOOKS, chance, seen, unseen, placed_first=placed_first) for _ in range(count)]


def main(count):
    """Print all figures."""
    print(f"{len(CAUSES)} causes, {len(EVENTS)} events, numpy {np.__version__}, pyagrum {gum.__version__}\n")
    for seen, unseen, placed_first in [
        (3, 3, False),
        (8, 12, False),
        (8, 12, True),
        (8, 0, True),
        (12, 0, False),
        (15, 9, True),
    ]:
        bodies = invent(seen, unseen, count, placed_first=placed_first)
        which = "placed first" if placed_first else "any"
        title = f"{seen} seen ({which}), {unseen} looked for in vain"
        everything(*bodies[0])
        measure(f"{title}: infer", [lambda body=body: infer(NETWORK, *body) for body in bodies])
        measure(f"{title}: infer, sets, gains", [lambda body=body: everything(*body) for body in bodies])
    print()
    for seen, unseen, repeats in [(3, 3, 20), (5, 4, 20), (8, 12, 3)]:
        bodies = invent(seen, unseen, repeats, placed_first=False)
        engines = [their_engine(*body) for body in bodies]
        theirs, ours = [], []
        title = f"{seen} seen, {unseen} in vain"
        slow = measure(
            f"{title}: pyagrum LazyPropagation",
            [lambda engine=engine, kept=theirs: kept.append(their_marginals(engine)) for _, engine in engines],
        )
        fast = measure(
            f"{title}: infer", [lambda body=body, kept=ours: kept.append(infer(NETWORK, *body)) for body in bodies]
        )
        apart = max(abs(a.marginals[c] - b[c]) for a, b in zip(ours, theirs, strict=True) for c in CAUSES)
        print(f"{title}: {slow / fast:.0f} times faster, posteriors differ by at most {apart:.1e}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
