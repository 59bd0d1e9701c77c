"""What a plate map costs: cold once, then warm, and the share of it that is the picture library's bare minimum."""

import sys
import time
from io import BytesIO
from pathlib import Path

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

sys.path.insert(0, str(Path(__file__).parents[2]))

from core.geometry import measure
from core.knowledge import load_knowledge
from core.pictures.plate_map import draw_plate_map
from core.report import POSITIONS, Machine, Readings
from core.words import load_words

ROUNDS = 40


def timed(work):
    start = time.perf_counter()
    work()
    return 1e3 * (time.perf_counter() - start)


def bare():
    """An empty set of axes of the same size, written the same way."""
    figure = Figure(figsize=(7.2, 5.6), dpi=100)
    FigureCanvasAgg(figure)
    figure.add_axes((0.05, 0.1, 0.9, 0.8))
    figure.savefig(BytesIO(), format="png", dpi=100)


def main():
    words, knowledge = load_words("en"), load_knowledge()
    values = (0.76, 1.22, 0.80, 1.20, 0.99)
    readings = Readings(**{place.value: (value,) for place, value in zip(POSITIONS, values, strict=True)})
    geometry = measure(readings, knowledge)

    def draw():
        return draw_plate_map(geometry, Machine(), words)

    print(f"first map (cold)        {timed(draw):7.1f} ms")
    warm = np.array([timed(draw) for _ in range(ROUNDS)])
    floor = np.array([timed(bare) for _ in range(ROUNDS)])
    print(f"warm map, median        {np.median(warm):7.1f} ms")
    print(f"warm map, 95th per cent {np.percentile(warm, 95):7.1f} ms (asked for: under 150 ms)")
    print(f"empty picture, median   {np.median(floor):7.1f} ms; map {np.median(warm) / np.median(floor):.1f} times")
    print(f"size                    {len(draw().png) / 1024:7.0f} KiB")


if __name__ == "__main__":
    main()
