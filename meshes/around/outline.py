"""Regions in plan: a polygon grown all round, and a region cut into cells that share their corners."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.around.rim import Rim
from meshes.plan import Corner, Plan

GRID = 1e-9  # [m] points of a region are set on this grid, so that cells share them to the last bit
THIN = 1e-6  # [m] a narrower cell is left out

Ring = list[Corner]


def grown(plan: Plan, distance: float) -> tuple[Corner, ...]:
    """The plan's corners when every edge moves `distance` [m] outward, mitred: one for each of the
    plan's, in the same order, so that edge n runs from corner n to the next."""
    rim = Rim(plan, distance)
    return tuple(rim.at(corner) for corner in plan.corners)


def cells(
    x_lines: Sequence[float], y_lines: Sequence[float], hole: Sequence[Corner] | None
) -> list[Ring]:
    """A rectangle less a convex hole, cut into polygons that hang together corner to corner.

    x_lines, y_lines: rising, two or more [m]: the rectangle's ends and lines that it is cut along.
    Rings are anticlockwise; a point on one ring that lies on another is a point of that one too.
    """
    low, high = (x_lines[0], y_lines[0]), (x_lines[-1], y_lines[-1])
    if hole is None or not _overlap(hole, low, high):
        return [
            [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            for y0, y1 in pairwise(y_lines)
            for x0, x1 in pairwise(x_lines)
        ]
    opening = shapely.Polygon(hole)
    sides = [x for x, _ in (min(hole), max(hole)) if low[0] < x < high[0]]
    lines = [opening.exterior.intersection(shapely.box(*low, *high))]
    lines += [shapely.LineString([(x, low[1]), (x, high[1])]) for x in (*x_lines, *sides)]
    lines += [shapely.LineString([(low[0], y), (high[0], y)]) for y in y_lines]
    noded = shapely.union_all(lines, grid_size=GRID)
    parts = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    known_x = np.unique([*x_lines, *(x for x, _ in hole)])
    known_y = np.unique([*y_lines, *(y for _, y in hole)])
    found = []
    for part in parts:
        wide = part.area > THIN * part.length / 2
        if wide and not opening.contains(part.point_on_surface()):
            points = shapely.get_coordinates(shapely.orient_polygons(part))[:-1]
            xs, ys = _as_given(points[:, 0], known_x), _as_given(points[:, 1], known_y)
            found.append([(float(x), float(y)) for x, y in zip(xs, ys, strict=True)])
    return found


def cut_into_triangles(ring: Ring) -> list[Ring]:
    """Triangles of a polygon, anticlockwise as it is; a convex one of four corners into two."""
    if len(ring) <= 4 and _turns_left(ring):
        return [[ring[0], ring[at], ring[at + 1]] for at in range(1, len(ring) - 1)]
    made = shapely.constrained_delaunay_triangles(shapely.Polygon(ring))
    rows = [shapely.get_coordinates(part)[:3].tolist() for part in shapely.get_parts(made)]
    triangles = [[(float(x), float(y)) for x, y in row] for row in rows]
    return [row if _turns_left(row) else row[::-1] for row in triangles]


def edge_under(a: Corner, b: Corner, ring: Sequence[Corner]) -> int | None:
    """Number of the ring's edge that a short piece a-b lies on, to a hundredth of a millimetre."""
    middle = shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    ends = [*ring[1:], ring[0]]
    off = [
        middle.distance(shapely.LineString(pair)) if hypot(*np.subtract(*pair)) > 0 else np.inf
        for pair in zip(ring, ends, strict=True)
    ]
    nearest = int(np.argmin(off))
    return nearest if off[nearest] < 1e-5 else None


def _overlap(hole: Sequence[Corner], low: Corner, high: Corner) -> bool:
    shape, box = shapely.Polygon(hole), shapely.box(*low, *high)
    return bool(shape.intersection(box).area > 0)


def _as_given(values: NDArray[np.float64], known: NDArray[np.float64]) -> NDArray[np.float64]:
    at = np.clip(np.searchsorted(known, values), 1, len(known) - 1)
    nearest = np.where(values - known[at - 1] < known[at] - values, known[at - 1], known[at])
    return np.where(np.abs(nearest - values) < 2 * GRID, nearest, values)


def _turns_left(ring: Ring) -> bool:
    last, here = ring[-2], ring[-1]
    for after in ring:
        way, on = (here[0] - last[0], here[1] - last[1]), (after[0] - here[0], after[1] - here[1])
        if way[0] * on[1] - way[1] * on[0] <= 0:
            return False
        last, here = here, after
    return True
