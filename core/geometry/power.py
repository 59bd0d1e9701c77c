"""How many more readings would settle a borderline verdict: Geometry and norms in, a RepeatPlan and its sentence out.

Only the repeatability of a reading averages out over repeats; the caliper's error and step, the seating of a coupon and
shrinkage stay (see ``uncertainty``). So the answer is often that repeats cannot settle it, and then the plan says what
stands in the way. This file must never know how readings are asked for, nor what the verdict advises.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import gammaincinv, ndtri

from core.geometry.bands import Limits
from core.geometry.least_squares import Array
from core.geometry.model import Budget, Geometry
from core.geometry.propagation import Draws
from core.geometry.uncertainty import TYPE_A_NEEDS
from core.knowledge.schema import Knowledge
from core.report import CORNERS, Position
from core.words import Words
from core.words.numbers import percent

SEED = 20102
OUTCOMES, INNER = 512, 2000
"""Imagined outcomes of the repeats, and draws of the plate behind each: a probability is known to about 0.01."""
CONFIRMED = 4
"""Fresh trials of a plan that looks good enough."""
MOST_REPEATS = 10
ENDLESS = 10**6
"""Repeats that leave nothing of the repeatability."""
DECIDES = 0.1
"""A corner decides the spread if it is the highest or the lowest in at least this share of the draws."""
LIKELY = 0.5
"""Repeats that settle it less often than this are not worth asking for."""

About = Literal["band", "offset"]
Reason = Literal["seating", "caliper", "too_many", "missing"]
Seed = int | tuple[int, int]
Judge = Callable[[Draws], Array]
"""From corner errors, shape (4, outcomes, draws), to the probability of the leading answer of each outcome."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RepeatPlan:
    """What measuring the same coupons again would do.

    Attributes:
        about: What is not certain now: the ``band`` of the spread, or whether the ``offset`` is within its norm.
        corners: To be measured again, the highest and the lowest first; the missing one for ``missing``; else empty.
        repeats: More readings of each; 0 where none would do.
        now: Probability of the leading answer now.
        expected: What that probability will be on average after the repeats, or after endless ones where none would do.
        chance: Probability that after these, or after endless ones, the leading answer is as sure as the norm asks.
        reason: Why repeats do not settle it, or ``None``.
    """

    about: About
    corners: tuple[Position, ...]
    repeats: int
    now: float
    expected: float
    chance: float
    reason: Reason | None


def plan_repeats(geometry: Geometry, knowledge: Knowledge, *, seed: int = SEED) -> RepeatPlan | None:
    """Return the fewest readings that are expected to settle what is borderline, or why none are.

    Settled means that the leading answer has at least the norm ``band_sure_probability``. The plan is the smallest that
    reaches it in expectation over the outcomes of the repeats (preposterior analysis: Raiffa & Schlaifer, Applied
    Statistical Decision Theory, 1961), and that is more likely than not to reach it. The band comes first; the offset
    is looked at where the band is sure.

    Args:
        geometry: As measured.
        knowledge: For the norms.
        seed: Of the Monte Carlo trials; the same geometry and seed give the same plan.

    Returns:
        ``None`` where nothing is borderline, or where a reading is in doubt: that one comes first.
    """
    sure = knowledge.norm("band_sure_probability")
    now = {
        "band": max(geometry.band_probability.values()),
        "offset": max(geometry.offset_ok_probability, 1 - geometry.offset_ok_probability),
    }
    about: About = "band" if now["band"] < sure else "offset"
    if now[about] >= sure or geometry.suspect is not None or geometry.twist_significant:
        return None
    if geometry.missing in CORNERS:
        return _no(about, now[about], np.array([now[about]]), sure, "missing", (geometry.missing,))
    judge = _judge_band(knowledge) if about == "band" else _judge_offset(geometry.budget, knowledge, seed)
    deciding = _deciding(geometry, seed) if about == "band" else CORNERS
    best = _foresee(geometry, dict.fromkeys(deciding, ENDLESS), judge, seed)
    if float(best.mean()) < sure:
        return _no(about, now[about], best, sure, _obstacle(about, geometry.budget))
    for corners, repeats in _smallest_first(about, geometry, deciding):
        extra = dict.fromkeys(corners, repeats)
        if not _settles(_foresee(geometry, extra, judge, seed), sure):
            continue
        # The first of many plans that passes may have been lucky: fresh trials must confirm it.
        after = np.concatenate([_foresee(geometry, extra, judge, (seed, trial)) for trial in range(1, CONFIRMED + 1)])
        if _settles(after, sure):
            return RepeatPlan(
                about=about,
                corners=tuple(corners),
                repeats=repeats,
                now=now[about],
                expected=float(after.mean()),
                chance=float((after >= sure).mean()),
                reason=None,
            )
    return _no(about, now[about], best, sure, "too_many")


