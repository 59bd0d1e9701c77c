"""What goes with a coupon set: how to print and measure it, and the cautions, as lines of text.

In: a coupon set, the words, the knowledge that holds the guide and its cautions. Out: lines. This file must never know
where the lines are shown.
"""

from core.coupons.design import CouponSet
from core.coupons.standing import reading_order
from core.knowledge import Knowledge
from core.knowledge.guides import say_guide
from core.words import Words

GUIDE = "coupons"


def printing_note(coupon_set: CouponSet, words: Words, knowledge: Knowledge) -> tuple[str, ...]:
    """Return what the set is, the numbered steps, and the cautions in their order; one line each."""
    guide = say_guide(GUIDE, knowledge, words)
    return (
        words.say("coupons.set", **coupon_set.note_values),
        words.say("coupons.settings"),
        *(f"{number}. {step}" for number, step in enumerate(guide.steps, 1)),
        *(words.say(f"cautions.{name}") for name in guide.cautions),
    )


def order_line(dots_front_left: int, words: Words) -> str:
    """Return, for the dots found at the front left, the order to measure in."""
    order = " ".join(str(dots) for dots in reading_order(dots_front_left))
    return words.say(
        "coupons.order_one" if dots_front_left == 1 else "coupons.order", dots=dots_front_left, order=order
    )
