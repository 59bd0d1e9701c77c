"""The design of the coupons: a plate's size and a nominal thickness in, five placed coupons out.

Lengths in mm. On the plate x runs right, y back and z up from the plate's face, with the middle of the plate at the
origin, as a slicer shows it. This file must never know file formats, nor what a reading means.

A coupon, seen with its dots towards you and its lip at the front::

      +----+          +----+
      |    |   flat   |    |    rails and bar stand RIM_MM above the flat; the flat is open at the back, so that a
      |    |          |    |    jaw slides in and nothing sucks at the film
      |    +----------+    |
      |       o o o        |    one to five dots: which coupon this is
      '-+                  |    the notch goes through everything, so it shows from either face
        +-----+    +-------+
              |    |            the lip: where the scraper bites, away from the flat
              +----+
"""

import dataclasses
from collections.abc import Mapping

from core.coupons.solid import Patch
from core.errors import Fault, UnusableInput
from core.report import POSITIONS, Position

PLATE_WIDTH_MM = (50.0, 400.0)
PLATE_DEPTH_MM = (30.0, 400.0)
"""Below, five coupons with a flat wide enough for a caliper no longer fit; above, no plate is known to us."""
NOMINAL_MM = (0.5, 2.0)
"""Thinner coupons bend under the scraper; thicker ones shrink enough on cure to blur the offset."""

RIM_MM = 0.6
"""Rails above flat: a whole number of layers of 0.02, 0.025, 0.03, 0.05 or 0.1 mm, and deep enough to feel."""
DOT_MM = 0.5
"""Dots above bar: likewise a whole number of ordinary layers, and felt by a gloved finger."""

EDGE_SHARE = 0.04
EDGE_MM = (2.0, 6.0)
EDGE_STEP_MM = 0.5
"""Distance from the plate's edge: this share of the shorter side within these limits. Far out makes a tilt large beside
the measuring error; the outermost millimetres are often bevelled or scratched (common practice)."""

MM3_PER_ML = 1000.0


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The plan of a coupon, mm.

    Attributes:
        width, depth: Body without the lip.
        rail: Width of each rail; the flat is what they leave, 8 mm or more, as the jaws of a caliper need 3 to 4.
        bar: Depth of the bar in front of the flat.
        notch: Side of the square notch at the front left.
        lip_width, lip: Width of the lip and how far it stands out at the front.
        dot, dot_gap: Side of a dot and distance between two.
        clear: Least distance between two coupons, for a scraper.
    """

    width: float
    depth: float
    rail: float
    bar: float
    notch: float
    lip_width: float
    lip: float
    dot: float
    dot_gap: float
    clear: float

    @property
    def outer_depth(self) -> float:
        """Depth with the lip."""
        return self.depth + self.lip


REGULAR = Shape(
    width=16.0, depth=13.0, rail=3.0, bar=5.0, notch=3.0, lip_width=6.0, lip=2.0, dot=1.5, dot_gap=0.75, clear=6.0
)
"""Large enough for gloved fingers; flat of 10 x 8 mm."""
COMPACT = Shape(
    width=12.0, depth=10.0, rail=2.0, bar=4.0, notch=2.5, lip_width=4.0, lip=1.5, dot=1.0, dot_gap=0.75, clear=3.0
)
"""For plates that the regular one would crowd; flat of 8 x 6 mm. All are multiples of 0.25 mm, exact in binary."""


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Coupon:
    """One coupon. ``x_mm`` and ``y_mm`` place the front left corner of its outline, lip included, on the plate."""

    position: Position
    shape: Shape
    nominal_mm: float
    x_mm: float
    y_mm: float

    @property
    def dots(self) -> int:
        """How many dots it carries: its place in the order in which five readings are given."""
        return POSITIONS.index(self.position) + 1

    @property
    def flat(self) -> Patch:
        """The measuring flat, from the outline's front left corner; its top is the nominal thickness."""
        s = self.shape
        return Patch(s.rail, s.lip + s.bar, s.width - s.rail, s.outer_depth, self.nominal_mm)

    def patches(self) -> tuple[Patch, ...]:
        """Return lip, body, flat, notch and dots, painted in this order; from the outline's front left corner."""
        s = self.shape
        rim = self.nominal_mm + RIM_MM
        lip = (s.width - s.lip_width) / 2
        dot_front = s.lip + (s.bar - s.dot) / 2
        dots = (s.notch + s.dot_gap + number * (s.dot + s.dot_gap) for number in range(self.dots))
        return (
            Patch(lip, 0.0, lip + s.lip_width, s.lip, self.nominal_mm),
            Patch(0.0, s.lip, s.width, s.outer_depth, rim),
            self.flat,
            Patch(0.0, s.lip, s.notch, s.lip + s.notch, 0.0),
            *(Patch(left, dot_front, left + s.dot, dot_front + s.dot, rim + DOT_MM) for left in dots),
        )

    @property
    def volume_mm3(self) -> float:
        """Volume by its parts: body less notch at rim height, less the recess, plus lip and dots."""
        s, flat = self.shape, self.flat
        body = (s.width * s.depth - s.notch**2) * (self.nominal_mm + RIM_MM)
        return body - flat.area * RIM_MM + s.lip_width * s.lip * self.nominal_mm + self.dots * s.dot**2 * DOT_MM


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class CouponSet:
    """Five coupons on a plate, in the order of ``POSITIONS``, ``edge_mm`` in from the plate's edges."""

    plate_width_mm: float
    plate_depth_mm: float
    nominal_mm: float
    shape: Shape
    edge_mm: float
    coupons: tuple[Coupon, ...]

    @property
    def outer_mm(self) -> tuple[float, float, float]:
        """Width, depth and height of one coupon, lip and dots included."""
        return self.shape.width, self.shape.outer_depth, self.nominal_mm + RIM_MM + DOT_MM

    @property
    def span_mm(self) -> tuple[float, float]:
        """How far apart the corner flats stand, left to right and front to back: what a tilt is read over."""
        width, depth, _ = self.outer_mm
        return self.plate_width_mm - 2 * self.edge_mm - width, self.plate_depth_mm - 2 * self.edge_mm - depth

    @property
    def volume_mm3(self) -> float:
        """Volume of all five."""
        return sum(coupon.volume_mm3 for coupon in self.coupons)

    @property
    def note_values(self) -> Mapping[str, float]:
        """The numbers that the texts about the set are filled with; mm and ml."""
        width, depth, height = self.outer_mm
        return {
            "plate_width": self.plate_width_mm,
            "plate_depth": self.plate_depth_mm,
            "nominal": self.nominal_mm,
            "width": width,
            "depth": depth,
            "height": height,
            "edge": self.edge_mm,
            "across": self.span_mm[0],
            "along": self.span_mm[1],
            "flat_width": self.shape.width - 2 * self.shape.rail,
            "volume_ml": self.volume_mm3 / MM3_PER_ML,
        }


