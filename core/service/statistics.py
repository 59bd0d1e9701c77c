"""What a moderator asks of many cases: the answers, one a command.

In: a Request. Out: a Card with text, a chart or files. Every figure says from how many cases. This file must never
count cases itself, nor decide what a small group gives away.
"""

from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import replace

from core.card import Attachment, Card, Picture, Section
from core.cases.published import Policy, Publication
from core.cases.release import Limits, Names
from core.cases.tallies import CLASSES, UNKNOWN
from core.errors import Refused
from core.intake.choices import read_choice
from core.knowledge import Knowledge
from core.pictures.charts import draw_distributions, draw_reliability, draw_shares, draw_trend
from core.service.case_views import named
from core.service.figure import Figure
from core.service.figure_list import as_csv, as_json, list_figures
from core.service.figure_words import (
    MOST_LINES,
    class_key,
    compare_in_words,
    known_well,
    list_lines,
    name_cause,
    name_kind,
    name_step,
    only_named,
    percent_of,
    percent_said,
    tell_learning,
    tell_quartiles,
    tell_raised,
    tell_time,
)
from core.service.figures import PARTS, Figures
from core.service.request import Request
from core.words import Words

QUARTER_MONTHS = 3


async def figures_of(request: Request, part: str = "") -> Figures:
    """Return the community's published figures, or what one of ``PARTS`` needs of them.

    Raises:
        Refused: Nothing is published yet.
    """
    norm = request.tools.knowledge.norm
    policy = policy_of(request.tools.knowledge)
    publication = await request.store.publish(
        request.key.community, request.inquiry.at.strftime("%Y-%m"), policy, PARTS[part] if part else None
    )
    if not publication.periods:
        months, enough = policy.enough_after
        raise Refused("no_figures", count=publication.waiting, enough=enough, many=policy.enough, months=months)
    return Figures(publication, request.tools.knowledge, round(norm("publish_cases_least")))


def policy_of(knowledge: Knowledge) -> Policy:
    """Return what closes a period and what it releases."""
    norm = knowledge.norm
    return Policy(
        enough=round(norm("publish_period_cases")),
        enough_after=(QUARTER_MONTHS, round(norm("publish_quarter_cases"))),
        names=Names(
            causes={name: cause.kind for name, cause in knowledge.causes.items()},
            steps=tuple(name for name, remedy in knowledge.remedies.items() if remedy.kind != "check"),
        ),
        limits=Limits(figure=round(norm("publish_cases_least")), score=round(norm("publish_score_cases"))),
    )


async def causes(request: Request) -> Card:
    """Say what fails here, confirmed and suspected apart; by machine or by raised exposure where asked."""
    words = request.words
    sides = {name: (words.say(f"choices.classes.{name}"),) for name in CLASSES}
    given = request.option("by") or request.inquiry.text.strip()
    if given:
        side = read_choice(given, sides, "by")
        return await _by_class(side, await figures_of(request, side), request)
    figures = await figures_of(request, "causes")
    confirmed, suspected = only_named(figures.confirmed()), only_named(figures.suspected())
    known = figures.cases - next((one.at_least for one in figures.confirmed() if one.name == UNKNOWN), 0)
    top = next((one for one in confirmed if one.exact), None)
    conclusion = (
        words.say(
            "stats.causes.conclusion",
            cause=named(top.name, words),
            share=percent_of(top, words),
            low=percent_said(top.low, words),
            high=percent_said(top.high, words),
            of=top.of,
        )
        if top
        else words.say("stats.causes.nothing_alone")
    )
    return await _card(
        request,
        figures,
        "causes",
        conclusion,
        (
            Section(
                "list",
                words.say("stats.causes.confirmed", count=known),
                tuple(list_lines(confirmed, words, name_cause)),
            ),
            Section("list", words.say("stats.causes.suspected"), tuple(list_lines(suspected, words, name_cause))),
        ),
        lambda: (
            draw_shares(
                _bars(confirmed, words, name_cause), words.say("stats.causes.chart"), words, _invented(request)
            ),
        ),
    )


