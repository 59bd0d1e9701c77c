"""The work around the five readings: coupons to print, screws to turn, a working curve, guides with drawings.

In: an Inquiry or a judged case. Out: Answers and Cards. Pure: no disk, no clock. This file must never know who asks.
"""

from core.card import Attachment, Card, Section
from core.cases.rows import Case
from core.commands import Inquiry
from core.coupons import design_coupons, printing_note, to_3mf, to_stl
from core.diagnosis import ask_in_words
from core.engine import Triage
from core.errors import Fault, UnusableInput
from core.exposure import fit_working_curve
from core.exposure.curve_summary import describe_curve, describe_layer, describe_unusable, resin_of
from core.geometry.screw_plan import NoPlan
from core.geometry.screws import plan_turns
from core.geometry.turning import describe_grounds, describe_refusal, describe_turns
from core.intake import read_choice, read_nominal, read_plate
from core.intake.characters import fold
from core.intake.circumstances import read_settings_command
from core.intake.squares import read_squares
from core.knowledge.guides import say_guide
from core.pictures.coupon_sheet import draw_coupon_sheet
from core.pictures.guide_sketches import draw_guide
from core.pictures.working_curve import draw_working_curve
from core.report import Report
from core.service.answer import Answer, Tools, in_words
from core.service.finding_guide import names_all, read_finding, show_finding, show_findings
from core.words import Words


