"""A sheet in the making: planar facets that share points along their bends, and their triangles."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

import numpy as np
import shapely
from numpy.typing import NDArray

Point = tuple[float, float, float]

SAME_POINT = 1e-9  # [m] two points of one sheet closer than this are one point: below any real cut
FLAT = 1e-9  # [m], [m2] how far a corner may lie off its plane, or turn, and count as flat


@dataclass(frozen=True, slots=True, eq=False)
class Facets:
    """Flat polygons over shared points, all wound so that they show the wet side.

    points: (n, 3) [m]; polygons: rows of points, anticlockwise seen from the wet side; names: one each.
    Two polygons that share an edge are joined by a bend there.
    """

    points: NDArray[np.float64]
    polygons: tuple[tuple[int, ...], ...]
    names: tuple[str, ...]


def facets(named: Sequence[tuple[str, Sequence[Point]]], *, wet: Point) -> Facets:
    """Join flat polygons into one sheet: merge equal points, put points that lie on another polygon's
    edge into that edge, and turn every polygon to the same side.

    named: (name, corners [m]) in any order and winding; wet: a direction on the wet side of the first,
    level or up; on the whole a sheet shows its wet side that way and up.
    Raises ValueError for a polygon that is not flat, or that can't be turned to match its neighbours.
    """
    points: list[Point] = []
    seen: dict[tuple[int, int, int], int] = {}

    def number(corner: Point) -> int:
        x, y, z = (float(value) for value in corner)
        key = (round(x / SAME_POINT / 10), round(y / SAME_POINT / 10), round(z / SAME_POINT / 10))
        if key not in seen:
            seen[key] = len(points)
            points.append((x, y, z))
        return seen[key]

    rows = [_without_repeats([number(corner) for corner in corners]) for _, corners in named]
    array = np.array(points)
    for (name, _), row in zip(named, rows, strict=True):
        _check_flat(name, array[row])
    full = _with_points_on_edges(rows, array)
    turned = _turned_alike(full, array, np.array(wet, dtype=float))
    if _shows_its_back(turned, array, np.array(wet, dtype=float)):
        turned = [row[::-1] for row in turned]
    return Facets(array, tuple(tuple(row) for row in turned), tuple(name for name, _ in named))


def triangles(sheet: Facets) -> NDArray[np.int32]:
    """Triangles (m, 3) of all polygons, rows of `sheet.points`; every point on an edge is used."""
    return np.array([tri for row in sheet.polygons for tri in _cut(row, sheet.points)], np.int32)


def normal_of(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit normal (3,) of a flat polygon (k, 3) by the right-hand rule (Newell's sum)."""
    # Few corners: plain numbers are many times quicker than arrays of them.
    (x0, y0, z0), *others = corners.tolist()
    nx = ny = nz = 0.0
    for (ax, ay, az), (bx, by, bz) in pairwise([(x - x0, y - y0, z - z0) for x, y, z in others]):
        nx += ay * bz - az * by
        ny += az * bx - ax * bz
        nz += ax * by - ay * bx
    return np.array([nx, ny, nz]) / sqrt(nx * nx + ny * ny + nz * nz)


