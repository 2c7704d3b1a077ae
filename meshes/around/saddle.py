"""A saddle behind a wide stack: two planes that fall sideways from a level ridge into two valleys."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.around.lie import Lie, polygons_of
from meshes.line import NARROW
from meshes.piece import Named
from meshes.plan import Corner
from meshes.sheet import Point

ABOVE_NOSES = 0.003  # [m] its valleys stand so far above the plane on the noses


@dataclass(frozen=True, slots=True, eq=False)
class Saddle:
    """What the sheet behind a stack lies along where a saddle stands on it.

    base: what it lies along elsewhere, the courses; left, right: the valleys' lower ends, beside the
    stack's back corners; peak: the ridge's upper end, from which it runs level to the stack. Between
    the valleys, straight above the noses, and the courses the sheet is upright.
    """

    base: Lie
    left: Point
    right: Point
    peak: Point

    def lifted(self, distance: float) -> Lie:
        """What lies `distance` [m] above the base."""
        return self.base.lifted(distance)

    def height(self, x: float, y: float) -> float:
        """Height z [m] over a point in plan."""
        for shape, plane in self._planes():
            if shape.distance(shapely.Point(x, y)) < NARROW:
                return _on(plane, x, y)
        return self.base.height(x, y)

    def drape(self, name: str, region: shapely.Geometry) -> list[Named]:
        """Flat facets over a region in plan [m]."""
        found: list[Named] = []
        rest = region
        for (shape, plane), corner in zip(self._planes(), (self.left, self.right), strict=True):
            rest = rest.difference(shape)
            within = polygons_of(region.intersection(shape))
            for part in within:
                rows = [(x, y) for x, y in part.exterior.coords[:-1]]
                found.append(("saddle", [(x, y, _on(plane, x, y)) for x, y in rows]))
            if within:
                foot = self.base.foot(corner[:2], self.peak[:2])
                found.append(("valley edge", [*foot, self.peak, corner]))
        return found + self.base.drape(name, rest)

    def foot(self, start: Corner, end: Corner) -> list[Point]:
        """Points along a straight line in plan, on the surface: one at every bend."""
        along = hypot(end[0] - start[0], end[1] - start[1])
        on_face = all(abs(y - self.left[1]) < NARROW for y in (start[1], end[1]))
        if not on_face or along < NARROW:
            return self.base.foot(start, end)
        low, high = sorted((start[0], end[0]))
        marks = (self.left[0], self.peak[0], self.right[0])
        xs = sorted({low, high, *[x for x in marks if low + NARROW < x < high - NARROW]})
        xs = xs if start[0] < end[0] else xs[::-1]
        return [(x, start[1], self.height(x, start[1])) for x in xs]

    def _planes(self) -> list[tuple[shapely.Polygon, NDArray[np.float64]]]:
        x, _, ridge = self.peak
        found = []
        for corner in (self.left, self.right):
            rows = [corner, (x, corner[1], ridge), self.peak]
            base = np.array([[px, py, 1.0] for px, py, _ in rows])
            plane = np.linalg.solve(base, np.array([z for _, _, z in rows]))
            found.append((shapely.Polygon([row[:2] for row in rows]), plane))
        return found


def _on(plane: NDArray[np.float64], x: float, y: float) -> float:
    return float(plane[0] * x + plane[1] * y + plane[2])
