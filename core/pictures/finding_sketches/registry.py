"""A drawing's name, as the findings' data have it, in; its function out. This file must never know a finding."""

from collections.abc import Mapping
from typing import Protocol

from core.pictures.finding_sketches import part, plate, raft, supports, vat
from core.pictures.finding_sketches.pen import Pen
from core.words import Words


class Sketch(Protocol):
    """Draws one scene: with its fault and a mark, or as it should be and without."""

    def __call__(self, pen: Pen, words: Words, /, *, fault: bool) -> None:
        """Draw it."""


SKETCHES: Mapping[str, Sketch] = {
    "shiny_face": raft.draw_shiny_face,
    "opened_sheets": raft.draw_opened_sheets,
    "below_outline": raft.draw_thin,
    "beyond_outline": raft.draw_thick,
    "lifted_rim": raft.draw_lifted_rim,
    "empty_place": raft.draw_empty_place,
    "level_cut": supports.draw_level_cut,
    "ragged_ends": supports.draw_ragged_ends,
    "same_height": supports.draw_same_height,
    "spread_foot": supports.draw_spread_foot,
    "level_crack": part.draw_level_crack,
    "pressed_dent": part.draw_pressed_dent,
    "closed_holes": part.draw_closed_holes,
    "blown_wall": part.draw_blown_wall,
    "hazy_film": vat.draw_hazy_film,
    "drifting_bits": vat.draw_drifting_bits,
    "streaked_resin": vat.draw_streaked_resin,
    "clinging_film": vat.draw_clinging_film,
    "same_place": plate.draw_same_place,
    "changing_place": plate.draw_changing_place,
    "blade_stopped": plate.draw_blade_stopped,
    "light_middle": plate.draw_light_middle,
    "light_ends": plate.draw_light_ends,
    "pinched_paper": plate.draw_pinched_paper,
}
