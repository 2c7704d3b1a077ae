"""Cut one triangle along lines that lie in it, into triangles that keep every line as edges."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from sim.errors import TraceError
from sim.tolerances import TOUCH

Flat = tuple[float, float]


def split(
    vertices: Sequence[NDArray[np.float64]],
    normal: NDArray[np.float64],
    ring: Sequence[int],
    lines: Iterable[tuple[int, int]],
    add: Callable[[NDArray[np.float64]], int],
) -> list[tuple[int, int, int]]:
    """Triangles of vertex numbers that fill a triangle and keep its lines.

    vertices: places [m]; normal (3,) of the triangle; ring: its corners and the points on its
    border, in order; lines: pairs of points that lie in it; add: makes a new vertex where lines
    cross. Raises TraceError if the pieces don't fill the triangle.
    """
    origin, across, along = _frame(vertices, normal, ring)
    place: dict[int, Flat] = {}
    number: dict[Flat, int] = {}

    def flat(point: int) -> Flat:
        if point not in place:
            off = vertices[point] - origin
            place[point] = (float(off @ across), float(off @ along))
            number.setdefault(place[point], point)
        return place[point]

    border = [(flat(a), flat(b)) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    inner = [(flat(a), flat(b)) for a, b in sorted(lines)]
    outline = shapely.Polygon([flat(a) for a in ring])
    edges = _noded(border + inner, outline)
    edges = _without_loose_ends(edges)
    triangles: list[tuple[int, int, int]] = []
    area = 0.0

    def vertex(point: Flat) -> int:
        if point not in number:
            number[point] = add(origin + point[0] * across + point[1] * along)
        return number[point]

    shapes = shapely.polygonize([shapely.LineString(edge) for edge in edges])
    for shape in shapes.geoms:
        # Ends of lines may stick out of the outline by less than the stand-off: that is no piece of it.
        if not outline.contains(shape.representative_point()):
            continue
        for a, b, c in _triangles(shape):
            twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
            area += abs(twice) / 2
            ends = (vertex(a), vertex(b), vertex(c))
            triangles.append(ends if twice > 0 else (ends[2], ends[1], ends[0]))
    if abs(area - outline.area) > 1e-3 * outline.area:
        raise TraceError(f"pieces of a face must fill it. Got {area:g} of {outline.area:g} m2")
    return triangles


def _triangles(shape: shapely.Polygon) -> list[tuple[Flat, Flat, Flat]]:
    """Triangles that fill a polygon and use every corner of it.

    The library leaves out corners that lie on a straight side; they are put back by cutting the
    triangle that has that side.
    """
    made = shapely.constrained_delaunay_triangles(shape).geoms
    triangles: list[tuple[Flat, Flat, Flat]] = [tuple(t.exterior.coords[:3]) for t in made]
    used = {corner for triangle in triangles for corner in triangle}
    for point in sorted({(x, y) for x, y in shapely.get_coordinates(shape).tolist()} - used):
        sides = [(t, i) for t in range(len(triangles)) for i in range(3)]
        t, i = min(sides, key=lambda side: _distance(point, triangles[side[0]], side[1]))
        a, b, c = (triangles[t][(i + k) % 3] for k in range(3))
        triangles[t] = (a, point, c)
        triangles.append((point, b, c))
    return triangles


def _distance(point: Flat, triangle: tuple[Flat, Flat, Flat], i: int) -> float:
    """Distance of a point from side i of a triangle."""
    a, b = triangle[i], triangle[(i + 1) % 3]
    x, y = b[0] - a[0], b[1] - a[1]
    share = ((point[0] - a[0]) * x + (point[1] - a[1]) * y) / (x * x + y * y)
    share = min(max(share, 0.0), 1.0)
    return (point[0] - a[0] - share * x) ** 2 + (point[1] - a[1] - share * y) ** 2


def _frame(
    vertices: Sequence[NDArray[np.float64]], normal: NDArray[np.float64], ring: Sequence[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    origin = vertices[ring[0]]
    far = max(ring[1:], key=lambda p: float(np.linalg.norm(vertices[p] - origin)))
    across = vertices[far] - origin
    across = across - (across @ normal) * normal
    across = across / np.linalg.norm(across)
    return origin, across, np.cross(normal, across)


def _noded(lines: list[tuple[Flat, Flat]], outline: shapely.Polygon) -> list[tuple[Flat, Flat]]:
    """Border and lines cut where they cross, what sticks out of the outline left away."""
    whole = shapely.union_all([shapely.LineString(line) for line in lines if line[0] != line[1]])
    grown = outline.buffer(1e-9)
    edges = []
    for part in shapely.get_parts(whole):
        points = list(part.coords)
        for a, b in pairwise(points):
            middle = shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            if grown.intersects(middle):
                edges.append((a, b))
    return sorted(edges)


def _without_loose_ends(edges: list[tuple[Flat, Flat]]) -> list[tuple[Flat, Flat]]:
    """Tie each loose end of a line to the nearest point that it sees, so that it bounds something."""
    tied = list(edges)
    while True:
        count: dict[Flat, int] = {}
        for edge in tied:
            for end in edge:
                count[end] = count.get(end, 0) + 1
        loose = sorted(end for end, times in count.items() if times == 1)
        if not loose:
            return tied
        end = loose[0]
        lines = shapely.union_all([shapely.LineString(edge) for edge in tied])
        own = {a if b == end else b for a, b in tied if end in (a, b)}
        others = [p for p in count if p != end and p not in own]
        for other in sorted(others, key=lambda p: ((p[0] - end[0]) ** 2 + (p[1] - end[1]) ** 2, p)):
            tie = shapely.LineString([end, other])
            ways = [p for p in count if p not in (end, other)]
            passes = shapely.dwithin(shapely.points(ways), tie, TOUCH) if ways else np.zeros(0)
            meets = shapely.get_num_geometries(shapely.intersection(tie, lines))
            if not passes.any() and meets == 2:
                tied.append((end, other))
                break
        else:
            raise TraceError(f"a loose end of a contact must see another point. Got {end}")
