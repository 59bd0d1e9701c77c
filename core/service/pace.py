"""How much one person and one community may ask in a while, so that nobody can keep the others waiting.

In: who asks, and when. Out: nothing, or a refusal that says when to come back. Nothing is kept on disk.
"""

from dataclasses import dataclass, field
from datetime import datetime

from core.errors import Refused

MOST_KEPT = 10_000
"""So many of the last askers are remembered; who is forgotten starts afresh."""


@dataclass(frozen=True, slots=True)
class Allowance:
    """A token bucket: ``burst`` at once, and one more every ``every_s`` seconds."""

    burst: int
    every_s: float


@dataclass(slots=True)
class _Bucket:
    left: float
    at: datetime


@dataclass(slots=True)
class Pace:
    """Counts what is asked against an allowance for each asker."""

    allowance: Allowance
    _buckets: dict[str, _Bucket] = field(default_factory=dict, repr=False)

    def take(self, asker: str, at: datetime) -> float:
        """Take one from the asker's allowance; return 0, or for how many seconds there is none."""
        most = float(self.allowance.burst)
        bucket = self._buckets.pop(asker, None) or _Bucket(most, at)
        passed = max((at - bucket.at).total_seconds(), 0.0)
        left = min(most, bucket.left + passed / self.allowance.every_s)
        wait = 0.0 if left >= 1 else (1 - left) * self.allowance.every_s
        # Last in, last out: whoever asked longest ago is forgotten first.
        self._buckets[asker] = _Bucket(left if wait else left - 1, max(at, bucket.at))
        if len(self._buckets) > MOST_KEPT:
            self._buckets.pop(next(iter(self._buckets)))
        return wait


@dataclass(slots=True)
class Paces:
    """The two paces a service keeps."""

    person: Pace = field(default_factory=lambda: Pace(Allowance(burst=15, every_s=4.0)))
    community: Pace = field(default_factory=lambda: Pace(Allowance(burst=120, every_s=0.5)))

    def check(self, community: str, person: str, at: datetime) -> None:
        """Count one inquiry.

        Raises:
            Refused: The person, or their community, asks faster than can be answered well.
        """
        wait = self.person.take(person, at)
        if wait:
            raise Refused("too_fast", seconds=max(1, round(wait)))
        wait = self.community.take(community, at)
        if wait:
            raise Refused("too_busy", seconds=max(1, round(wait)))


def unhurried() -> Paces:
    """Return paces that nobody reaches, for a terminal, where whoever asks keeps only themselves waiting."""
    plenty = Allowance(burst=10**9, every_s=1.0)
    return Paces(person=Pace(plenty), community=Pace(plenty))
