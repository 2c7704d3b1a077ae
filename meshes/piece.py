"""A folded sheet-metal piece: its facets, its blank, and the stretch that its dressing asks for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from meshes.blank import Blank, unfold
from meshes.line import Line
from meshes.parts import Part, Role
from meshes.sheet import Facets, Point, facets, triangles

Named = tuple[str, list[Point]]

TIGHT = (
    1e-6  # [m] an edge dressed tight lies on the sheet below it, but that no rounding makes it cut
)


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """One piece. stretch: how much longer the sheet must become along its foot where an upright leg
    is dressed down over steps, as a share of the length (0: folded only)."""

    name: str
    facets: Facets
    stretch: float = 0.0

    def blank(self) -> Blank:
        """The flat piece before folding."""
        return unfold(self.facets)

    def part(self) -> Part:
        """The piece as a part of the assembly, its wet side outward."""
        return Part(self.name, Role.FLASHING, self.facets.points, triangles(self.facets))


def piece(name: str, named: Sequence[Named], *, wet: Point, foot: Line | None = None) -> Piece:
    """Make a piece from named facets; `foot` is the section line along which an upright leg is dressed."""
    stretch = 0.0
    if foot is not None:
        steps = np.linalg.norm(np.diff(foot, axis=0), axis=1).sum()
        stretch = float(steps / np.linalg.norm(foot[-1] - foot[0])) - 1
    return Piece(name, facets(named, wet=wet), max(stretch, 0.0) if stretch > 1e-9 else 0.0)


def strips(name: str, line: Line, left: float, right: float) -> list[Named]:
    """Strips across the slope from x = left to x = right, one for each leg of a section line."""
    found: list[Named] = []
    for index, ((y0, z0), (y1, z1)) in enumerate(pairwise(line)):
        corners: list[Point] = [(left, y0, z0), (right, y0, z0), (right, y1, z1), (left, y1, z1)]
        found.append((f"{name} {index + 1}", corners))
    return found


def upright(x: float, rows: Sequence[Sequence[float]] | Line) -> list[Point]:
    """Corners in the plane x = const from rows (y, z)."""
    return [(x, float(y), float(z)) for y, z in rows]


def mirrored(named: Sequence[Named]) -> list[Named]:
    """The same facets on the other side of the stack's middle: x turned to -x."""
    return [(name, [(-x, y, z) for x, y, z in corners]) for name, corners in named]
