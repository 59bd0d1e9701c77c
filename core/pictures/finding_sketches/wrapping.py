"""A text and a width in, the lines that fit it out, measured as the picture's own renderer will draw them.

This file must never know what is written.
"""

from typing import Any

from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.font_manager import FontProperties

from core.pictures.guide_sketches.sheet import DPI

LINE = 1.42
"""Distance of one line from the next, in heights of the letters."""


def wrap(text: str, size: float, width: float, weight: str = "normal") -> tuple[str, ...]:
    """Return ``text`` broken between words into lines of at most ``width`` px, where its longest word allows."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_px(longer, size, weight) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def text_px(text: str, size: float, weight: str = "normal") -> float:
    """Return how wide one line is drawn, px."""
    font = FontProperties(size=size, weight=weight)
    renderer: Any = RendererAgg(1, 1, DPI)  # type: ignore[no-untyped-call]  # no types in the library
    return float(renderer.get_text_width_height_descent(text, font, ismath=False)[0])


def line_px(size: float) -> float:
    """Return the distance from one line to the next, px."""
    return size * DPI / 72 * LINE