def in_plane(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Coordinates (k, 2) [m] of a flat polygon in its own plane, wound as seen from its normal."""
    nx, ny, nz = normal_of(corners).tolist()
    edges = np.concatenate([corners[1:], corners[:1]]) - corners
    first = edges[(edges * edges).sum(axis=1).argmax()]
    x, y, z = (first / sqrt(float(first @ first))).tolist()
    across = (ny * z - nz * y, nz * x - nx * z, nx * y - ny * x)
    return (corners - corners[0]) @ np.array([(x, y, z), across]).T


def _without_repeats(row: list[int]) -> list[int]:
    return [point for at, point in enumerate(row) if point != row[at - 1]]


def _check_flat(name: str, corners: NDArray[np.float64]) -> None:
    off = np.abs((corners - corners[0]) @ normal_of(corners)).max()
    if off > FLAT * 10:
        raise ValueError(f"facet {name} is not flat: a corner lies {off:.3g} m off its plane")


def _with_points_on_edges(rows: list[list[int]], points: NDArray[np.float64]) -> list[list[int]]:
    """The same polygons, each with all points that lie on its edges."""
    start = np.array([point for row in rows for point in row])
    end = np.array([point for row in rows for point in row[1:] + row[:1]])
    along = points[end] - points[start]
    length = np.linalg.norm(along, axis=1)
    along /= length[:, None]
    # Distances by components: three flat tables are quicker than one with an axis of three.
    offset = [points[None, :, k] - points[start, k, None] for k in range(3)]
    at = sum(offset[k] * along[:, k, None] for k in range(3))
    off = sum((offset[k] - at * along[:, k, None]) ** 2 for k in range(3))
    near = SAME_POINT * 10
    on = (off < near**2) & (at > near) & (at < length[:, None] - near)
    edge, point = np.nonzero(on)
    order = np.lexsort((at[edge, point], edge))
    between: dict[int, list[int]] = {}
    for number, own in zip(edge[order].tolist(), point[order].tolist(), strict=True):
        between.setdefault(number, []).append(own)
    whole, number = [], 0
    for row in rows:
        full: list[int] = []
        for corner in row:
            full += [corner, *between.get(number, ())]
            number += 1
        whole.append(full)
    return whole


def _turned_alike(
    rows: list[list[int]], points: NDArray[np.float64], wet: NDArray[np.float64]
) -> list[list[int]]:
    turned = list(rows)
    if normal_of(points[turned[0]]) @ wet < 0:
        turned[0] = turned[0][::-1]
    users: dict[tuple[int, int], list[int]] = {}
    for number, row in enumerate(rows):
        for start, end in zip(row, row[1:] + row[:1], strict=True):
            users.setdefault((min(start, end), max(start, end)), []).append(number)
    done, queue = {0}, deque([0])
    while queue:
        here = queue.popleft()
        edges = set(zip(turned[here], turned[here][1:] + turned[here][:1], strict=True))
        beside = {other for a, b in edges for other in users[min(a, b), max(a, b)]}
        for other in sorted(beside - done):
            if edges & set(zip(turned[other], turned[other][1:] + turned[other][:1], strict=True)):
                turned[other] = turned[other][::-1]
            done.add(other)
            queue.append(other)
    if len(done) < len(rows):
        raise ValueError("the facets of a sheet must hang together")
    return turned


def _shows_its_back(
    rows: list[list[int]], points: NDArray[np.float64], wet: NDArray[np.float64]
) -> bool:
    """Whether all facets together look down and away: a first one square to `wet`, or of another face
    of the stack, is no sure sign."""
    corners = points.tolist()
    x = y = z = 0.0
    for row in rows:
        for a, b in pairwise([*row, row[0]]):
            (ax, ay, az), (bx, by, bz) = corners[a], corners[b]
            x += ay * bz - az * by
            y += az * bx - ax * bz
            z += ax * by - ay * bx
    return bool(np.array([x, y, z]) @ (wet / np.linalg.norm(wet) + np.array([0.0, 0.0, 1.0])) < 0)


def _cut(row: tuple[int, ...], points: NDArray[np.float64]) -> list[tuple[int, int, int]]:
    if len(row) == 3:
        return [(row[0], row[1], row[2])]
    if len(row) == 4 and _convex(points[list(row)]):
        return [(row[0], row[1], row[2]), (row[0], row[2], row[3])]
    flat = in_plane(points[list(row)])
    number = {tuple(corner): index for corner, index in zip(flat.tolist(), row, strict=True)}
    found = []
    for triangle in shapely.constrained_delaunay_triangles(shapely.Polygon(flat)).geoms:
        ring = [number[corner] for corner in triangle.exterior.coords[:3]]
        found.append((ring[0], ring[1], ring[2]) if triangle.exterior.is_ccw else tuple(ring[::-1]))
    place = dict(zip(row, flat, strict=True))
    return sorted(_smallest_first(tri) for tri in _without_slivers(found, place))


def _without_slivers(
    found: list[tuple[int, ...]], place: dict[int, NDArray[np.float64]]
) -> list[tuple[int, ...]]:
    """Turn the longest edge of any triangle with no height: a point on a straight edge, off by rounding."""
    for _ in range(len(found)):
        thin = next((tri for tri in found if _height(tri, place) < SAME_POINT * 100), None)
        if thin is None:
            return found
        tip = min(range(3), key=lambda i: -np.hypot(*(place[thin[i - 1]] - place[thin[i - 2]])))
        # Wound (apex, a, b): its long edge a-b is shared with the triangle that is wound (b, a, far).
        apex, a, b = thin[tip], thin[tip - 2], thin[tip - 1]
        other = next(tri for tri in found if tri is not thin and a in tri and b in tri)
        far = next(point for point in other if point not in (a, b))
        found = [tri for tri in found if tri is not thin and tri is not other]
        found += [(apex, a, far), (apex, far, b)]
    return found


def _height(tri: tuple[int, ...], place: dict[int, NDArray[np.float64]]) -> float:
    a, b, c = (place[point] for point in tri)
    double = abs((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0])
    return double / max(np.hypot(*(b - a)), np.hypot(*(c - b)), np.hypot(*(a - c)))


def _smallest_first(tri: tuple[int, ...]) -> tuple[int, int, int]:
    at = tri.index(min(tri))
    return tri[at], tri[at - 2], tri[at - 1]


def _convex(corners: NDArray[np.float64]) -> bool:
    """Whether a flat polygon (k, 3) turns the same way at each corner, nowhere hardly at all."""
    nx, ny, nz = normal_of(corners).tolist()
    places = corners.tolist()
    edges = [(b[0] - a[0], b[1] - a[1], b[2] - a[2]) for a, b in pairwise([*places, *places[:2]])]
    return all(
        nx * (ay * bz - az * by) + ny * (az * bx - ax * bz) + nz * (ax * by - ay * bx) > FLAT
        for (ax, ay, az), (bx, by, bz) in pairwise(edges)
    )
