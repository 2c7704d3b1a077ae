"""A saddle behind a wide stack: two planes that fall sideways from a level ridge into two valleys."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely

from meshes.around.lie import Lie, _polygons
from meshes.line import NARROW
from meshes.piece import Named
from meshes.plan import Corner
from meshes.sheet import Point


@dataclass(frozen=True, slots=True, eq=False)
class Saddle:
    """What the sheet behind a stack lies along where a saddle stands on it.

    base: what it lies along elsewhere; left, right: the valleys' lower ends in plan, beside the
    stack's back corners; peak: (x, y) of the ridge's upper end, where it runs level into the roof.
    """

    base: Lie
    left: Corner
    right: Corner
    peak: Corner

    def lifted(self, distance: float) -> Saddle:
        """The same, `distance` [m] above."""
        return Saddle(self.base.lifted(distance), self.left, self.right, self.peak)

    @property
    def foot_of_ridge(self) -> Corner:
        """Where the ridge meets the upstand, in plan."""
        return (self.peak[0], self.left[1])

    def height(self, x: float, y: float) -> float:
        """Height z [m] over a point in plan."""
        for shape, plane in self._planes():
            if shape.covers(shapely.Point(x, y)):
                return float(plane @ np.array([x, y, 1.0]))
        return self.base.height(x, y)

    def drape(self, name: str, region: shapely.Geometry) -> list[Named]:
        """Flat facets over a region in plan [m]."""
        found: list[Named] = []
        rest = region
        for shape, plane in self._planes():
            rest = rest.difference(shape)
            for part in _polygons(region.intersection(shape)):
                rows = [(x, y) for x, y in part.exterior.coords[:-1]]
                found.append(
                    ("saddle", [(x, y, float(plane @ np.array([x, y, 1.0]))) for x, y in rows])
                )
        return found + self.base.drape(name, rest)

    def foot(self, start: Corner, end: Corner) -> list[Point]:
        """Points along a straight line in plan, on the surface: one at every bend."""
        along = hypot(end[0] - start[0], end[1] - start[1])
        on_face = abs(start[1] - end[1]) < NARROW and abs(start[1] - self.left[1]) < NARROW
        if not on_face or along < NARROW:
            return self.base.foot(start, end)
        marks = [x for x in (self.left[0], self.peak[0], self.right[0])]
        low, high = sorted((start[0], end[0]))
        xs = sorted({low, high, *[x for x in marks if low + NARROW < x < high - NARROW]})
        xs = xs if start[0] < end[0] else xs[::-1]
        return [(x, start[1], self.height(x, start[1])) for x in xs]

    def _planes(self) -> list[tuple[shapely.Polygon, np.ndarray]]:
        ridge = self.base.height(*self.peak)
        found = []
        for corner in (self.left, self.right):
            rows = [corner, self.foot_of_ridge, self.peak]
            heights = [self.base.height(*corner), ridge, ridge]
            base = np.array([[x, y, 1.0] for x, y in rows])
            found.append((shapely.Polygon(rows), np.linalg.solve(base, np.array(heights))))
        return found
