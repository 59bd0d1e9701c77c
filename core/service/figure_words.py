"""Figures in, lines to read out: shares with their intervals, comparisons, times, what was learned.

Every line says from how many cases. This file must never know a card or a chart.
"""

from collections.abc import Callable, Iterator, Sequence

from core.cases.tallies import UNKNOWN
from core.service.case_views import named
from core.service.figure import Distribution, Figure
from core.service.figures import Figures
from core.service.request import Request
from core.statistics.durations import TypicalTime
from core.words import Words

MOST_LINES = 10
HOURS_IN_DAY = 24
MOST_TOLD = 3
WIDEST_TOLD = 0.1
"""Of a figure that small groups leave open by more than this share, nothing is said."""

Classes = Sequence[tuple[str, int, Sequence[Figure]]]
"""Each class with its cases and how many of them had each cause."""


def list_lines(
    shown: Sequence[Figure], words: Words, name_of: Callable[[str, Words], str], most: int = MOST_LINES
) -> Iterator[str]:
    """Yield one line a figure, the first ``most``, and how many more there are."""
    for one in shown[:most]:
        yield words.say(
            f"stats.line_{'exact' if one.exact else 'between'}",
            name=name_of(one.name, words),
            count=one.at_least,
            most=one.at_most,
            of=one.of,
            share=percent_of(one, words),
            low=percent_said(one.low, words),
            high=percent_said(one.high, words),
        )
    if len(shown) > most:
        yield words.say("stats.more", count=len(shown) - most)


def compare_in_words(figures: Figures, first: str, second: str, words: Words) -> str:
    """Say whether one step fixes more often than another, and by how much."""
    compared = figures.compare_steps(first, second)
    names = {"first": name_step(first, words), "second": name_step(second, words)}
    if compared is None or compared[2].value is None:
        return words.say("stats.remedies.not_compared", **names)
    one, other, difference = compared
    told = "better" if difference.low > 0 else "worse" if difference.high < 0 else "open"
    return words.say(
        f"stats.remedies.{told}",
        **names,
        one=percent_of(one, words),
        of_one=one.of,
        two=percent_of(other, words),
        of_two=other.of,
        low=round(100 * difference.low),
        high=round(100 * difference.high),
    )


def tell_learning(request: Request) -> str:
    """Say whether verdicts use learned values, and why not."""
    words = request.words
    if not request.rules.learning:
        return words.say("stats.learning.off")
    if request.taught is None:
        least = round(request.tools.knowledge.norm("learning_cases_least"))
        return words.say("stats.learning.too_few", cases=0, least=least)
    trial = request.taught.trial
    return words.say(
        f"stats.learning.{trial.state}",
        cases=trial.cases,
        least=trial.cases_least,
        gain=trial.gain_nats,
        margin=trial.margin_nats,
        learned=trial.learned_score or 0.0,
        starting=trial.starting_score or 0.0,
    )


def tell_time(typical: TypicalTime, words: Words) -> str:
    """Say how long half of the fixes took."""
    if typical.value is None:
        return words.say("stats.remedies.not_half", done=typical.done, open=typical.open)
    low = typical.low if typical.low is not None else typical.value
    if typical.high is None:
        return words.say(
            "stats.remedies.median_open",
            value=_hours(typical.value, words),
            low=_hours(low, words),
            done=typical.done,
            open=typical.open,
        )
    return words.say(
        "stats.remedies.median",
        value=_hours(typical.value, words),
        low=_hours(low, words),
        high=_hours(typical.high, words),
        done=typical.done,
        open=typical.open,
    )


def tell_quartiles(one: Distribution, words: Words) -> str:
    """Say where readings lie."""
    # A hair below nothing is nothing.
    at = {share: round(quantile.value, 2) + 0.0 for share, quantile in one.quantiles.items()}
    cases = one.cases if one.exact else words.say("stats.readings.about", count=one.cases)
    return words.say(
        f"stats.readings.{one.name}",
        cases=cases,
        low=at[0.25],
        middle=at[0.5],
        high=at[0.75],
        least=at[0.1],
        most=at[0.9],
    )


def tell_raised(figures: Figures, classes: Classes, words: Words) -> str:
    """Say plainly how many had raised exposure first, and what was really wrong with them; nothing if withheld."""
    raised = figures.raised()
    if raised is None:
        return ""
    values = {
        "share": percent_of(raised, words),
        "count": raised.at_least,
        "of": raised.of,
        "low": percent_said(raised.low, words),
        "high": percent_said(raised.high, words),
    }
    told = [words.say("stats.raised.share", **values)]
    shown = next((shown for name, _, shown in classes if name == "yes"), ())
    most = [one for one in only_named(shown) if one.at_least][:MOST_TOLD]
    if most:
        names = [words.say("stats.raised.cause", name=named(one.name, words), count=one.at_least) for one in most]
        told.append(words.say("stats.raised.really", causes=words.listed(names)))
    kinds = figures.kinds("raised", "yes")
    told += [
        words.say("stats.raised.mechanical", share=percent_said(one.at_least / one.of, words), of=one.of)
        for one in kinds
        if one.name == "mechanical"
    ]
    return " ".join(told)


def only_named(shown: Sequence[Figure]) -> Sequence[Figure]:
    """Return the figures of causes, without how many have none and without those nobody has."""
    return [one for one in shown if one.name != UNKNOWN and one.at_most]


def known_well(shown: Sequence[Figure]) -> Sequence[Figure]:
    """Return the figures of causes that are known closely enough to say something."""
    return [one for one in only_named(shown) if one.at_most - one.at_least <= WIDEST_TOLD * one.of]


def _hours(value: float, words: Words) -> str:
    if value < 2 * HOURS_IN_DAY:
        return words.say("case.span.hours", count=round(value))
    return words.say("stats.days", count=value / HOURS_IN_DAY)


def name_cause(name: str, words: Words) -> str:
    """Return the name of a cause, or that none is confirmed."""
    return words.say("stats.causes.unknown") if name == UNKNOWN else named(name, words)


def name_kind(name: str, words: Words) -> str:
    """Return the name of a kind of causes."""
    return words.say(f"stats.kinds.{name}")


def name_step(name: str, words: Words) -> str:
    """Return the name of a step."""
    return words.say(f"remedies.{name}.name")


def class_key(name: str) -> str:
    """Return the key of a class's words."""
    return "not_told" if name == UNKNOWN else name


def percent_of(one: Figure, words: Words) -> str:
    """Return a figure's share, or both ends where it is known between two only."""
    if one.exact:
        return percent_said(one.at_least / one.of, words)
    return words.say("stats.between", low=round(100 * one.at_least / one.of), high=round(100 * one.at_most / one.of))


def percent_said(value: float | None, words: Words) -> str:
    """Return a share in whole percent."""
    return words.say("stats.percent", value=100 * (value or 0.0))
