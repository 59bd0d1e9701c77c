"""What goes with a coupon set: how to print and measure it, and the cautions, as lines of text.

In: a coupon set, the words, the knowledge that says which cautions belong to measuring. Out: lines. This file must
never know where the lines are shown.
"""

from core.coupons.design import CouponSet
from core.coupons.standing import reading_order
from core.knowledge import Knowledge
from core.report import CORNERS
from core.words import Words

MEASURING = "measure_coupons"
"""The remedy whose cautions go with the coupons."""


def printing_note(coupon_set: CouponSet, words: Words, knowledge: Knowledge) -> tuple[str, ...]:
    """Return what the set is, the numbered steps, and the cautions in their order; one line each."""
    values = coupon_set.note_values
    cautions = sorted(knowledge.remedies[MEASURING].cautions, key=lambda name: knowledge.cautions[name].order)
    orders = "; ".join(order_line(dots, words) for dots in range(1, len(CORNERS) + 1))
    steps = (words.say(f"guides.coupons.{step}", **values, orders=orders) for step, _ in words.under("guides.coupons"))
    return (
        words.say("coupons.set", **values),
        words.say("coupons.settings"),
        *(f"{number}. {step}" for number, step in enumerate(steps, 1)),
        *(words.say(f"cautions.{name}") for name in cautions),
    )


def order_line(dots_front_left: int, words: Words) -> str:
    """Return, for the dots found at the front left, the order to measure in, such as ``2 dots: 2 1 4 3 5``."""
    order = " ".join(str(dots) for dots in reading_order(dots_front_left))
    return words.say(
        "coupons.order_one" if dots_front_left == 1 else "coupons.order", dots=dots_front_left, order=order
    )
