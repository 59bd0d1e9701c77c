"""A plan of rectangles with heights in, a watertight mesh out.

In: patches, painted one over the other as heights above the plate. Out: a Solid whose triangles are wound
counter-clockwise seen from outside. This file must never know what a coupon is for.
"""

import dataclasses
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

Point = tuple[float, float, float]
Triangle = tuple[int, int, int]


@dataclasses.dataclass(frozen=True, slots=True)
class Patch:
    """A rectangle of the plan, in mm, and the height of the material there; height 0 is a hole through everything."""

    left: float
    front: float
    right: float
    back: float
    top: float

    def covers(self, x: float, y: float) -> bool:
        """Say whether the point lies inside."""
        return self.left < x < self.right and self.front < y < self.back

    @property
    def area(self) -> float:
        """Area in the plan, mm²."""
        return (self.right - self.left) * (self.back - self.front)

    def moved(self, x: float, y: float) -> "Patch":
        """Return the patch shifted in the plan."""
        return Patch(self.left + x, self.front + y, self.right + x, self.back + y, self.top)


@dataclasses.dataclass(frozen=True, slots=True)
class Solid:
    """A closed triangle mesh in mm; every vertex stands once."""

    points: tuple[Point, ...]
    triangles: tuple[Triangle, ...]


def height_at(patches: Iterable[Patch], x: float, y: float) -> float:
    """Return the height at a point: that of the last patch that covers it, 0 where none does."""
    height = 0.0
    for patch in patches:
        if patch.covers(x, y):
            height = patch.top
    return height


def raise_solid(patches: Sequence[Patch]) -> Solid:
    """Build the mesh of all patches standing on z = 0.

    Space is cut by the planes of every patch's sides and tops into boxes, each wholly filled or wholly empty, and the
    mesh is the faces between filled and empty ones. All faces lie on one grid, so neighbours share whole edges and no
    gap can open, whatever the numbers are. Boxes that touch along an edge only would make that edge four-fold; a
    plan whose patches meet side by side or not at all has none.
    """
    xs = sorted({x for patch in patches for x in (patch.left, patch.right)})
    ys = sorted({y for patch in patches for y in (patch.front, patch.back)})
    zs = sorted({0.0, *(patch.top for patch in patches)})
    filled = {
        (i, j, k)
        for i, (left, right) in enumerate(pairwise(xs))
        for j, (front, back) in enumerate(pairwise(ys))
        for k in range(zs.index(height_at(patches, (left + right) / 2, (front + back) / 2)))
    }
    numbers: dict[Triangle, int] = {}
    triangles: list[Triangle] = []
    for face in _faces(filled):
        a, b, c, d = (numbers.setdefault(corner, len(numbers)) for corner in face)
        triangles += [(a, b, c), (a, c, d)]
    return Solid(tuple((xs[i], ys[j], zs[k]) for i, j, k in numbers), tuple(triangles))


_CORNERS: dict[Triangle, tuple[Triangle, ...]] = {
    (-1, 0, 0): ((0, 0, 0), (0, 0, 1), (0, 1, 1), (0, 1, 0)),
    (1, 0, 0): ((1, 0, 0), (1, 1, 0), (1, 1, 1), (1, 0, 1)),
    (0, -1, 0): ((0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)),
    (0, 1, 0): ((0, 1, 0), (0, 1, 1), (1, 1, 1), (1, 1, 0)),
    (0, 0, -1): ((0, 0, 0), (0, 1, 0), (1, 1, 0), (1, 0, 0)),
    (0, 0, 1): ((0, 0, 1), (1, 0, 1), (1, 1, 1), (0, 1, 1)),
}
"""Outward direction to the corners of a box's face on that side, counter-clockwise seen from outside."""


def _faces(filled: set[Triangle]) -> Iterator[list[Triangle]]:
    for i, j, k in sorted(filled):
        for (di, dj, dk), corners in _CORNERS.items():
            if (i + di, j + dj, k + dk) not in filled:
                yield [(i + a, j + b, k + c) for a, b, c in corners]
