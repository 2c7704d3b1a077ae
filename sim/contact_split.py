"""Cut one triangle along lines that lie in it, into triangles that keep every line as edges."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from itertools import chain, pairwise
from math import dist, sqrt

import numpy as np
import shapely
from numpy.typing import NDArray

from sim.contact_chords import Flat, Triangle, cut_by_chords, few_triangles, twice
from sim.nearby import leaders
from sim.tolerances import DEGENERATE, TOUCH

Line = tuple[Flat, Flat]

SPILT = 1e-3
"""Share of a triangle's area by which its pieces may differ from it: ends of lines stick out of it."""


REMEMBERED = 8192
"""Triangles whose pieces are kept: those of some ten stacks. Whoever tries one detail after another meets
most of them again, for a change of one sheet leaves the rest of the roof where it was."""


def split(
    vertices: Sequence[NDArray[np.float64]],
    normal: NDArray[np.float64],
    ring: Sequence[int],
    lines: Iterable[tuple[int, int]],
    add: Callable[[NDArray[np.float64]], int],
) -> list[tuple[int, int, int]]:
    """Triangles of vertex numbers that fill a triangle and keep its lines; none if it has no area.

    vertices: places [m]; normal (3,) of the triangle; ring: its corners and the points on its
    border, in order; lines: pairs of points that lie in it; add: makes a new vertex where lines
    cross. Where lines are so tangled, within the stand-off, that their pieces don't fill the triangle,
    it keeps the points on its border only.
    """
    inner = sorted(lines)
    used = list(dict.fromkeys([*ring, *chain.from_iterable(inner)]))
    own = {point: number for number, point in enumerate(used)}
    triangles, made = _pieces(
        np.array([vertices[point] for point in used], dtype=np.float64).tobytes(),
        np.asarray(normal, dtype=np.float64).tobytes(),
        tuple(own[point] for point in ring),
        tuple((own[a], own[b]) for a, b in inner),
    )
    numbers = [*used, *(add(place.copy()) for place in made)]
    return [(numbers[a], numbers[b], numbers[c]) for a, b, c in triangles]


@lru_cache(maxsize=REMEMBERED)
def _pieces(
    places: bytes, normal: bytes, ring: tuple[int, ...], lines: tuple[tuple[int, int], ...]
) -> tuple[tuple[tuple[int, int, int], ...], tuple[NDArray[np.float64], ...]]:
    """Triangles of numbers of the places, and the places that were made, numbered on from those."""
    vertices = np.frombuffer(places).reshape(-1, 3)
    origin, across, along = _frame(vertices, np.frombuffer(normal), ring)
    off = vertices - origin
    flat = [(float(one @ across), float(one @ along)) for one in off]
    number: dict[Flat, int] = {}
    for own, point in enumerate(flat):
        number.setdefault(point, own)
    made: list[NDArray[np.float64]] = []

    def vertex(point: Flat) -> int:
        if point not in number:
            number[point] = len(flat) + len(made)
            made.append(origin + point[0] * across + point[1] * along)
        return number[point]

    border = [(flat[a], flat[b]) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)]
    inner = [(flat[a], flat[b]) for a, b in lines]
    quick = _quickly([flat[a] for a in ring], ring, lines)
    if quick is not None:
        return tuple((vertex(a), vertex(b), vertex(c)) for a, b, c in quick), ()
    outline = shapely.Polygon([flat[a] for a in ring])
    if outline.area <= DEGENERATE * outline.length:
        return (), ()
    for kept in (inner, []):
        pieces = _filling(border, kept, outline)
        area = sum(twice(piece) for piece in pieces) / 2
        if abs(area - outline.area) <= SPILT * outline.area:
            break
    else:
        pieces = [(flat[ring[0]], flat[a], flat[b]) for a, b in pairwise(ring[1:])]
    return tuple((vertex(a), vertex(b), vertex(c)) for a, b, c in pieces), tuple(made)