def describe_repeats(plan: RepeatPlan, words: Words) -> str:
    """Return the plan as one sentence: what to measure again and how often that settles it, or why it would not."""
    places = [words.say(f"positions.{corner.value}") for corner in plan.corners]
    if plan.reason is not None:
        return words.say(
            f"repeats.no.{plan.reason}", place="".join(places), most=MOST_REPEATS, chance=percent(plan.chance, words)
        )
    return words.say(
        "repeats.settle_one" if len(places) == 1 else "repeats.settle",
        count=words.say(f"repeats.counts.{plan.repeats}"),
        places=words.listed([words.say("repeats.place", place=place) for place in places]),
        chance=percent(plan.chance, words),
    )


def _settles(after: Array, sure: float) -> bool:
    return float(after.mean()) >= sure and float((after >= sure).mean()) >= LIKELY


def _no(
    about: About,
    now: float,
    after: Array,
    sure: float,
    reason: Reason,
    corners: tuple[Position, ...] = (),
) -> RepeatPlan:
    return RepeatPlan(
        about=about,
        corners=corners,
        repeats=0,
        now=now,
        expected=float(after.mean()),
        chance=float((after >= sure).mean()),
        reason=reason,
    )


def _obstacle(about: About, budget: Budget) -> Reason:
    """Return what repeats leave: on the mean of four corners, half of each one's own part beside what all share."""
    own = math.hypot(budget.components["seating"], budget.components["resolution"])
    return "caliper" if about == "offset" and budget.common_u > own / 2 else "seating"


def _smallest_first(
    about: About, geometry: Geometry, deciding: Sequence[Position]
) -> Iterator[tuple[Sequence[Position], int]]:
    """Yield corners and repeats of each, by the total of readings, then by the number of corners."""
    pair = (geometry.highest, geometry.lowest)
    sets: dict[Sequence[Position], None] = {deciding: None}
    if about == "band":
        sets = dict.fromkeys(((geometry.highest,), (geometry.lowest,), pair, deciding))
    plans = [(corners, repeats) for corners in sets for repeats in range(1, MOST_REPEATS + 1)]
    yield from sorted(plans, key=lambda plan: (len(plan[0]) * plan[1], len(plan[0])))


def _deciding(geometry: Geometry, seed: int) -> Sequence[Position]:
    """Return the corners that may well be the highest or the lowest, those that look so first."""
    corners = _corner_draws(geometry, {}, seed, outcomes=1)[:, 0]
    count = corners.shape[1]
    ends = np.bincount(corners.argmax(axis=0), minlength=4) + np.bincount(corners.argmin(axis=0), minlength=4)
    pair = (geometry.highest, geometry.lowest)
    others = [each for each, times in zip(CORNERS, ends, strict=True) if times >= DECIDES * count and each not in pair]
    return (*pair, *others)


def _judge_band(knowledge: Knowledge) -> Judge:
    limits = Limits.of(knowledge)

    def judge(corners: Draws) -> Array:
        spreads = corners.max(axis=0) - corners.min(axis=0)
        good = (spreads <= limits.good).mean(axis=1)
        workable = (spreads <= limits.workable).mean(axis=1)
        below_out = (spreads < limits.out).mean(axis=1)
        bands = np.stack((good, workable - good, below_out - workable, 1 - below_out))
        leading: Array = bands.max(axis=0)
        return leading

    return judge


def _judge_offset(budget: Budget, knowledge: Knowledge, seed: int) -> Judge:
    limit = knowledge.norm("offset_ok_mm")
    strata = _Strata(np.random.Generator(np.random.SFC64((seed, 0))))
    shared = sum(strata.within(budget.components[part], INNER) for part in ("caliper", "cure_shrinkage"))

    def judge(corners: Draws) -> Array:
        inside = (np.abs(corners.mean(axis=0) + shared) <= limit).mean(axis=1)
        leading: Array = np.maximum(inside, 1 - inside)
        return leading

    return judge


def _foresee(geometry: Geometry, extra: Mapping[Position, int], judge: Judge, seed: Seed) -> Array:
    """Return the probability of the leading answer after each of ``OUTCOMES`` imagined outcomes of the repeats."""
    return judge(_corner_draws(geometry, extra, seed, OUTCOMES))


