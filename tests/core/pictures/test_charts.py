"""Charts of many cases: every interval drawn, everything inside the picture, words for whoever cannot see it."""

import io

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.image import imread
from matplotlib.text import Text

from core.pictures import charts
from core.pictures.charts import WIDTH_PX, draw_distributions, draw_reliability, draw_shares, draw_trend
from core.statistics.calibration import ReliabilityBin
from core.statistics.intervals import share_of
from core.words import load_words

WORDS = {language: load_words(language) for language in ("en", "de")}
LONG = "a long name of a cause that goes on for a line or two"
BARS = [(LONG, 0.31, 0.27, 0.35, 502), ("all of them", 1.0, 0.9, 1.0, 1_000_000), ("none", 0.0, 0.0, 0.4, 10)]
BINS = [ReliabilityBin(k / 5, (k + 1) / 5, (k + 0.5) / 5 * 40, share_of(8 * k + 4, 40)) for k in range(5)]
LINES = [(LONG, [share_of(10 + k, 100) for k in range(6)])] * 4
PERIODS = [f"2025-0{k} –\n2025-0{k + 1}" for k in range(1, 7)]
HISTOGRAMS = [("Spread, mm", [(k / 10, (k + 1) / 10, 20 + k) for k in range(8)], 188)] * 4


def draw_all(words):
    return {
        "shares": draw_shares(BARS, "A title, share of all cases", words, "INVENTED DATA: a note."),
        "reliability": draw_reliability(BINS, words, "INVENTED DATA: a note."),
        "trend": draw_trend(LINES, PERIODS, words, "INVENTED DATA: a note."),
        "readings": draw_distributions(HISTOGRAMS, words, "INVENTED DATA: a note."),
    }


@pytest.fixture
def drawn(monkeypatch):
    """Return the figures behind the pictures, by the order of drawing."""
    figures = []
    to_png = charts.to_png
    monkeypatch.setattr(charts, "to_png", lambda figure: (figures.append(figure), to_png(figure))[1])
    return figures


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_text_leaves_its_picture_and_none_covers_another(drawn, language):
    draw_all(WORDS[language])
    assert len(drawn) == 4
    for figure in drawn:
        assert isinstance(figure, Figure)
        renderer = figure.canvas.get_renderer()
        # Labels of ticks beyond the ends of an axis are there, but not drawn.
        beyond = {
            label
            for axes in figure.axes
            for axis, (low, high) in ((axes.xaxis, axes.get_xlim()), (axes.yaxis, sorted(axes.get_ylim())))
            for tick in axis.get_major_ticks()
            if not low - 1e-9 <= tick.get_loc() <= high + 1e-9
            for label in (tick.label1, tick.label2)
        }
        boxes = [
            (text.get_text(), text.get_window_extent(renderer))
            for text in figure.findobj(Text)
            if text.get_visible() and text.get_text().strip() and text not in beyond
        ]
        assert len(boxes) > 5
        for text, box in boxes:
            assert box.x0 >= -1, text
            assert box.x1 <= figure.bbox.width + 1, text
            assert box.y0 >= -1, text
            assert box.y1 <= figure.bbox.height + 1, text
        for at, (text, box) in enumerate(boxes):
            for other, beside in boxes[at + 1 :]:
                apart = box.x1 <= beside.x0 or beside.x1 <= box.x0 or box.y1 <= beside.y0 or beside.y1 <= box.y0
                # Labels of one axis may touch by a hair.
                overlap = (
                    min(box.x1, beside.x1) - max(box.x0, beside.x0),
                    min(box.y1, beside.y1) - max(box.y0, beside.y0),
                )
                assert apart or min(overlap) < 2, (text, other)


@pytest.mark.parametrize("name", ["shares", "reliability", "trend", "readings"])
def test_text_is_large_enough_on_a_phone(drawn, name):
    """At 360 px, the width of a phone, no letter is smaller than 8 px: the picture is shown at less than half size."""
    draw_all(WORDS["en"])
    figure = drawn[["shares", "reliability", "trend", "readings"].index(name)]
    assert figure.bbox.width == WIDTH_PX
    sizes = [text.get_fontsize() for text in figure.findobj(Text) if text.get_text().strip()]
    assert min(sizes) * figure.dpi / 72 * 360 / WIDTH_PX >= 8


def test_every_interval_is_drawn(drawn):
    """A line from the lower to the upper end for each share."""
    draw_all(WORDS["en"])
    shares, reliability, trend = (figure.axes for figure in drawn[:3])

    def spans(axes, across):
        lines = [np.asarray(line.get_data()[across]) for line in axes.lines]
        return {(round(float(min(one)), 6), round(float(max(one)), 6)) for one in lines}

    assert {(bar[2], bar[3]) for bar in BARS} <= spans(shares[0], 0)
    ends = {(round(one.came_true.low, 6), round(one.came_true.high, 6)) for one in BINS}
    assert ends <= spans(reliability[0], 1)
    for axes, (_, line) in zip(trend, LINES, strict=True):
        assert {(round(one.low, 6), round(one.high, 6)) for one in line} <= spans(axes, 1)


def test_without_colour_lines_differ_by_dash_and_marker(drawn):
    draw_all(WORDS["en"])
    looks = {(str(axes.lines[0].get_linestyle()), axes.lines[0].get_marker()) for axes in drawn[2].axes}
    markers = {axes.lines[0].get_marker() for axes in drawn[2].axes}
    assert len(looks) == len(markers) == 4


def test_bars_stand_out_in_grey():
    """Edge and paper, and bar and interval, differ by more than three to one in luminance (WCAG 2.2, 1.4.11)."""
    picture = imread(io.BytesIO(draw_all(WORDS["en"])["shares"].png))[..., :3]
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    luminance = linear @ np.array([0.2126, 0.7152, 0.0722])
    assert (luminance.max() + 0.05) / (luminance.min() + 0.05) > 7


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_words_of_a_picture_hold_its_numbers(language):
    pictures = draw_all(WORDS[language])
    assert "31" in pictures["shares"].alt
    assert LONG in pictures["shares"].alt
    assert "40" in pictures["reliability"].alt
    assert "10" in pictures["trend"].alt
    assert "188" in pictures["readings"].alt
