"""A knowledge and a source of random numbers in, invented cases with known truth out.

For trying out statistics and learning: whoever shows or stores what comes from here calls it invented data. Causes come
from the priors, findings from links and leaks, settings and readings so that they bear on the causes as strongly as the
diagnosis takes them to. How people behave is invented (``Habits``). This file must never know what is made of the
cases.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from core.diagnosis.events import describe_events
from core.diagnosis.geometry_shifts import GEOMETRIC
from core.diagnosis.priors import add_up
from core.diagnosis.settings_shifts import shift_by_settings
from core.geometry.contrasts import design_row
from core.knowledge import Knowledge
from core.knowledge.schema import Place
from core.report import POSITIONS, THICKEST_MM, THINNEST_MM, Machine, Raft, Readings, Report, Resin, Seen, Settings

Places = Mapping[tuple[str, str], NDArray[np.float64]]
"""Finding and its maker, ``""`` for a leak, to the relative chances of the places, in the order of the data."""

End = Literal["fixed", "fixed_otherwise", "not_fixed", "abandoned", "open"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """How the people of an invented community behave; every number here is invented.

    Attributes:
        tells_seen, tells_absent: Chance that a finding that is there, or is not, is told.
        tells_place: Chance that its place is told.
        measures: Chance that the first report has readings.
        tells_settings: Chance that it has settings.
        raises_exposure: Chance that exposure had been raised before.
        confirms: Chance that a helper says what it was; ``second_opinion`` that another one does too.
        errs: Chance that a helper names a cause that does not hold.
        tries_right: Chance that the step that is tried belongs to a cause that holds.
        fixes: Chance that such a step fixes it.
        median_days: Median time to a fix.
        abandons: Chance that a case that is not fixed is never heard of again.
    """

    tells_seen: float = 0.85
    tells_absent: float = 0.15
    tells_place: float = 0.7
    measures: float = 0.55
    tells_settings: float = 0.7
    raises_exposure: float = 0.35
    confirms: float = 0.7
    second_opinion: float = 0.3
    errs: float = 0.08
    tries_right: float = 0.75
    fixes: float = 0.8
    median_days: float = 3.0
    abandons: float = 0.5


@dataclass(frozen=True, slots=True)
class Opinion:
    """What one invented helper said the cause was."""

    helper: str
    cause: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class InventedCase:
    """One case that never happened.

    Attributes:
        report: What was told when it was opened.
        causes: What really held.
        opinions: What helpers said; each at most once.
        end: How it ended; ``open`` where it had not by the end of the time.
        remedy: The step that was tried; ``None`` where the case was abandoned or fixed otherwise.
        ended_at: When; ``None`` of an open case.
        readings_after: Measured after a fix, where the first report had readings.
    """

    opened_at: datetime
    report: Report
    causes: frozenset[str]
    opinions: tuple[Opinion, ...]
    end: End
    remedy: str | None
    ended_at: datetime | None
    readings_after: Readings | None


def invent_cases(
    count: int,
    knowledge: Knowledge,
    rng: Generator,
    *,
    first: datetime,
    days: float,
    habits: Habits | None = None,
) -> tuple[InventedCase, ...]:
    """Invent a community's cases, oldest first.

    Cases without a cause or without a finding are not invented: nobody asks about them. Causes are independent, as in
    the network, so that now and then two hold that in life exclude each other.

    Args:
        count: How many.
        knowledge: The truth they are drawn from.
        rng: Source of all randomness; the same state invents the same cases.
        first: When the first may have been opened.
        days: Over how many days they are spread, evenly; what has not ended by then is open.
        habits: How people behave.
    """
    people = habits or Habits()
    end = first + timedelta(days=days)
    opened = [first + timedelta(seconds=round(second)) for second in sorted(rng.uniform(0, days * 86_400, count))]
    places = _chances_of_places(knowledge)
    return tuple(_case(at, end, places, knowledge, people, rng) for at in opened)


def _case(
    opened: datetime, end: datetime, places: Places, knowledge: Knowledge, people: Habits, rng: Generator
) -> InventedCase:
    causes, made = _causes_and_findings(knowledge, rng)
    plate = _plate(causes, knowledge, rng)
    measured = rng.random() < people.measures
    told = _settings(causes, knowledge, people, rng)
    report = Report(
        readings=_readings(plate, knowledge, rng) if measured else None,
        findings=tuple(
            Seen(id=name, where=_where(name, made[name], plate, places, knowledge, people, rng))
            for name in _told_seen(made, people, rng)
        ),
        absent=tuple(name for name, maker in made.items() if maker is None and rng.random() < people.tells_absent),
        settings=told.settings,
        raft=told.raft,
        machine=told.machine,
        resin=told.resin,
    )
    opinions = tuple(
        Opinion(f"invented-helper-{number}", _opinion(causes, made, knowledge, people, rng), opened + _days(rng, 1.0))
        for number in _helpers(people, rng)
    )
    how, remedy, ended = _outcome(causes, opened, knowledge, people, rng)
    if ended > end:
        how, remedy = "open", None
    fixed = how in {"fixed", "fixed_otherwise"}
    return InventedCase(
        opened_at=opened,
        report=report,
        causes=causes,
        opinions=tuple(one for one in opinions if one.at <= end),
        end=how,
        remedy=remedy,
        ended_at=None if how == "open" else ended,
        readings_after=_readings(_plate(frozenset(), knowledge, rng), knowledge, rng) if fixed and measured else None,
    )


# ---- what is wrong, and what shows ----------------------------------------------------------------


def _causes_and_findings(knowledge: Knowledge, rng: Generator) -> tuple[frozenset[str], Mapping[str, str | None]]:
    """Return what holds, and for every finding the cause that made it: ``""`` for a leak, ``None`` where absent."""
    while True:
        causes = frozenset(name for name, cause in knowledge.causes.items() if rng.random() < cause.prior)
        made: dict[str, str | None] = {}
        for name, finding in knowledge.findings.items():
            makers = [cause for cause, link in finding.links.items() if cause in causes and rng.random() < link]
            leaked = "" if rng.random() < finding.leak else None
            made[name] = makers[0] if makers else leaked
        if causes and any(maker is not None for maker in made.values()):
            return causes, made


def _told_seen(made: Mapping[str, str | None], people: Habits, rng: Generator) -> tuple[str, ...]:
    """Return the findings that are told; at least one, or nobody would have asked."""
    seen = tuple(name for name, maker in made.items() if maker is not None)
    return tuple(name for name in seen if rng.random() < people.tells_seen) or seen[:1]


def _where(
    name: str,
    maker: str | None,
    plate: Sequence[float],
    places: Places,
    knowledge: Knowledge,
    people: Habits,
    rng: Generator,
) -> str:
    """Return a place by the maker's profile; of a crooked plate, on the side where it belongs."""
    finding = knowledge.findings[name]
    if not finding.placed or rng.random() >= people.tells_place:
        return "unknown"
    chances = places[name, maker or ""]
    if maker in GEOMETRIC and finding.side is not None:
        toward = 1.0 if finding.side == "gap" else -1.0
        heights = [toward * _height(place, plate) for place in knowledge.places.values()]
        leaning = np.array([1.0 if height == 0 else max(height, 0.0) / 0.1 for height in heights])
        chances = chances * (leaning + knowledge.norm("misplaced_share"))
    return str(rng.choice(list(knowledge.places), p=chances / chances.sum()))


