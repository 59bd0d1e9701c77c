"""Priors, leaks and links in, one compiled two-layer noisy-OR network out.

A cause is present or absent, independently of the others. A present cause switches an event on with its link; an
event can also come on by itself, with its leak; links and leaks act independently (Pearl 1988, 4.3.2). This file must
never know where the numbers come from, what was observed, or what an event means.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.errors import Fault, UnusableKnowledge


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """A compiled network of n causes and m events; build once, use for every report. Its arrays are read-only.

    Attributes:
        causes: Names of the causes, n.
        events: Names of the events, m; one place of a placed finding is an event of its own.
        prior: Chance that a cause is present, shape (n,).
        leak: Chance that an event shows although no modelled cause produced it, shape (m,).
        link: Chance that a cause alone switches an event on, shape (m, n).
        cause_at: Cause to its column.
        event_at: Event to its row.
    """

    causes: tuple[str, ...]
    events: tuple[str, ...]
    prior: NDArray[np.float64]
    leak: NDArray[np.float64]
    link: NDArray[np.float64]
    cause_at: Mapping[str, int]
    event_at: Mapping[str, int]

    def with_links(self, links: Mapping[str, Mapping[str, float]]) -> "Network":
        """Return the same network with some links, event to cause to chance, put in place of its own.

        Raises:
            KeyError: An event or cause that is not in the network.
            ValueError: A chance that is not in [0, 1).
        """
        link = self.link.copy()
        for event, changed in links.items():
            row = link[self.event_at[event]]
            for cause, chance in changed.items():
                row[self.cause_at[cause]] = chance
        if not ((link >= 0) & (link < 1)).all():
            raise ValueError("a link must be a chance in [0, 1)")
        link.setflags(write=False)
        return replace(self, link=link)


def build_network(causes: Mapping[str, float], events: Mapping[str, tuple[float, Mapping[str, float]]]) -> Network:
    """Compile a network from names and chances.

    Args:
        causes: Cause to prior.
        events: Event to (leak, {cause: link}); a cause that is not named has no link.

    Raises:
        UnusableKnowledge: A chance is not in [0, 1), or a link names an unknown cause; every fault is listed.
    """
    faults = _check(causes, events)
    if faults:
        raise UnusableKnowledge(faults)
    cause_at = {cause: column for column, cause in enumerate(causes)}
    link = np.zeros((len(events), len(causes)))
    for row, (_, links) in enumerate(events.values()):
        for cause, chance in links.items():
            link[row, cause_at[cause]] = chance
    prior = np.array(list(causes.values()), dtype=np.float64)
    leak = np.array([leak for leak, _ in events.values()], dtype=np.float64)
    for array in (prior, leak, link):
        array.setflags(write=False)
    return Network(
        causes=tuple(causes),
        events=tuple(events),
        prior=prior,
        leak=leak,
        link=link,
        cause_at=cause_at,
        event_at={event: row for row, event in enumerate(events)},
    )


def _check(causes: Mapping[str, float], events: Mapping[str, tuple[float, Mapping[str, float]]]) -> tuple[Fault, ...]:
    chances = {f"causes.{cause}.prior": prior for cause, prior in causes.items()}
    faults: list[Fault] = []
    for event, (leak, links) in events.items():
        chances[f"events.{event}.leak"] = leak
        for cause, link in links.items():
            chances[f"events.{event}.links.{cause}"] = link
            if cause not in causes:
                faults.append(Fault(f"events.{event}.links", cause, "network_cause"))
    faults += [
        Fault(name, str(chance), "network_probability") for name, chance in chances.items() if not 0 <= chance < 1
    ]
    return tuple(faults)