def design_coupons(plate_width_mm: float, plate_depth_mm: float, nominal_mm: float = 1.0) -> CouponSet:
    """Choose the coupons' size and place for a plate.

    Raises:
        UnusableInput: A side or the nominal thickness is outside what the design is made for; every such fault.
    """
    sizes = f"{plate_width_mm:g}x{plate_depth_mm:g}"
    limits = {
        **_range("width", PLATE_WIDTH_MM),
        **_range("depth", PLATE_DEPTH_MM),
    }
    faults: list[Fault] = []
    if not (_within(plate_width_mm, PLATE_WIDTH_MM) and _within(plate_depth_mm, PLATE_DEPTH_MM)):
        faults.append(Fault("plate", sizes, "coupon_plate", limits))
    if not _within(nominal_mm, NOMINAL_MM):
        faults.append(Fault("nominal", f"{nominal_mm:g}", "coupon_nominal", _range("nominal", NOMINAL_MM)))
    if faults:
        raise UnusableInput(tuple(faults))
    edge = _edge(min(plate_width_mm, plate_depth_mm))
    shape = REGULAR if _room(REGULAR, plate_width_mm, plate_depth_mm, edge) >= REGULAR.clear else COMPACT
    reach_x = (plate_width_mm - shape.width) / 2 - edge
    reach_y = (plate_depth_mm - shape.outer_depth) / 2 - edge
    coupons = tuple(
        Coupon(
            position=position,
            shape=shape,
            nominal_mm=nominal_mm,
            x_mm=position.x * reach_x - shape.width / 2,
            y_mm=position.y * reach_y - shape.outer_depth / 2,
        )
        for position in POSITIONS
    )
    return CouponSet(
        plate_width_mm=plate_width_mm,
        plate_depth_mm=plate_depth_mm,
        nominal_mm=nominal_mm,
        shape=shape,
        edge_mm=edge,
        coupons=coupons,
    )


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value <= limits[1]


def _range(name: str, limits: tuple[float, float]) -> dict[str, str]:
    return {f"{name}_low": f"{limits[0]:g}", f"{name}_high": f"{limits[1]:g}"}


def _edge(shorter: float) -> float:
    return min(max(round(EDGE_SHARE * shorter / EDGE_STEP_MM) * EDGE_STEP_MM, EDGE_MM[0]), EDGE_MM[1])


def _room(shape: Shape, width: float, depth: float, edge: float) -> float:
    """Return the least distance between any two coupons, mm; two are apart if they are so in one direction."""
    across = width - 2 * edge - 2 * shape.width
    along = depth - 2 * edge - 2 * shape.outer_depth
    to_centre = max((across - shape.width) / 2, (along - shape.outer_depth) / 2)
    return min(across, along, to_centre)
