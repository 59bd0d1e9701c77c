"""The dose profile: how much light each layer gets in all, from the plate outwards, as a PNG.

In: an Exposure with a dose profile. Out: a Picture with alt text. Zones differ by hatching and carry their
names, so colour only repeats what is written. This file must never know what a hard zone does to a print.
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from core.card import Picture
from core.exposure.model import DoseProfile, LayerKind
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, INK, PALE, PAPER
from core.words import Words

WIDTH_PX, HEIGHT_PX, DPI = 720, 740, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
LARGE, SMALL = 22, 19
ROOM = 0.1
"""Share of the height that one zone's name needs."""
_ZONES: dict[LayerKind, tuple[str, str]] = {
    "burn_in": (COOL, "//"),
    "transition": (PALE, ".."),
    "normal": ("#e8e4da", ""),
}


def draw_dose_profile(profile: DoseProfile, words: Words) -> Picture:
    """Draw the profile: layers downwards from the plate, dose across in multiples of a normal layer's."""
    figure = blank(WIDTH_PX, HEIGHT_PX, DPI)
    axes = figure.add_axes((0.13, 0.235, 0.83, 0.63), facecolor=PAPER)
    doses = np.array([(layer.dose_s, layer.low_s, layer.high_s) for layer in profile.layers])
    multiples = doses / doses[-1]
    edges = np.arange(len(multiples) + 1, dtype=np.float64)
    kinds = [layer.kind for layer in profile.layers]
    reach = 1.08 * float(multiples.max())
    named = 0.0
    for kind, (colour, hatch) in _ZONES.items():
        inside = [index for index, each in enumerate(kinds) if each == kind]
        if not inside:
            continue
        first, last = inside[0], inside[-1] + 1
        axes.stairs(
            multiples[first:last, 0],
            edges[first : last + 1],
            orientation="horizontal",
            fill=True,
            facecolor=colour,
            hatch=hatch,
            edgecolor=INK,
            linewidth=1.5,
        )
        named = max((first + last) / 2, named + ROOM * edges[-1])
        _name(axes, kind, profile, named, reach, words)
    for column in (1, 2):
        axes.stairs(
            multiples[:, column],
            edges,
            orientation="horizontal",
            color=INK,
            linewidth=1.5,
            linestyle="--",
            baseline=None,
        )
    _frame(axes, edges[-1], reach, words)
    figure.text(0.04, 0.945, words.say("pictures.dose_profile.title"), fontsize=LARGE, color=INK, weight="bold")
    for height, key in ((0.075, "step"), (0.025, "range")):
        line = words.say(f"pictures.dose_profile.{key}", step=profile.step.value)
        figure.text(0.04, height, line, fontsize=SMALL, color=INK)
    return Picture("dose-profile.png", to_png(figure), describe_dose_profile(profile, words))


def describe_dose_profile(profile: DoseProfile, words: Words) -> str:
    """Return the alt text: layers and times of the burn-in, its dose, the ramp, and the step with its range."""
    layers = profile.layers
    ramp = _count(profile, "transition")
    return words.say(
        "pictures.dose_profile.alt",
        layers=_count(profile, "burn_in"),
        seconds=layers[0].exposure_s,
        normal=layers[-1].exposure_s,
        most=max(layer.dose_s for layer in layers) / layers[-1].dose_s,
        ramp=words.say("pictures.dose_profile.alt_ramp", layers=ramp)
        if ramp
        else words.say("pictures.dose_profile.alt_no_ramp"),
        step=profile.step.value,
        low=profile.step.low,
        high=profile.step.high,
    )


def _count(profile: DoseProfile, kind: LayerKind) -> int:
    return sum(layer.kind == kind for layer in profile.layers)


def _name(axes: Axes, kind: LayerKind, profile: DoseProfile, height: float, reach: float, words: Words) -> None:
    seconds = next(layer.exposure_s for layer in profile.layers if layer.kind == kind)
    hard = kind == "burn_in"
    axes.text(
        (0.03 if hard else 0.97) * reach,
        height,
        words.say(f"pictures.dose_profile.{kind}", layers=_count(profile, kind), seconds=seconds),
        fontsize=SMALL,
        color=INK,
        ha="left" if hard else "right",
        va="center",
        bbox={"facecolor": PAPER, "edgecolor": INK, "boxstyle": "round,pad=0.25"},
        zorder=5,
    )


def _frame(axes: Axes, deepest: float, reach: float, words: Words) -> None:
    axes.set_ylim(deepest, 0)
    axes.set_xlim(0, reach)
    axes.xaxis.set_major_locator(MaxNLocator(6, integer=True))
    axes.yaxis.set_major_locator(MaxNLocator(6, integer=True))
    axes.tick_params(labelsize=SMALL, colors=INK, length=6)
    axes.set_xlabel(words.say("pictures.dose_profile.across"), fontsize=SMALL, color=INK)
    axes.set_ylabel(words.say("pictures.dose_profile.down"), fontsize=SMALL, color=INK)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.text(
        0.5,
        1.012,
        words.say("pictures.dose_profile.plate"),
        transform=axes.transAxes,
        fontsize=SMALL,
        color=PAPER,
        ha="center",
        va="bottom",
        bbox={"facecolor": INK, "edgecolor": INK, "boxstyle": "square,pad=0.15"},
    )
