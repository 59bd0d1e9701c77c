"""How a picture begins and ends: an empty figure of a phone's double width in, PNG bytes out.

Drawn straight into memory by the Agg renderer: no window, no file, no ``pyplot``, and no second pass for a layout that
every picture sets by itself. This file must never know what is drawn.
"""

from io import BytesIO
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imsave

from core.pictures.palette import PAPER

COMPRESSION = 1
"""Level of zlib's: flat drawings are small anyway, and higher levels cost more time than they save bytes."""


def blank(width_px: float, height_px: float, dpi: int) -> Figure:
    """Return an empty figure on paper, with the canvas it will be drawn on."""
    figure = Figure(figsize=(width_px / dpi, height_px / dpi), dpi=dpi, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure


def to_png(figure: Figure) -> bytes:
    """Draw a figure made by ``blank`` and return it as PNG, without transparency."""
    canvas: Any = figure.canvas
    canvas.draw()
    out = BytesIO()
    pixels = np.asarray(canvas.buffer_rgba())[..., :3]
    imsave(out, pixels, format="png", pil_kwargs={"compress_level": COMPRESSION})
    return out.getvalue()