async def remedies(request: Request) -> Card:
    """Say which first step worked how often, how long a fix took, and compare two steps where asked."""
    figures, words = await figures_of(request, "remedies"), request.words
    advised = figures.steps()
    steps = [one for one in advised if one.at_most - one.at_least <= WIDEST_SHOWN * one.of]
    lines = tuple(list_lines(steps, words, name_step))
    open_ones = [name_step(one.name, words) for one in advised if one not in steps]
    compared: tuple[str, ...] = ()
    if request.option("step") or request.option("other"):
        names = {name: (name_step(name, words),) for name in request.tools.knowledge.remedies}
        first, second = (read_choice(request.option(option), names, option) for option in ("step", "other"))
        compared = (compare_in_words(figures, first, second, words),)
    best = next(iter(sorted((one for one in steps if one.exact), key=lambda one: -one.low)), None)
    conclusion = (
        words.say(
            "stats.remedies.conclusion", step=name_step(best.name, words), share=percent_of(best, words), of=best.of
        )
        if best
        else words.say("stats.remedies.nothing")
    )
    return await _card(
        request,
        figures,
        "remedies",
        conclusion,
        (
            Section("list", words.say("stats.remedies.compared"), compared),
            Section("list", words.say("stats.remedies.fixed"), lines),
            Section("notes", words.say("stats.remedies.unclear"), (words.listed(open_ones),) if open_ones else ()),
            Section("numbers", words.say("stats.remedies.time"), (tell_time(figures.time_to_fix(), words),)),
        ),
        lambda: (
            draw_shares(_bars(steps, words, name_step), words.say("stats.remedies.chart"), words, _invented(request)),
        ),
    )


async def trend(request: Request) -> Card:
    """Say what becomes more or less frequent, and how many wait."""
    figures, words = await figures_of(request, "trend"), request.words
    trends = figures.trends()
    found = [one for one in trends if one.found]
    lines = [
        words.say(
            f"stats.trend.{'rises' if one.trend.z > 0 else 'falls'}",
            cause=named(one.name, words),
            first=percent_said(one.shares[0].value, words),
            last=percent_said(one.shares[-1].value, words),
            p=max(one.adjusted, 0.001),
        )
        for one in found
    ]
    steady = [named(one.name, words) for one in trends if not one.found]
    waiting, free = await request.store.count_open(request.key.community)
    periods = figures.publication.periods
    return await _card(
        request,
        figures,
        "trend",
        words.say("stats.trend.found", count=len(found)) if found else words.say("stats.trend.nothing"),
        (
            Section("list", "", tuple(lines)),
            Section("notes", words.say("stats.trend.steady"), (words.listed(steady),) if steady else ()),
            Section(
                "numbers",
                "",
                (
                    words.say("stats.trend.periods", count=len(periods), first=periods[0].first, last=periods[-1].last),
                    words.say("stats.trend.queue", count=waiting, free=free),
                ),
            ),
        ),
        lambda: (
            (
                draw_trend(
                    [(named(one.name, words), one.shares) for one in trends[:4]],
                    [f"{one.first} –\n{one.last}" for one in periods],
                    words,
                    _invented(request),
                ),
            )
            if trends and len(periods) > 1
            else ()
        ),
    )


async def readings(request: Request) -> Card:
    """Say how plates stand when somebody asks for help, and how much better after a fix."""
    figures, words = await figures_of(request, "readings"), request.words
    shown = [one for one in (*figures.readings(), figures.improvement()) if one.cases]
    lines = [tell_quartiles(one, words) for one in shown]
    return await _card(
        request,
        figures,
        "readings",
        lines[0] if lines else words.say("stats.readings.nothing"),
        (Section("list", "", tuple(lines[1:])),),
        lambda: (
            (
                draw_distributions(
                    [(words.say(f"stats.readings.names.{one.name}"), one.bins, one.cases) for one in shown],
                    words,
                    _invented(request),
                ),
            )
            if shown
            else ()
        ),
    )


async def quality(request: Request) -> Card:
    """Say how good the verdicts themselves were."""
    figures, words = await figures_of(request, "quality"), request.words
    told = figures.quality()
    both, kinds = told.agreement, len(request.tools.knowledge.causes)
    # Of one true cause in so many.
    same = (1 - 1 / kinds) / kinds
    lines = [
        words.say(
            f"stats.quality.{name}",
            share=percent_of(one, words),
            low=percent_said(one.low, words),
            high=percent_said(one.high, words),
            of=one.of,
        )
        for name, one in (("first", told.first), ("first_three", told.first_three))
        if one is not None
    ]
    if told.calibration_error is not None:
        of = sum(one.came_true.of for one in told.bins)
        lines.append(words.say("stats.quality.calibration", error=100 * told.calibration_error, of=of))
    if told.brier is not None:
        lines.append(words.say("stats.quality.brier", brier=told.brier, of=told.brier_cases, same=same))
    if both.kappa is not None and both.low is not None and both.high is not None:
        lines.append(
            words.say("stats.quality.kappa", kappa=both.kappa, low=both.low, high=both.high, of=both.percent.of)
        )
    mistakes = tuple(
        words.say(
            "stats.quality.mistake",
            true=_name_true(one.true, request),
            missed=one.missed.count,
            of=one.missed.of,
            low=percent_said(one.missed.low, words),
            high=percent_said(one.missed.high, words),
        )
        for one in told.mistakes[:MOST_LINES]
    )
    return await _card(
        request,
        figures,
        "quality",
        lines[0] if lines else words.say("stats.quality.nothing"),
        (
            Section("list", "", tuple(lines[1:])),
            Section("list", words.say("stats.quality.mistakes"), mistakes),
            Section("notes", words.say("stats.learning.heading"), (tell_learning(request),)),
        ),
        lambda: (draw_reliability(told.bins, words, _invented(request)),) if told.bins else (),
    )