def _chances_of_places(knowledge: Knowledge) -> Places:
    events = describe_events(None, knowledge)
    chances: dict[tuple[str, str], NDArray[np.float64]] = {}
    for name, finding in knowledge.findings.items():
        for maker in ("", *finding.links) if finding.placed else ():
            there = (events[f"{name}@{place}"] for place in knowledge.places)
            chances[name, maker] = np.array([links[maker] if maker else leak for leak, links in there])
    return chances


def _height(place: Place, plate: Sequence[float]) -> float:
    """Return how far from the film a place is beside the plate's mean height, mm."""
    _, tilt_x, tilt_y, _, crown = plate
    bowed = {"centre": crown / 2, "edges": -crown / 2}.get(place.kind, 0.0)
    return tilt_x * place.x + tilt_y * place.y + bowed


def _plate(causes: frozenset[str], knowledge: Knowledge, rng: Generator) -> tuple[float, ...]:
    """Return the five contrasts, mm, as the diagnosis takes them to vary on sound and on faulty machines."""

    def scale(contrast: str, *, faulty: bool) -> float:
        return knowledge.norm(f"{contrast}_{'faulty' if faulty else 'sound'}_sd_mm")

    tilt, close, far, bowed = (name in causes for name in GEOMETRIC)
    spread = rng.rayleigh(scale("tilt", faulty=tilt))
    along, sides = rng.random(), rng.choice((-1.0, 1.0), size=3)
    offset = rng.normal(0.0, scale("offset", faulty=False))
    if close != far:
        offset = (1.0 if far else -1.0) * rng.rayleigh(scale("offset", faulty=True))
    crown = rng.normal(0.0, scale("crown", faulty=False))
    if bowed:
        crown = sides[2] * rng.rayleigh(scale("crown", faulty=True))
    return (offset, sides[0] * along * spread / 2, sides[1] * (1 - along) * spread / 2, 0.0, crown)


