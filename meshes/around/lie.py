"""What a sheet lies on: courses in section up the slope, a wave across it, and draping over both."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.line import NARROW, Line, offset
from meshes.piece import Named
from meshes.plan import Corner
from meshes.sheet import Point

Floats = NDArray[np.float64]

SLIVER = 1e-13  # [m2] a smaller part of a cell is rounding
BESIDE = 1e-6  # [m] where it is looked on both sides of a riser


@dataclass(frozen=True, slots=True, eq=False)
class Lie:
    """A surface z = f(y) + share(y) * h(x) [m].

    rows: (n, 2) of y, f, y rising, upright legs allowed; wave: (m, 2) of x, h, x rising; shares: (n,)
    how much of the wave there is at each row, 0 to 1.
    """

    rows: Line
    wave: Line
    shares: Floats

    @staticmethod
    def of(rows: Line, wave: Line) -> Lie:
        """With the whole wave everywhere."""
        return Lie(rows, wave, np.ones(len(rows)))

    def lifted(self, distance: float) -> Lie:
        """The surface `distance` [m] above, square to its section up the slope."""
        return Lie(offset(self.rows, distance), self.wave, self.shares)

    def height(self, x: float, y: float) -> float:
        """Height z [m] over a point in plan; at a riser, of its foot."""
        leg = self._leg(y)
        return self._on_leg(leg, x, y)

    def drape(self, name: str, region: shapely.Geometry) -> list[Named]:
        """Flat facets over a region in plan [m], risers among them."""
        found: list[Named] = []
        left, _, right, _ = region.bounds
        for cell, plane in self._cells(*region.bounds):
            for part in polygons_of(region.intersection(cell)):
                corners = [(x, y) for x, y in part.exterior.coords[:-1]]
                found.append((name, [(x, y, _on(plane, x, y)) for x, y in corners]))
        for leg, ((y, low), (end, high)) in enumerate(pairwise(self.rows)):
            if end - y > NARROW or abs(high - low) < NARROW:
                continue
            across = shapely.LineString([(left - 1, y), (right + 1, y)])
            for start, stop in _runs(region.intersection(across)):
                if self._both_sides(region, start, stop, y):
                    found += self._riser(name, leg, start, stop)
        return found

    def foot(self, start: Corner, end: Corner) -> list[Point]:
        """Points (x, y, z) along a straight line in plan from start to end, on the surface: one at
        every bend, two at every riser."""
        a, b = np.array(start), np.array(end)
        way = b - a
        shares = {0.0, 1.0}
        for axis, breaks in ((1, self.rows[:, 0]), (0, self.wave[:, 0])):
            if abs(way[axis]) > 1e-12:
                shares |= {float(t) for t in (breaks - a[axis]) / way[axis] if 1e-9 < t < 1 - 1e-9}
        shares |= self._diagonals(a, way)
        found: list[Point] = []
        for t0, t1 in pairwise(sorted(shares)):
            if (t1 - t0) * float(np.linalg.norm(way)) < NARROW:
                continue
            middle = a + way * (t0 + t1) / 2
            plane = self._plane_at(float(middle[0]), float(middle[1]))
            for t in (t0, t1):
                x, y = start if t == 0 else end if t == 1 else tuple(a + way * t)
                point = (float(x), float(y), _on(plane, float(x), float(y)))
                if (
                    not found
                    or max(abs(p - q) for p, q in zip(found[-1], point, strict=True)) > NARROW
                ):
                    found.append(point)
        return found

    def _leg(self, y: float) -> int:
        at = int(np.searchsorted(self.rows[:, 0], y - NARROW))
        at = min(max(at, 1), len(self.rows) - 1)
        while at > 1 and self.rows[at, 0] - self.rows[at - 1, 0] < NARROW:
            at -= 1
        return at - 1

    def _on_leg(self, leg: int, x: float, y: float) -> float:
        (y0, z0), (y1, z1) = self.rows[leg], self.rows[leg + 1]
        t = (y - y0) / (y1 - y0)
        share = self.shares[leg] + (self.shares[leg + 1] - self.shares[leg]) * t
        return float(z0 + (z1 - z0) * t + share * np.interp(x, self.wave[:, 0], self.wave[:, 1]))

    def _twisted(self, leg: int, column: int) -> bool:
        rises = abs(self.wave[column + 1, 1] - self.wave[column, 1])
        return bool(rises > 1e-12 and abs(self.shares[leg + 1] - self.shares[leg]) > 1e-12)

    def _cells(
        self, left: float, low: float, right: float, high: float
    ) -> list[tuple[shapely.Polygon, Floats]]:
        """Plan polygons over each of which the surface is a plane, with the plane (3,)."""
        found = []
        for leg, ((y0, _), (y1, _)) in enumerate(pairwise(self.rows)):
            if y1 - y0 < NARROW or y1 < low or y0 > high:
                continue
            for column, ((x0, _), (x1, _)) in enumerate(pairwise(self.wave)):
                if x1 < left or x0 > right:
                    continue
                corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
                split = self._twisted(leg, column)
                rings = [corners[:3], [corners[0], *corners[2:]]] if split else [corners]
                for ring in rings:
                    found.append((shapely.Polygon(ring), self._plane(leg, ring)))
        return found

    def _plane(self, leg: int, ring: list[tuple[float, float]]) -> Floats:
        points = ring[:3]
        heights = [self._on_leg(leg, x, y) for x, y in points]
        base = np.array([[x, y, 1.0] for x, y in points])
        return np.linalg.solve(base, np.array(heights))

    def _plane_at(self, x: float, y: float) -> Floats:
        leg = self._leg(y)
        column = int(np.clip(np.searchsorted(self.wave[:, 0], x), 1, len(self.wave) - 1)) - 1
        (x0, _), (x1, _) = self.wave[column], self.wave[column + 1]
        y0, y1 = self.rows[leg, 0], self.rows[leg + 1, 0]
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        if self._twisted(leg, column):
            below = (x - x0) / (x1 - x0) > (y - y0) / (y1 - y0)
            corners = corners[:3] if below else [corners[0], *corners[2:]]
        return self._plane(leg, corners)

    def _diagonals(self, a: Floats, way: Floats) -> set[float]:
        found = set()
        for leg, ((y0, _), (y1, _)) in enumerate(pairwise(self.rows)):
            for column, ((x0, _), (x1, _)) in enumerate(pairwise(self.wave)):
                if y1 - y0 < NARROW or not self._twisted(leg, column):
                    continue
                across = np.array([y1 - y0, -(x1 - x0)])
                if abs(across @ way) > 1e-12:
                    t = float(across @ (np.array([x0, y0]) - a) / (across @ way))
                    spot = a + way * t
                    if 1e-9 < t < 1 - 1e-9 and x0 <= spot[0] <= x1 and y0 <= spot[1] <= y1:
                        found.add(t)
        return found

    def _both_sides(self, region: shapely.Geometry, start: float, stop: float, y: float) -> bool:
        middle = (start + stop) / 2
        return all(region.contains(shapely.Point(middle, y + d)) for d in (-BESIDE, BESIDE))

    def _riser(self, name: str, leg: int, start: float, stop: float) -> list[Named]:
        (y, low), (_, high) = self.rows[leg], self.rows[leg + 1]
        inner = [float(x) for x in self.wave[:, 0] if start + NARROW < x < stop - NARROW]
        found: list[Named] = []
        for x0, x1 in pairwise([start, *inner, stop]):
            h0, h1 = (float(np.interp(x, self.wave[:, 0], self.wave[:, 1])) for x in (x0, x1))
            lower, upper = self.shares[leg], self.shares[leg + 1]
            y_ = float(y)
            found.append(
                (
                    name,
                    [
                        (x0, y_, float(low + lower * h0)),
                        (x1, y_, float(low + lower * h1)),
                        (x1, y_, float(high + upper * h1)),
                        (x0, y_, float(high + upper * h0)),
                    ],
                )
            )
        return found


def _on(plane: Floats, x: float, y: float) -> float:
    return float(plane[0] * x + plane[1] * y + plane[2])


def polygons_of(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """The polygons in a shape, without slivers."""
    parts = getattr(shape, "geoms", [shape])
    return [part for part in parts if part.geom_type == "Polygon" and part.area > SLIVER]


def _runs(shape: shapely.Geometry) -> list[tuple[float, float]]:
    """Spans of x of the straight parts of an intersection with a level line."""
    parts = getattr(shape, "geoms", [shape])
    lines = [part.coords for part in parts if part.geom_type == "LineString" and part.length > 1e-7]
    return [(min(x for x, _ in row), max(x for x, _ in row)) for row in lines]
