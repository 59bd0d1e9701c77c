"""Two sets of coupons compared: what changed on the plate, and whether the change is more than measuring can explain.

In: the Geometry before and after. Out: a Comparison, and its sentences from the words. This file must never
know what was done to the plate in between.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from core.geometry.contrasts import Solution, Stand, solve, stand_in
from core.geometry.deviations import draw_deviations
from core.geometry.model import CONTRASTS, Geometry
from core.geometry.propagation import Draws, coverage_interval
from core.geometry.uncertainty import coverage_factor, effective_degrees_of_freedom
from core.report import CORNERS
from core.words import Words

SEED = 20101
DRAWS = 100_000

Direction = Literal["better", "worse", "same"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One quantity before and after, mm.

    Attributes:
        change: After minus before.
        low, high: 95 % coverage interval of the change.
        u: Standard uncertainty of the change.
        real: Whether that interval leaves out zero.
        direction: ``better`` is nearer to zero, ``same`` where the change is not real.
    """

    before: float
    after: float
    change: float
    low: float
    high: float
    u: float
    real: bool
    direction: Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What changed between two sets of coupons.

    Attributes:
        spread: Highest minus lowest corner.
        tilt: Fall of the fitted plane from its highest to its lowest corner, 2(|tilt_x| + |tilt_y|): what the
            spread would be without twist, whatever the proportions of the plate.
        tilt_turned: Whether the plate now clearly falls the other way: it was levelled too far.
    """

    spread: Change
    tilt: Change
    offset: Change
    crown: Change
    twist: Change
    tilt_turned: bool

    def changes(self) -> Iterator[tuple[str, Change]]:
        """Yield name and change of each quantity."""
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, Change):
                yield field.name, value


def compare(before: Geometry, after: Geometry, *, seed: int = SEED, draws: int = DRAWS) -> Comparison:
    """Compare two sets of coupons.

    Offset, crown and twist are linear, so their change has its uncertainty in closed form, with Student's t
    where the repeatability comes from repeats. Spread and tilt are not, so theirs come from Monte Carlo
    trials.

    The part that all five readings of a set share is not taken to cancel between the sets, though it would if
    the same person used the same caliper and cured alike: nobody promised that, and a wrong "it moved" costs
    more than a missed one.

    Source:
        JCGM 100:2008, 5.1.2 and G.4.1; JCGM 101:2008, clause 7.
    """
    rng = np.random.Generator(np.random.SFC64(seed))
    sets = _solve_again(before), _solve_again(after)
    first, second = (_corner_draws(solved, rng, draws) for solved in sets)

    def drawn(what: Callable[[Draws], Draws], value_before: float, value_after: float) -> Change:
        difference = what(second) - what(first)
        low, high = coverage_interval(difference)
        value = value_after - value_before
        return _change(value_before, value_after, (min(low, value), max(high, value)), float(difference.std()))

    fall_before, fall_after = _fall(before), _fall(after)
    return Comparison(
        spread=drawn(_spreads, before.spread.value, after.spread.value),
        tilt=drawn(_falls, fall_before, fall_after),
        offset=_linear(*sets, "offset"),
        crown=_linear(*sets, "crown"),
        twist=_linear(*sets, "twist"),
        tilt_turned=_turned(before, after),
    )


def describe(comparison: Comparison, words: Words) -> tuple[str, ...]:
    """Return a comparison as sentences: what really changed, one sentence each, then in one what did not."""
    changes = tuple(comparison.changes())
    sentences = [words.say("compare.turned")] if comparison.tilt_turned else []
    sentences += [
        words.say(
            f"compare.{change.direction}.{name}",
            before=_standing(name, change.before, words),
            after=_standing(name, change.after, words),
        )
        for name, change in changes
        if _told(name, change, words)
    ]
    same = [words.say(f"compare.names.{name}") for name, change in changes if not _told(name, change, words)]
    if same:
        sentences.append(words.say("compare.same", names=words.listed(same)))
    return tuple(sentences)


def _told(name: str, change: Change, words: Words) -> bool:
    """Say whether a change is worth a sentence: it is real and does not read alike before and after."""
    return change.real and _standing(name, change.before, words) != _standing(name, change.after, words)


def _standing(name: str, value: float, words: Words) -> str:
    """Say a size; for what can go either way with the way in words, never with a sign."""
    size = _hundredths(abs(value))
    way = "nothing" if size == 0 else "up" if value > 0 else "down"
    either = f"compare.ways.{name}_{way}"
    return words.say(either if words.has(either) else "compare.ways.size", size=size)


def _hundredths(value: float) -> float:
    """Return a value in whole hundredths, never a negative zero."""
    return round(value, 2) + 0.0


def _change(before: float, after: float, interval: tuple[float, float], u: float) -> Change:
    low, high = interval
    real = low > 0 or high < 0
    nearer: Direction = "better" if abs(after) < abs(before) else "worse"
    return Change(
        before=before,
        after=after,
        change=after - before,
        low=low,
        high=high,
        u=u,
        real=real,
        direction=nearer if real else "same",
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Solved:
    """A Geometry with the linear map behind it."""

    geometry: Geometry
    solution: Solution
    stand_ins: dict[Stand, float]


def _solve_again(geometry: Geometry) -> _Solved:
    """Recover the linear map behind a Geometry; a stand-in's prior is the whole variance of its contrast."""
    name = stand_in(geometry.missing)
    stand_ins: dict[Stand, float] = {}
    if name:
        place = CONTRASTS.index(name)
        stand_ins[name] = math.sqrt(geometry.contrasts.covariance[place][place])
    errors = {position: geometry.errors[position] for position in geometry.measured}
    solution = solve(errors, geometry.budget.individual_u, geometry.budget.common_u, stand_ins)
    return _Solved(geometry, solution, stand_ins)