def _quickly(
    corners: list[Flat], ring: Sequence[int], lines: Sequence[tuple[int, int]]
) -> list[Triangle] | None:
    """Triangles of a ring that lines cut from border to border; None where there is more to it."""
    place = {point: at for at, point in enumerate(ring)}
    if any(a not in place or b not in place for a, b in lines):
        return None
    area = sum(twice((corners[0], a, b)) for a, b in pairwise(corners[1:]))
    size = sum(dist(a, b) for a, b in pairwise([*corners, corners[0]]))
    if area <= 2 * DEGENERATE * size:
        return None
    found: list[Triangle] = []
    for polygon in cut_by_chords(corners, [(place[a], place[b]) for a, b in lines]) or ():
        pieces = few_triangles(polygon)
        if pieces is None:
            shape = shapely.Polygon(polygon)
            if len(polygon) == 4 or not shape.is_valid:
                return None
            pieces = _triangles(shape)
        found += pieces
    filled = abs(sum(twice(piece) for piece in found) - area) <= SPILT * area
    return found if filled else None


def _filling(border: list[Line], inner: list[Line], outline: shapely.Polygon) -> list[Triangle]:
    """Triangles, all turned to the left, between the lines within an outline."""
    edges = _without_loose_ends(_noded(border + inner, outline), outline)
    shapes = shapely.get_parts(shapely.polygonize(shapely.linestrings(np.array(edges))))
    # Ends of lines may stick out of the outline by less than the stand-off: that is no piece of it.
    inner_points = shapely.get_coordinates(shapely.point_on_surface(shapes))
    inner_shapes = shapes[shapely.contains_xy(outline, inner_points)]
    return [piece for shape in inner_shapes for piece in _triangles(shape)]


def _triangles(shape: shapely.Polygon) -> list[Triangle]:
    """Triangles, all turned to the left, that fill a polygon and use every corner of it.

    The library leaves out corners that lie on a straight side; they are put back by cutting the
    triangle that has that side.
    """
    corners = [(x, y) for x, y in shapely.get_coordinates(shape).tolist()]
    if len(corners) == 4:
        return [_to_the_left((corners[0], corners[1], corners[2]))]
    made = shapely.constrained_delaunay_triangles(shape).geoms
    triangles: list[Triangle] = [_to_the_left(tuple(t.exterior.coords[:3])) for t in made]
    used = {corner for triangle in triangles for corner in triangle}
    for point in sorted(set(corners) - used):
        sides = [(t, i) for t in range(len(triangles)) for i in range(3)]
        t, i = min(sides, key=lambda side: _distance(point, triangles[side[0]], side[1]))
        a, b, c = (triangles[t][(i + k) % 3] for k in range(3))
        triangles[t] = (a, point, c)
        triangles.append((point, b, c))
    return triangles


def _to_the_left(triangle: Triangle) -> Triangle:
    a, b, c = triangle
    return triangle if twice(triangle) > 0 else (c, b, a)


def _distance(point: Flat, triangle: Triangle, i: int) -> float:
    """Distance of a point from side i of a triangle."""
    a, b = triangle[i], triangle[(i + 1) % 3]
    x, y = b[0] - a[0], b[1] - a[1]
    share = ((point[0] - a[0]) * x + (point[1] - a[1]) * y) / (x * x + y * y)
    share = min(max(share, 0.0), 1.0)
    return (point[0] - a[0] - share * x) ** 2 + (point[1] - a[1] - share * y) ** 2


