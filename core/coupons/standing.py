"""Which coupon stood where: the dots seen at one corner of the hanging plate in, the order to measure in out.

A print hangs face down. Carried rigidly from the slicer's plate to the printer's, a set that is not mirrored must come
out with either left and right or front and back exchanged against the slicer's view from above: turning a plane over
exchanges one pair, and no machine can avoid it. Which pair it is depends on slicer and printer, so one glance at the
plate decides, and nothing is assumed. This file must never know how a coupon is made.
"""

from core.errors import Fault, UnusableInput
from core.report import CORNERS, POSITIONS, Position


def reading_order(dots_front_left: int) -> tuple[int, ...]:
    """Return the dots of the coupons that stood at front left, front right, back left, back right and centre.

    Args:
        dots_front_left: Dots on the coupon that stood at the front left of the hanging plate, for a person facing the
            printer.

    Raises:
        UnusableInput: No corner coupon has that many dots.
    """
    drawn = _drawn(dots_front_left)
    across, along = drawn.x * Position.FRONT_LEFT.x, drawn.y * Position.FRONT_LEFT.y
    dots = {(position.x, position.y): number for number, position in enumerate(POSITIONS, 1)}
    return tuple(dots[across * position.x, along * position.y] for position in POSITIONS)


def prints_mirrored(dots_front_left: int) -> bool:
    """Say whether the machine prints every part as its mirror image: none or both pairs are exchanged.

    Raises:
        UnusableInput: No corner coupon has that many dots.
    """
    drawn = _drawn(dots_front_left)
    return drawn.x * drawn.y == Position.FRONT_LEFT.x * Position.FRONT_LEFT.y


def _drawn(dots: int) -> Position:
    if not 1 <= dots <= len(CORNERS):
        raise UnusableInput((Fault("dots", str(dots), "coupon_dots", {"most": len(CORNERS)}),))
    return CORNERS[dots - 1]