def _corner_draws(geometry: Geometry, extra: Mapping[Position, int], seed: Seed, outcomes: int) -> Draws:
    """Return draws of the corners' true errors after repeats, mm, shape (4, outcomes, draws).

    An outcome is drawn from what is believed now: the mean of n more readings of a spot with k differs from the old
    mean by N(0, σ²(1/k + 1/n)) and moves it by n/(k + n) of that. Behind it the plate is drawn from what will then be
    believed, with the repeatability that ``draw_up`` would then use: of practice, or pooled over all repeats with its
    degrees of freedom.
    """
    strata = _Strata(np.random.Generator(np.random.SFC64(seed)))
    budget = geometry.budget
    sigma = budget.repeatability_s * strata.scale(budget.degrees_of_freedom, outcomes)
    shifts = dict.fromkeys(CORNERS, np.zeros(outcomes))
    squares = np.zeros(outcomes)
    for corner, more in extra.items():
        had = budget.counts[corner]
        difference = sigma * math.sqrt(1 / had + 1 / more) * strata.normal(outcomes)
        shifts[corner] = more / (had + more) * difference
        squares += had * more / (had + more) * difference**2 + sigma**2 * strata.chi_square(more - 1, outcomes)
    counts = {place: count + extra.get(place, 0) for place, count in budget.counts.items()}
    repeatability, dof = _repeatability_after(budget, counts, sigma, squares, strata)
    scale = strata.scale(dof, INNER)
    drawn = np.empty((len(CORNERS), outcomes, INNER), dtype=np.float32)
    for place, corner in enumerate(CORNERS):
        kept = [strata.within(budget.components[part], INNER) for part in ("resolution", "seating")]
        stays = geometry.errors[corner] + kept[0] + kept[1]
        own = (repeatability / math.sqrt(counts[corner])).astype(np.float32)
        np.outer(own, (strata.normal(INNER) * scale).astype(np.float32), out=drawn[place])
        drawn[place] += stays.astype(np.float32)
        drawn[place] += shifts[corner][:, None].astype(np.float32)
    return drawn


def _repeatability_after(
    budget: Budget,
    counts: Mapping[Position, int],
    sigma: Array,
    squares: Array,
    strata: "_Strata",
) -> tuple[Array, float]:
    """Return the standard deviation of a reading as it will then be estimated, per outcome, and its freedom."""
    dof = sum(count - 1 for count in counts.values())
    before = sum(count - 1 for count in budget.counts.values())
    if budget.repeatability_from == "repeats":
        return np.sqrt((before * budget.repeatability_s**2 + squares) / dof), float(dof)
    if max(counts.values()) < TYPE_A_NEEDS:
        return np.full_like(sigma, budget.repeatability_s), math.inf
    # Pairs that were too few to be believed count once there are more.
    return np.sqrt((sigma**2 * strata.chi_square(before, sigma.size) + squares) / dof), float(dof)


@dataclass(frozen=True, slots=True)
class _Strata:
    """Draws with one in each of as many equally probable strata, in random order (Latin hypercube sampling).

    A few hundred outcomes then tell what thousands of independent ones would (McKay, Beckman & Conover, Technometrics
    21 (1979) 239).
    """

    rng: np.random.Generator

    def normal(self, count: int) -> Array:
        """Return standard normal draws."""
        drawn: Array = ndtri(self._uniform(count))
        return drawn

    def within(self, u: float, count: int) -> Array:
        """Return draws of a rectangular distribution about zero with standard uncertainty ``u``."""
        return u * math.sqrt(3) * (2 * self._uniform(count) - 1)

    def chi_square(self, degrees_of_freedom: float, count: int) -> Array:
        """Return draws of χ²; zeros for no degrees of freedom."""
        if not degrees_of_freedom:
            return np.zeros(count)
        drawn = 2 * gammaincinv(degrees_of_freedom / 2, self._uniform(count))
        return np.asarray(drawn, dtype=np.float64)

    def scale(self, degrees_of_freedom: float, count: int) -> Array:
        """Return by what factor an estimated standard deviation may be too small: √(ν/χ²) (see ``PooledScale``)."""
        if math.isinf(degrees_of_freedom):
            return np.ones(count)
        return np.power(self.chi_square(degrees_of_freedom, count) / degrees_of_freedom, -0.5)

    def _uniform(self, count: int) -> Array:
        return (self.rng.permutation(count) + 0.5) / count
