"""Cut the upper part of a stack away, so that what stands behind it is seen: triangles in, out."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """kept: (n, 3, 3) triangles [m] below the cut, closed by its flat face; removed: the ones
    above; face: how many of the last rows of `kept` make up the cut face."""

    kept: Floats
    removed: Floats
    face: int


def cut_level(triangles: Floats, height: float) -> Cut:
    """Cut triangles (n, 3, 3) [m] with the level plane z = `height` [m]."""
    above = triangles[:, :, 2] > height
    whole_below, whole_above = ~above.any(axis=1), above.all(axis=1)
    kept, removed = [triangles[whole_below]], [triangles[whole_above]]
    segments = []
    for triangle in triangles[~whole_below & ~whole_above]:
        low, high, segment = split(triangle, height)
        kept.append(low)
        removed.append(high)
        segments.append(segment)
    face = _face(np.array(segments), height) if segments else np.empty((0, 3, 3))
    return Cut(np.concatenate([*kept, face]), np.concatenate(removed), len(face))


def split(triangle: Floats, height: float) -> tuple[Floats, Floats, Floats]:
    """What of a triangle (3, 3) [m] lies below a height and what above it, (n, 3, 3) each, and the segment
    (2, 3) in which the level plane meets it; some of it must lie on either side."""
    low: list[Floats] = []
    high: list[Floats] = []
    crossing: list[Floats] = []
    for here, there in zip(triangle, np.roll(triangle, -1, axis=0), strict=True):
        (high if here[2] > height else low).append(here)
        if (here[2] > height) != (there[2] > height):
            at = here + (there - here) * ((height - here[2]) / (there[2] - here[2]))
            crossing.append(at)
            low.append(at)
            high.append(at)
    return _fan(low), _fan(high), np.array(crossing)


def _fan(corners: list[Floats]) -> Floats:
    rows = [(corners[0], corners[k], corners[k + 1]) for k in range(1, len(corners) - 1)]
    return np.array(rows)


def _face(segments: Floats, height: float) -> Floats:
    """The plane regions that the segments (n, 2, 3) enclose, as triangles facing up."""
    flat = shapely.linestrings(np.round(segments[:, :, :2], 7))
    rings = shapely.get_parts(shapely.polygonize([shapely.unary_union(flat)]))
    if len(rings) == 0:
        return np.empty((0, 3, 3))
    whole = shapely.unary_union([shapely.Polygon(ring.exterior) for ring in rings])
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(whole))
    rows = [np.array(piece.exterior.coords)[:3] for piece in pieces]
    upward = [row if shapely.is_ccw(shapely.linearrings(row)) else row[::-1] for row in rows]
    return np.array([np.column_stack([row, np.full(3, height)]) for row in upward])


def hatch(face: Floats, spacing: float = 0.035) -> list[Floats]:
    """Slanted lines (2, 3) [m] that mark a level cut face (n, 3, 3) as cut, `spacing` [m] apart."""
    if len(face) == 0:
        return []
    region = shapely.unary_union(shapely.polygons(face[:, :, :2]))
    left, low, right, high = region.bounds
    reach = high - low
    starts = np.arange(left - reach, right, spacing * np.sqrt(2)) + spacing / 2
    rows = [[(x, low), (x + reach, high)] for x in starts]
    lines = shapely.get_parts(shapely.intersection(shapely.linestrings(rows), region))
    height = face[0, 0, 2] + 1e-6
    flat = [np.array(line.coords) for line in lines if line.geom_type == "LineString"]
    return [np.column_stack([line, np.full(len(line), height)]) for line in flat if len(line) == 2]


def outside_removed(paths: list[Floats], removed: Floats, height: float) -> list[list[Floats]]:
    """What is left of each polyline (k, 3) once the stretch on or in the removed body is gone.

    A stretch goes when its middle lies above `height` and, in plan, within 5 mm of the body's hull.
    """
    hull = shapely.buffer(shapely.convex_hull(shapely.multipoints(removed.reshape(-1, 3))), 0.005)
    shapely.prepare(hull)
    left: list[list[Floats]] = []
    for path in paths:
        trimmed = _broken_at(path, height)
        middles = (trimmed[1:] + trimmed[:-1]) / 2
        inside = shapely.intersects_xy(hull, middles[:, 0], middles[:, 1])
        left.append(runs(trimmed, ~(inside & (middles[:, 2] > height))))
    return left


def _broken_at(path: Floats, height: float) -> Floats:
    """The same polyline with a point more wherever it passes through the level plane."""
    rows = [path[0]]
    for here, there in pairwise(path):
        if (here[2] > height) != (there[2] > height):
            rows.append(here + (there - here) * ((height - here[2]) / (there[2] - here[2])))
        rows.append(there)
    return np.array(rows)


def runs(points: Floats, wanted: NDArray[np.bool_]) -> list[Floats]:
    """Split a polyline (k, d) into its longest stretches of `wanted` segments (k - 1,)."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], wanted, [False]]).astype(np.int8)))
    return [points[start : stop + 1] for start, stop in change.reshape(-1, 2)]
