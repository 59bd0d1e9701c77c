"""A text and its tokens in; five coupon readings out, where one of its sentences holds exactly five.

By name, or in the stated order where the text speaks of coupons. Fewer, more, or an unclear one: none at all, since the
person has a form for them. This file must never know how a reading is written.
"""

from collections.abc import Sequence

from core.errors import UnusableInput
from core.intake.clauses import Outline, Span
from core.intake.lexicon import Lexicon
from core.intake.parse import read_readings
from core.intake.patterns import Names
from core.intake.plate_places import ACROSS, ALONG
from core.intake.tokens import Token
from core.report import POSITIONS, Readings

_NAMES = (*ACROSS, *ALONG, "<middle>")
_UNITS = ("<mm>", "<um>")


def hear_readings(
    text: str, tokens: Sequence[Token], names: Names, outline: Outline, lexicon: Lexicon
) -> tuple[Readings, Span] | None:
    """Return the readings and the tokens that hold them, or nothing."""
    spoken_of = any("<coupon>" in name for name in names)
    for first, last in outline.sentences:
        numbers = [index for index in range(first, last) if tokens[index].number is not None]
        if len(numbers) != len(POSITIONS) or any(outline.void[i] or outline.doubt[i] for i in numbers):
            continue
        named = [i for i in range(first, numbers[-1]) if any(name in names[i] for name in _NAMES)]
        if not named and not spoken_of:
            continue
        start, end = min(*named, numbers[0]) if named else numbers[0], numbers[-1] + 1
        if end < last and any(unit in names[end] for unit in _UNITS):
            end += 1
        try:
            readings = read_readings(text[tokens[start].start : tokens[end - 1].end], lexicon=lexicon).readings
        except UnusableInput:
            continue
        if not readings.missing:
            return readings, (start, end)
    return None
