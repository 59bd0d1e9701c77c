"""The pen that every drawing of a finding is made with: shapes in a scene's own units, placed and sized on a sheet.

In: places within a scene of ``WIDE`` by ``TALL``, from its lower left. Out: marks on axes. This file must never know
which finding is drawn, nor what a plate or a raft looks like.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse, FancyArrowPatch, Polygon

from core.pictures.finding_sketches.wrapping import text_px
from core.pictures.guide_sketches.sheet import Point, write
from core.pictures.palette import INK, PAPER

WIDE, TALL = 324.0, 224.0
LEAST_TEXT = 13.5
"""Points, at 100 to the inch on a sheet of two phone widths: at least nine pixels high on a phone."""
LABEL_Y = 13.0
"""Height of the line of writing at the foot of a scene."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """Where a scene stands and how large it is.

    Attributes:
        left: Of the scene on the sheet, px.
        bottom: Of the scene on the sheet, px.
        scale: Px for one unit of the scene.
        label: What is written at the mark; nothing leaves the mark out.
    """

    axes: Axes
    left: float
    bottom: float
    scale: float = 1.0
    label: str = ""

    def area(
        self, points: Sequence[Point], fill: str = PAPER, *, order: int = 3, hatch: str = "", edge: str = INK
    ) -> None:
        """Fill a closed outline."""
        self.axes.add_artist(
            Polygon(
                [self._at(point) for point in points],
                closed=True,
                facecolor=fill,
                edgecolor=edge,
                linewidth=self._stroke(1.8),
                joinstyle="round",
                hatch=hatch or None,
                zorder=order,
            )
        )

    def box(
        self, x: float, y: float, width: float, tall: float, fill: str = PAPER, *, order: int = 3, hatch: str = ""
    ) -> None:
        """Fill an upright rectangle from its lower left."""
        self.area(
            [(x, y), (x + width, y), (x + width, y + tall), (x, y + tall)],
            fill,
            order=order,
            hatch=hatch,
        )

    def line(
        self, points: Sequence[Point], width: float = 1.8, *, dotted: bool = False, order: float = 4, colour: str = INK
    ) -> None:
        """Draw a line through points."""
        placed = [self._at(point) for point in points]
        self.axes.plot(
            [x for x, _ in placed],
            [y for _, y in placed],
            color=colour,
            linewidth=self._stroke(width),
            linestyle=(0, (3, 2)) if dotted else "-",
            solid_capstyle="round",
            zorder=order,
        )

    def outline(self, points: Sequence[Point], *, order: int = 6) -> None:
        """Draw where something should be: a dotted outline."""
        self.line([*points, points[0]], 1.8, dotted=True, order=order)

    def round(self, centre: Point, radius: float, fill: str = PAPER, *, order: int = 4, hatch: str = "") -> None:
        """Fill a circle."""
        self.axes.add_artist(
            Circle(
                self._at(centre),
                radius * self.scale,
                facecolor=fill,
                edgecolor=INK,
                linewidth=self._stroke(1.6),
                hatch=hatch or None,
                zorder=order,
            )
        )

    def oval(
        self,
        centre: Point,
        size: Point,
        fill: str = PAPER,
        *,
        turn: float = 0.0,
        order: int = 4,
        hatch: str = "",
        dotted: bool = False,
    ) -> None:
        """Fill an ellipse of whole width and height, turned by degrees."""
        self.axes.add_artist(
            Ellipse(
                self._at(centre),
                size[0] * self.scale,
                size[1] * self.scale,
                angle=turn,
                facecolor="none" if dotted else fill,
                edgecolor=INK,
                linewidth=self._stroke(1.6),
                linestyle=(0, (3, 2)) if dotted else "-",
                hatch=hatch or None,
                zorder=order,
            )
        )

    def push(self, start: Point, end: Point, *, strong: bool = True) -> None:
        """Draw a block arrow for a motion or a force."""
        head, tail = (18, 7) if strong else (12, 3)
        self._arrow(start, end, head, tail)

    def mark(self, tip: Point, foot: float, bend: float | None = None) -> None:
        """Write the label at the foot of the scene and point from it to the thing that is meant.

        Args:
            tip: Where the arrow ends.
            foot: Where along the scene it begins; the label stands as near to that as it fits.
            bend: How high it goes straight up before it turns towards the tip.
        """
        if not self.label:
            return
        begin = (foot, LABEL_Y + 13)
        if bend is not None:
            for width, colour, order in ((5 + 4 / self._grown, PAPER, 7.8), (5, INK, 8.1)):
                self.line([begin, (foot, bend)], width, order=order, colour=colour)
            begin = (foot, bend)
        self._arrow(begin, tip, 15, 5)
        half = text_px(self.label, self._text, "bold") / 2 / self.scale
        middle = min(max(foot, half), WIDE - half)
        write(self.axes, self._x(middle), self._y(LABEL_Y), self.label, self._text, weight="bold")

    def name(self, x: float, y: float, text: str) -> None:
        """Write the name of a thing on it."""
        write(self.axes, self._x(x), self._y(y), text, self._text)

    @property
    def _grown(self) -> float:
        return float(self.scale**0.5)

    @property
    def _text(self) -> float:
        return max(LEAST_TEXT, LEAST_TEXT * self._grown)

    def _stroke(self, width: float) -> float:
        return width * self._grown

    def _x(self, x: float) -> float:
        return self.left + x * self.scale

    def _y(self, y: float) -> float:
        return self.bottom + y * self.scale

    def _at(self, point: Point) -> Point:
        return self._x(point[0]), self._y(point[1])

    def _arrow(self, start: Point, end: Point, head: float, tail: float) -> None:
        # A rim of paper keeps the arrow apart from what it crosses, without colour.
        for colour, rim, order in ((PAPER, 4.0, 7.8), (INK, 0.5, 8.0)):
            self.axes.add_artist(
                FancyArrowPatch(
                    self._at(start),
                    self._at(end),
                    arrowstyle="simple,head_width={0},head_length={0},tail_width={1}".format(
                        head * self._grown, tail * self._grown
                    ),
                    facecolor=colour,
                    edgecolor=colour,
                    linewidth=rim,
                    shrinkA=0,
                    shrinkB=0,
                    zorder=order,
                )
            )