def _frame(
    vertices: NDArray[np.float64], normal: NDArray[np.float64], ring: Sequence[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    places = vertices.tolist()
    first = places[ring[0]]
    x, y, z = max(
        ([p - q for p, q in zip(places[point], first, strict=True)] for point in ring[1:]),
        key=lambda off: off[0] ** 2 + off[1] ** 2 + off[2] ** 2,
    )
    nx, ny, nz = normal.tolist()
    rise = x * nx + y * ny + z * nz
    x, y, z = x - rise * nx, y - rise * ny, z - rise * nz
    size = sqrt(x * x + y * y + z * z)
    x, y, z = x / size, y / size, z / size
    along = np.array([ny * z - nz * y, nz * x - nx * z, nx * y - ny * x])
    return vertices[ring[0]], np.array([x, y, z]), along


def _noded(lines: list[Line], outline: shapely.Polygon) -> list[Line]:
    """Border and lines cut where they cross, what sticks out of the outline left away, in order."""
    own = np.array([line for line in lines if line[0] != line[1]])
    parts = shapely.get_parts(shapely.union_all(shapely.linestrings(own)))
    points, part = shapely.get_coordinates(parts, return_index=True)
    ends = np.stack([points[:-1], points[1:]], axis=1)[part[:-1] == part[1:]]
    inside = shapely.dwithin(outline, shapely.points(ends.mean(axis=1)), 1e-9)
    return sorted(((a[0], a[1]), (b[0], b[1])) for a, b in ends[inside].tolist())


def _without_loose_ends(edges: list[Line], outline: shapely.Polygon) -> list[Line]:
    """Tie each loose end of a line to the nearest point that it sees, so that it bounds something.

    Points of other lines, or of the outline, come before those of its own, back to which a tie would
    only make a loop that hangs by a thread. A line whose end sees no point is left away.
    """
    if min(Counter(chain.from_iterable(edges)).values()) > 1:
        return edges
    spots = sorted(set(chain.from_iterable(edges)))
    number = {spot: row for row, spot in enumerate(spots)}
    points, ends = np.array(spots), np.array([(number[a], number[b]) for a, b in edges])
    count = np.bincount(ends.ravel(), minlength=len(points))
    loose = np.flatnonzero(count == 1).tolist()
    own_line = _line_numbers(points, ends, outline)
    while loose:
        end = loose.pop()
        if count[end] != 1:
            continue
        own = int(np.flatnonzero((ends == end).any(axis=1))[0])
        far = int(ends[own].sum()) - end
        alike = own_line == own_line[end]
        other = _seen_from(end, far, points, ends, (count > 0) & ~alike)
        if other is None:
            other = _seen_from(end, far, points, ends, count > 0)
        if other is not None:
            ends = np.vstack([ends, [end, other]])
            count[[end, other]] += 1
            continue
        ends = np.delete(ends, own, axis=0)
        count[[end, far]] -= 1
        if count[far] == 1:
            loose.append(far)
    return [((a[0], a[1]), (b[0], b[1])) for a, b in points[ends].tolist()]


def _line_numbers(
    points: NDArray[np.float64], ends: NDArray[np.integer], outline: shapely.Polygon
) -> NDArray[np.int64]:
    """Which line each point (n, 2) belongs to: one number for all that hang together off the outline,
    another for each point on it."""
    off = shapely.distance(outline.exterior, shapely.points(points)) > TOUCH
    return leaders(len(points), ends[off[ends].all(axis=1)])


def _seen_from(
    end: int,
    far: int,
    points: NDArray[np.float64],
    ends: NDArray[np.integer],
    live: NDArray[np.bool_],
) -> int | None:
    """The nearest point that a straight tie from a loose end reaches without meeting anything.

    far: the other end of its line; points (n, 2) [m], those to tie it to `live`; ends (k, 2): lines.
    """
    off = points - points[end]
    away = (off**2).sum(axis=1)
    others = np.flatnonzero(np.bincount(ends.ravel()))
    others = others[others != end]
    start, run = off[ends[:, 0]], points[ends[:, 1]] - points[ends[:, 0]]
    apart_from = (ends != end).all(axis=1)
    for other in others[np.argsort(away[others], kind="stable")].tolist():
        if not live[other]:
            continue
        way = off[other]
        rest = others[others != other]
        share = np.clip(off[rest] @ way / (way @ way), 0, 1)
        clear = ((off[rest] - share[:, None] * way) ** 2).sum(axis=1) > TOUCH**2
        if other == far or not clear.all():
            continue
        sides = _cross(way, start) * _cross(way, start + run)
        across = _cross(run, -start) * _cross(run, way - start)
        free = apart_from & (ends != other).all(axis=1)
        if ((sides > 0) | (across > 0))[free].all():
            return int(other)
    return None


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    crossed: NDArray[np.float64] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return crossed