async def export(request: Request) -> Card:
    """Hand out every published figure as files for a program."""
    figures, words = await figures_of(request), request.words
    rows = tuple(list_figures(figures))
    card = await _card(request, figures, "export", words.say("stats.export.conclusion", rows=len(rows)), (), tuple)
    files = (Attachment("figures.csv", as_csv(rows).encode()), Attachment("figures.json", as_json(rows).encode()))
    return replace(card, files=files)


HANDLERS: Mapping[str, Callable[[Request], Awaitable[Card]]] = {
    "stats causes": causes,
    "stats remedies": remedies,
    "stats trend": trend,
    "stats readings": readings,
    "stats quality": quality,
    "stats export": export,
}


async def _card(
    request: Request,
    figures: Figures,
    name: str,
    conclusion: str,
    sections: Sequence[Section],
    draw: Callable[[], tuple[Picture, ...]],
) -> Card:
    words, publication = request.words, figures.publication
    basis = words.say(
        "stats.basis",
        cases=figures.cases,
        first=publication.periods[0].first,
        last=publication.periods[-1].last,
        waiting=publication.waiting,
    )
    notes = [basis, words.say("stats.small", least=figures.least)]
    return Card(
        title=words.say(f"card.titles.stats_{name}"),
        conclusion=f"{_invented(request)} {conclusion}".strip(),
        sections=(
            *(section for section in sections if section.lines),
            Section("notes", words.say("stats.headings.basis"), tuple(notes)),
        ),
        pictures=await _drawn(request, publication, draw),
        private=True,
    )


MOST_CHARTS = 100


async def _drawn(
    request: Request, publication: Publication, draw: Callable[[], tuple[Picture, ...]]
) -> tuple[Picture, ...]:
    """Return the charts of a card, drawn once: what is published does not change, and a new period makes a new key."""
    inquiry, last = request.inquiry, publication.periods[-1].last
    asked = (inquiry.command, inquiry.text.strip(), *sorted(inquiry.options.items()))
    key = (request.key.community, request.words.language, last, asked)
    charts = request.charts.get(key)
    if charts is None:
        charts = request.charts[key] = await request.draw(draw)
        if len(request.charts) > MOST_CHARTS:
            request.charts.pop(next(iter(request.charts)))
    return charts


MOST_OF_CLASS = 5
WIDEST_SHOWN = 0.3
"""A step whose share small groups leave open by more is named only."""

INVENTED = "invented-"
"""Communities of this kind hold invented data, and whatever is shown of them says so."""


def _invented(request: Request) -> str:
    """Return the warning that belongs wherever invented data are shown, and nothing elsewhere."""
    return request.words.say("stats.invented") if request.key.community.startswith(INVENTED) else ""


async def _by_class(side: str, figures: Figures, request: Request) -> Card:
    """Say which causes each class of cases really had."""
    words = request.words
    classes = figures.by_class(side)
    sections = tuple(
        Section(
            "list",
            words.say("stats.causes.of_class", name=words.say(f"stats.classes.{side}.{class_key(name)}"), count=of),
            (
                *list_lines(figures.kinds(side, name), words, name_kind),
                *list_lines(known_well(shown), words, name_cause, MOST_OF_CLASS),
            ),
        )
        for name, of, shown in classes
    )
    conclusion = words.say("stats.causes.by", side=words.say(f"choices.classes.{side}"), cases=figures.cases)
    if side == "raised":
        conclusion = tell_raised(figures, classes, words) or conclusion
    card = await _card(request, figures, "causes", conclusion, sections, tuple)
    title = words.say("stats.causes.title_by", title=card.title, side=words.say(f"choices.classes.{side}"))
    return replace(card, title=title)


def _bars(
    shown: Sequence[Figure], words: Words, name_of: Callable[[str, Words], str]
) -> list[tuple[str, float, float, float, int]]:
    """Return label, share, ends of its interval and number of cases of each bar."""
    return [(name_of(one.name, words), one.share, one.low, one.high, one.of) for one in shown[:MOST_LINES] if one.of]


def _name_true(name: str, request: Request) -> str:
    """Return the name of a cause, or of all of a kind."""
    return named(name, request.words) if name in request.tools.knowledge.causes else name_kind(name, request.words)
