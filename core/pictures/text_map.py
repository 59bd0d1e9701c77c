"""The plate map as text: the same facts as the picture, for a terminal and for whoever cannot see pictures.

In: Geometry. Out: lines at most 34 columns wide, which a phone shows unwrapped.
"""

from core.geometry import Geometry
from core.report import Position
from core.words import Words

HALF_STEP_MM = 0.005
"""Half a step of the caliper: less than this reads as nothing."""
INNER = 32
"""Columns between the frame's sides."""


def draw_text_map(geometry: Geometry, words: Words) -> tuple[str, ...]:
    """Return the plate from above, back at the top, front at the bottom, with thickness and error at each place."""

    def two(left: Position, right: Position) -> list[str]:
        return [
            f"|{first:<{INNER // 2}}{second:>{INNER // 2}}|"
            for first, second in zip(_cell(left, geometry, words), _cell(right, geometry, words), strict=True)
        ]

    edge = f"+{'-' * INNER}+"
    blank = f"|{' ' * INNER}|"
    middle = [f"|{line:^{INNER}}|" for line in _cell(Position.CENTRE, geometry, words)]
    return (
        f"{words.say('map.back'):^{INNER + 2}}".rstrip(),
        edge,
        *two(Position.BACK_LEFT, Position.BACK_RIGHT),
        blank,
        *middle,
        blank,
        *two(Position.FRONT_LEFT, Position.FRONT_RIGHT),
        edge,
        f"{words.say('map.front'):^{INNER + 2}}".rstrip(),
    )


def _cell(position: Position, geometry: Geometry, words: Words) -> tuple[str, str]:
    error = geometry.errors[position]
    measured = geometry.measured.get(position)
    if measured is None:
        return (f" {words.say('map.lost')} ", f" {words.say('map.about', direction=direction(error, words))} ")
    return (f" {measured:.2f} mm ", f" {direction(error, words)} ")


def direction(error: float, words: Words) -> str:
    """Return the error in words: ``0.24 far``, ``0.22 close``, ``on height``; never a sign."""
    if abs(error) < HALF_STEP_MM:
        return words.say("map.level")
    return words.say("map.far" if error > 0 else "map.close", distance=abs(error))