def coupons(inquiry: Inquiry, case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    """Design the coupon set for the plate that is given, or that the case already knows."""
    plate, nominal = _plate(inquiry, case, tools), tools.knowledge.norm("coupon_nominal_mm")
    if inquiry.options.get("nominal", "").strip():
        nominal = read_nominal(inquiry.options["nominal"], lexicon=tools.lexicon)[0]
    coupon_set = design_coupons(*plate, nominal)
    told = say_guide("coupons", tools.knowledge, words)
    size = "x".join(f"{side:g}" for side in plate)
    card = Card(
        title=told.title,
        conclusion=" ".join(printing_note(coupon_set, words, tools.knowledge)[:2]),
        sections=(
            Section("do", words.say("workshop.steps"), told.steps),
            _cautions(told.cautions, words),
        ),
        files=(
            Attachment(f"coupons-{size}.stl", to_stl(coupon_set)),
            Attachment(f"coupons-{size}.3mf", to_3mf(coupon_set)),
        ),
    )
    return Answer(card=card, draw=lambda: (draw_coupon_sheet(coupon_set, words),))


def _plate(inquiry: Inquiry, case: Case | None, tools: Tools) -> tuple[float, float]:
    text = inquiry.options.get("plate", "").strip() or inquiry.text.strip()
    if text:
        return read_plate(text, lexicon=tools.lexicon)
    machine = case.latest.report.machine if case else None
    if machine is None or machine.plate_width_mm is None or machine.plate_depth_mm is None:
        raise UnusableInput((Fault("plate", "", "not_a_plate"),))
    return machine.plate_width_mm, machine.plate_depth_mm


def screws(inquiry: Inquiry, _case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    """Turn the case's tilt into turns of its screws, with what is told about them first."""
    if inquiry.text.strip():
        raise UnusableInput((Fault("screws", inquiry.text, "text_not_wanted"),))
    given = {name: text for name, text in inquiry.options.items() if text.strip()}
    if not given:
        return Answer(view="screws", picture="screws")
    heard = read_settings_command(given, lexicon=tools.lexicon)
    return Answer(added=heard.report, heard=in_words(heard.notes, words), view="screws", picture="screws")


def screw_card(judged: Triage, tools: Tools, words: Words, case: Case, footer: str) -> Card:
    """Lay out the turns for a judged case, or why nothing should be turned."""
    if judged.geometry is None:
        return Card(title=words.say("workshop.screws"), conclusion=words.say("workshop.unmeasured"), footer=footer)
    plan = plan_turns(judged.geometry, judged.report.machine, tools.knowledge)
    mirror = [ask_in_words(question, words) for question in judged.diagnosis.questions if question.code == "mirror"]
    if mirror or isinstance(plan, NoPlan):
        return Card(
            title=words.say("workshop.screws"),
            # A corner turned the wrong way round makes it worse: left and right come first.
            conclusion=mirror[0] if mirror or not isinstance(plan, NoPlan) else describe_refusal(plan, words),
            tone="unsure",
            case=case.number,
            footer=footer,
        )
    told = None if plan.guide is None else say_guide(plan.guide, tools.knowledge, words)
    sections = [
        Section("do", words.say("workshop.turns"), describe_turns(plan, words)),
        Section("notes", words.say("card.headings.notes"), describe_grounds(plan, words)),
    ]
    if told is not None:
        sections += [Section("do", told.title, told.steps), _cautions(told.cautions, words)]
    return Card(
        title=words.say("workshop.screws"),
        conclusion=words.say("workshop.facing"),
        sections=tuple(section for section in sections if section.lines),
        tone="act",
        case=case.number,
        footer=footer,
    )


def curve(inquiry: Inquiry, case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    """Fit a person's own squares, and use the fit for the case where it can be believed."""
    heard = read_squares(inquiry.options.get("squares", "") or inquiry.text, lexicon=tools.lexicon)
    fitted = fit_working_curve(heard.times_s, heard.thickness_mm, tools.knowledge.norm("caliper_resolution_mm"))
    resin = resin_of(fitted, tools.knowledge)
    height = case.latest.report.settings.layer_height_mm if case else None
    first, *rest = describe_curve(fitted, words)
    layer = () if height is None else describe_layer(fitted, height, tools.knowledge, words)
    unusable = describe_unusable(fitted, tools.knowledge, words)
    card = Card(
        title=words.say("workshop.curve"),
        conclusion=first,
        sections=tuple(
            section
            for section in (
                Section("notes", words.say("card.headings.heard"), in_words(heard.notes, words)),
                Section("numbers", words.say("card.headings.numbers"), (*rest, *layer)),
                Section("notes", words.say("card.headings.notes"), (unusable or words.say("workshop.curve_used"),)),
                # Squares are cured on the lit screen and handled, as when an exposure is tried out.
                _cautions(tools.knowledge.remedies["shorten_exposure"].cautions, words),
            )
            if section.lines
        ),
        tone="plain" if resin else "unsure",
    )
    added = None if resin is None else Report(resin=resin)
    return Answer(
        card=card,
        added=added,
        draw=lambda: (draw_working_curve(fitted, heard.times_s, heard.thickness_mm, words),),
    )


def guide(topic: str, tools: Tools, words: Words) -> Answer:
    """Show one procedure in short steps with its drawing, or what findings look like: all of them, or one."""
    titles: dict[str, tuple[str, ...]] = {
        name: (words.say(f"guides.{name}.title"), name.replace("_", " ")) for name in tools.knowledge.guides
    }
    if names_all(topic, words):
        return show_findings(tools, words)
    procedures = {fold(name) for key, others in titles.items() for name in (key, *others)}
    finding = None if fold(topic) in procedures else read_finding(topic, tools, words)
    if finding is not None:
        return show_finding(finding, tools, words)
    # Named among what is accepted; whoever names it has been answered above.
    titles["findings"] = (words.say("finding_guide.topic"),)
    told = say_guide(read_choice(topic, titles, "topic"), tools.knowledge, words)
    card = Card(
        title=told.title,
        conclusion="",
        sections=(Section("do", words.say("workshop.steps"), told.steps), _cautions(told.cautions, words)),
        private=True,
    )
    return Answer(card=card, draw=lambda: (draw_guide(told.id, tools.knowledge, words),))


def _cautions(names: tuple[str, ...], words: Words) -> Section:
    lines = tuple(words.say(f"cautions.{name}") for name in names)
    return Section("cautions", words.say("card.headings.cautions"), lines)