def _linear(before: _Solved, after: _Solved, name: str) -> Change:
    place = CONTRASTS.index(name)
    parts = [part for solved in (before, after) for part in _parts(solved, place)]
    u = math.sqrt(math.fsum(part**2 for part, _ in parts))
    width = u * coverage_factor(effective_degrees_of_freedom(parts))
    first, second = getattr(before.geometry, name).value, getattr(after.geometry, name).value
    return _change(first, second, (second - first - width, second - first + width), u)


def _parts(solved: _Solved, place: int) -> Iterator[tuple[float, float]]:
    """Yield a contrast's uncertainty from repeatability, and the rest, each with its degrees of freedom."""
    budget = solved.geometry.budget
    gains = solved.solution.gain[place].tolist()[: len(budget.counts)]
    repeatability = budget.repeatability_s * math.sqrt(
        math.fsum(gain**2 / count for gain, count in zip(gains, budget.counts.values(), strict=True))
    )
    yield repeatability, budget.degrees_of_freedom
    variance = solved.geometry.contrasts.covariance[place][place]
    yield math.sqrt(max(0.0, variance - repeatability**2)), math.inf


def _corner_draws(solved: _Solved, rng: np.random.Generator, draws: int) -> Draws:
    """Return draws of the four corners' errors but for what they share, shape (4, draws)."""
    geometry = solved.geometry
    corners = draw_deviations(geometry.budget, solved.solution, solved.stand_ins, rng, draws).corners
    corners += np.array([[geometry.errors[corner]] for corner in CORNERS], dtype=np.float32)
    return corners


def _fall(geometry: Geometry) -> float:
    return 2 * (abs(geometry.tilt_x.value) + abs(geometry.tilt_y.value))


def _spreads(corners: Draws) -> Draws:
    spreads: Draws = corners.max(axis=0) - corners.min(axis=0)
    return spreads


def _falls(corners: Draws) -> Draws:
    front_left, front_right, back_left, back_right = corners
    rising, crossing = back_right - front_left, back_left - front_right
    # |x| + |y| of the two half differences is the larger of |x + y| and |x - y|, which are the two diagonals.
    falls: Draws = np.maximum(np.abs(rising), np.abs(crossing))
    return falls


def _turned(before: Geometry, after: Geometry) -> bool:
    """Say whether the steepest fall clearly points the other way than before, along either axis that clearly fell."""
    return any(
        (first.low > 0 and second.high < 0) or (first.high < 0 and second.low > 0)
        for first, second in ((before.tilt_x, after.tilt_x), (before.tilt_y, after.tilt_y))
    )
