"""A ScrewPlan or the reason for none in, sentences out: steps in their order, and what they rest on.

Every direction is what the plate does, never which way a screw turns. This file must never know how a front end
numbers or shows steps.
"""

from collections.abc import Iterator
from fractions import Fraction

from core.geometry.screw_plan import CornerMotion, Direction, NoPlan, ScrewMove, ScrewPlan
from core.geometry.screws import HALF_STEP_MM
from core.words import Words, capital
from core.words.numbers import mm, percent

LEAST_HEIGHT_MM = 0.02
"""A caliper may be wrong by this, so a smaller change of the start height is not worth a step."""


def describe_turns(plan: ScrewPlan, words: Words) -> tuple[str, ...]:
    """Return the steps of levelling, without numbers, from raising the plate to measuring again."""
    return (words.say("screws.steps.raise"), *_body(plan, words), words.say("screws.steps.again"))


def describe_grounds(plan: ScrewPlan, words: Words) -> tuple[str, ...]:
    """Return what else there is to know: pitch, places that were taken for granted, what is left over."""
    return tuple(_grounds(plan, words))


def describe_refusal(refusal: NoPlan, words: Words) -> str:
    """Return why nothing should be turned now, and what to do instead."""
    values = dict(refusal.values)
    if "place" in values:
        values["place"] = words.say(f"positions.{values['place']}")
    places = values.get("places")
    if isinstance(places, tuple):
        values["places"] = words.listed([words.say(f"positions.{place}") for place in places])
    return words.say(f"screws.refused.{refusal.code}", **values)


def say_turns(turns: Fraction, words: Words) -> str:
    """Return a turn in words, such as ``a third of a turn`` or ``1 1/12 turns``; the sign is not said."""
    size = abs(turns)
    key = f"screws.turns.{size.numerator}_{size.denominator}"
    whole, rest = divmod(size, 1)
    if not words.has(key):
        key = f"screws.turns.{'mixed' if whole and rest else 'whole' if whole else 'other'}"
    return words.say(key, whole=whole, n=rest.numerator, d=rest.denominator)


def say_way(direction: Direction, words: Words) -> str:
    """Return what the plate does, such as ``goes up, away from the film``."""
    return words.say(f"screws.ways.{direction}")


def _body(plan: ScrewPlan, words: Words) -> Iterator[str]:
    moving = [move for move in plan.screws if move.direction != "stay"]
    if not plan.screws:
        yield from _whole(plan, words)
        return
    if moving:
        first = moving[0]
        yield words.say("screws.steps.try", name=_name(first, words), part=_part(first, words))
    if plan.thread:
        for round_ in range(plan.rounds):
            yield from (_turn(plan, move, round_, words) for move in moving if move.rounds[round_])
    else:
        yield from (_move(move, words) for move in moving)
    still = [words.say("screws.steps.screw", name=_name(move, words)) for move in plan.screws if move not in moving]
    if still:
        key = "stay" if len(still) == 1 else "stay_many"
        yield words.say(f"screws.steps.{key}", names=words.listed(still))
    if plan.rounds > 1:
        yield words.say("screws.steps.again_round")
    yield words.say("screws.steps.after", after=mm(plan.after.spread), before=mm(plan.spread))


def _whole(plan: ScrewPlan, words: Words) -> Iterator[str]:
    """Say how a plate without screws moves."""
    pivoted = bool(plan.pivots)
    yield words.say("screws.steps.ball_loosen" if pivoted else f"screws.steps.{plan.adjusters}")
    yield from (_corner(corner, words) for corner in plan.corners)
    if pivoted:
        yield words.say("screws.steps.ball_lock")


def _turn(plan: ScrewPlan, move: ScrewMove, round_: int, words: Words) -> str:
    steps = move.rounds[round_]
    turns = Fraction(steps, plan.steps_per_turn)
    pitch = plan.thread.pitch_mm if plan.thread else 0.0
    return words.say(
        "screws.steps.turn_round" if plan.rounds > 1 else "screws.steps.turn",
        round=round_ + 1,
        rounds=plan.rounds,
        name=capital(_name(move, words)),
        part=_part(move, words),
        way=say_way(move.direction, words),
        turns=say_turns(turns, words),
        exact=move.turns,
        distance=mm(abs(float(turns)) * pitch),
    )


def _move(move: ScrewMove, words: Words) -> str:
    return words.say(
        "screws.steps.move",
        name=capital(_name(move, words)),
        part=_part(move, words),
        way=say_way(move.direction, words),
        distance=mm(abs(move.motion)),
    )


def _corner(corner: CornerMotion, words: Words) -> str:
    name = capital(words.say(f"positions.{corner.position.value}"))
    if corner.direction == "stay":
        return words.say("screws.steps.corner_stays", name=name)
    way = say_way(corner.direction, words)
    return words.say("screws.steps.corner", name=name, way=way, distance=mm(abs(corner.motion)))


def _grounds(plan: ScrewPlan, words: Words) -> Iterator[str]:
    after = plan.after
    if plan.estimated:
        yield words.say("screws.notes.estimated", name=words.say(f"positions.{plan.estimated.value}"))
    if abs(plan.twist_left) >= HALF_STEP_MM:
        yield words.say("screws.notes.twist", distance=mm(abs(plan.twist_left)))
    if after.tilt_left >= HALF_STEP_MM:
        yield words.say("screws.notes.tilt_left", distance=mm(after.tilt_left))
    if abs(after.middle) >= LEAST_HEIGHT_MM:
        key = "middle_up" if after.middle > 0 else "middle_down"
        yield words.say(f"screws.notes.{key}", distance=mm(abs(after.middle)))
    if plan.thread:
        thread = plan.thread
        yield words.say(f"screws.notes.thread_{thread.origin}", size=thread.size, pitch=thread.pitch_mm)
    elif plan.screws:
        yield words.say("screws.notes.thread_unknown")
    elif not plan.guide and plan.adjusters == "unknown":
        yield words.say("screws.notes.adjusters_unknown")
    if plan.assumed:
        assumed = plan.assumed
        yield words.say(
            "screws.notes.places_plate" if assumed.from_plate_size else "screws.notes.places_usual",
            screw=percent(assumed.screw_share, words),
            x=percent(assumed.coupon_x, words),
            y=percent(assumed.coupon_y, words),
        )
        yield words.say(
            "screws.notes.closer",
            share=percent(assumed.closer_share, words),
            factor=percent(assumed.closer_factor, words),
        )


def _name(move: ScrewMove, words: Words) -> str:
    return words.say(f"screws.names.{move.name}")


def _part(move: ScrewMove, words: Words) -> str:
    return words.say(f"screws.parts.{move.name}")
