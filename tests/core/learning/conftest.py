"""What the learning tests share: the knowledge, an invented one that differs from it, and lessons drawn from either."""

import dataclasses
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.knowledge import load_knowledge
from core.learning import Lesson

SHED = "the tool shed"
FIRST = datetime(2025, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="session")
def knowledge():
    return load_knowledge()


@pytest.fixture(scope="session")
def shifted():
    """Return a function that moves the odds of every prior and link by up to ``factor`` either way, at random."""

    def move(knowledge, factor, seed):
        rng = np.random.default_rng(seed)

        def moved(chance):
            odds = chance / (1 - chance) * factor ** rng.uniform(-1, 1)
            return odds / (1 + odds)

        return dataclasses.replace(
            knowledge,
            causes={n: one.model_copy(update={"prior": moved(one.prior)}) for n, one in knowledge.causes.items()},
            findings={
                n: one.model_copy(update={"links": {cause: moved(link) for cause, link in one.links.items()}})
                for n, one in knowledge.findings.items()
            },
        )

    return move


@pytest.fixture(scope="session")
def draw_lessons():
    """Return a function that draws lessons straight from the chances of a knowledge, one an hour.

    People tell most of what they see and little of what they do not, and ask only where something is wrong and shows.
    """

    def drawn(count, truth, seed, *, community=SHED, tells_seen=0.85, tells_absent=0.15):
        rng = np.random.default_rng(seed)
        causes, findings = np.array(list(truth.causes)), np.array(list(truth.findings))
        prior = np.array([one.prior for one in truth.causes.values()])
        leak = np.array([one.leak for one in truth.findings.values()])
        link = np.array([[one.links.get(cause, 0.0) for cause in causes] for one in truth.findings.values()])
        held = rng.random((4 * count, causes.size)) < prior
        off = (1 - leak) * np.prod(1 - link[None] * held[:, None, :], axis=2)
        there = rng.random(off.shape) >= off
        told = rng.random(off.shape) < np.where(there, tells_seen, tells_absent)
        asked = np.flatnonzero(held.any(axis=1) & there.any(axis=1))[:count]
        assert asked.size == count
        return [
            Lesson(
                at=FIRST + timedelta(hours=hour),
                community=community,
                causes=frozenset(causes[held[row]].tolist()),
                seen=frozenset(findings[there[row] & told[row]].tolist()),
                absent=frozenset(findings[~there[row] & told[row]].tolist()),
            )
            for hour, row in enumerate(asked.tolist())
        ]

    return drawn