def _readings(plate: Sequence[float], knowledge: Knowledge, rng: Generator) -> Readings:
    nominal, noise = knowledge.norm("coupon_nominal_mm"), knowledge.norm("repeatability_s_mm")
    seating = knowledge.norm("seating_limit_mm")
    read: dict[str, tuple[float]] = {}
    for position in POSITIONS:
        error = sum(part * contrast for part, contrast in zip(design_row(position), plate, strict=True))
        thickness = nominal + error + rng.normal(0.0, noise) + rng.uniform(-seating, seating)
        read[position.value] = (round(min(max(thickness, THINNEST_MM), THICKEST_MM), 2),)
    return Readings.model_validate({"nominal_mm": nominal, **read})


_TRIED = 8
"""Sets of settings among which one is picked."""


def _settings(causes: frozenset[str], knowledge: Knowledge, people: Habits, rng: Generator) -> Report:
    """Return settings that are as much more frequent with these causes as the diagnosis takes them to be.

    Of several sets drawn alike for everyone, one is picked with a chance in proportion to the likelihood ratios of the
    causes that hold (sampling, importance resampling: Rubin 1987).
    """
    raised = bool(rng.random() < people.raises_exposure)
    if rng.random() >= people.tells_settings:
        return Report(settings=Settings(raised_exposure=raised))
    tried = [_any_settings(raised=raised, rng=rng) for _ in range(_TRIED)]
    said = [add_up(shift_by_settings(one, knowledge)) for one in tried]
    log_weights = np.array([sum(ratios.get(cause, 0.0) for cause in causes) for ratios in said])
    weights = np.exp(log_weights - log_weights.max())
    return tried[int(rng.choice(_TRIED, p=weights / weights.sum()))]


def _any_settings(*, raised: bool, rng: Generator) -> Report:
    exposure = float(rng.lognormal(np.log(2.5), 0.3))
    return Report(
        settings=Settings(
            layer_height_mm=0.05,
            burn_in_layers=int(rng.integers(3, 11)),
            burn_in_s=round(min(exposure * float(rng.lognormal(np.log(13.0), 0.4)), 300.0), 1),
            transition_layers=int(rng.integers(0, 11)),
            exposure_s=round(exposure, 2),
            rest_s=round(float(rng.uniform(0.0, 2.0)), 1),
            lift_mm_per_min=float(rng.choice([40, 60, 80, 120, 180, 240])),
            raised_exposure=raised,
        ),
        raft=Raft(
            area_mm2=float(np.round(rng.lognormal(np.log(3000.0), 0.6))), style=str(rng.choice(["solid", "open"]))
        ),
        machine=Machine(
            plate_width_mm=float(rng.choice([130, 150, 200, 220])),
            plate_depth_mm=80.0,
            adjusters=str(rng.choice(["ball_joint", "four_screws", "two_screws", "unknown"])),
            homing=str(rng.choice(["switch", "probe", "unknown"])),
        ),
        resin=Resin(temperature_c=round(float(rng.normal(22.5, 3.0)), 1)),
    )


# ---- what people do -------------------------------------------------------------------------------


def _helpers(people: Habits, rng: Generator) -> Sequence[int]:
    number = 0 if rng.random() >= people.confirms else 2 if rng.random() < people.second_opinion else 1
    chosen: list[int] = rng.choice(np.arange(1, 8), size=number, replace=False).tolist()
    return chosen


def _opinion(
    causes: frozenset[str], made: Mapping[str, str | None], knowledge: Knowledge, people: Habits, rng: Generator
) -> str:
    """Return what a helper names: mostly the cause that shows most."""
    wrong = [name for name in knowledge.causes if name not in causes]
    if wrong and rng.random() < people.errs:
        return str(rng.choice(wrong))
    right = [name for name in knowledge.causes if name in causes]
    shows = np.array([sum(maker == name for maker in made.values()) + _HIDDEN for name in right]) ** 2
    return str(rng.choice(right, p=shows / shows.sum()))


_HIDDEN = 0.2
"""How much a cause that made no finding weighs beside one that made one."""


def _outcome(
    causes: frozenset[str], opened: datetime, knowledge: Knowledge, people: Habits, rng: Generator
) -> tuple[End, str | None, datetime]:
    steps = {name: remedy for name, remedy in knowledge.remedies.items() if remedy.kind != "check"}
    right = [name for name, remedy in steps.items() if causes & set(remedy.causes)]
    tried_right = bool(right) and rng.random() < people.tries_right
    remedy = str(rng.choice(right if tried_right else list(steps)))
    waited = _days(rng, people.median_days)
    if tried_right and rng.random() < people.fixes:
        return "fixed", remedy, opened + waited
    if rng.random() < people.abandons:
        return "abandoned", None, opened + timedelta(days=30)
    if rng.random() < people.fixes / 2:
        return "fixed_otherwise", None, opened + 2 * waited
    return "not_fixed", remedy, opened + 2 * waited


def _days(rng: Generator, median: float) -> timedelta:
    return timedelta(seconds=round(float(rng.lognormal(np.log(median), 0.9)) * 86_400))
