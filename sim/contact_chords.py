"""The usual cuts of a triangle, by straight lines from border to border, without any search for crossings."""

from __future__ import annotations

from collections.abc import Sequence

from sim.tolerances import TOUCH

Flat = tuple[float, float]
Ring = tuple[Flat, ...]
Triangle = tuple[Flat, Flat, Flat]


def cut_by_chords(ring: Sequence[Flat], chords: Sequence[tuple[int, int]]) -> list[Ring] | None:
    """The polygons, turned to the left, into which lines between points of a ring cut it.

    ring: at least 3 points [m], turned to the left; chords: numbers of two of its points each, nobody
    twice. None where that takes more than this: where lines cross, or run along the border or within
    TOUCH of a point that is not their end.
    """
    if len(set(ring)) < len(ring):
        return None
    polygons = [list(range(len(ring)))]
    for a, b in chords:
        holds = [number for number, own in enumerate(polygons) if a in own and b in own]
        if not holds:
            return None
        polygon = polygons[holds[0]]
        first, last = sorted((polygon.index(a), polygon.index(b)))
        one, other = polygon[first : last + 1], polygon[last:] + polygon[: first + 1]
        if len(one) == 2 or len(other) == 2:
            continue
        start, end = ring[polygon[first]], ring[polygon[last]]
        right = all(_left_of(start, end, ring[point]) < -TOUCH for point in one[1:-1])
        left = all(_left_of(start, end, ring[point]) > TOUCH for point in other[1:-1])
        if not (right and left):
            return None
        polygons[holds[0] : holds[0] + 1] = [one, other]
    return [tuple(ring[point] for point in polygon) for polygon in polygons]


def few_triangles(polygon: Ring) -> list[Triangle] | None:
    """Triangles, all turned to the left, of a polygon of 3 or 4 points [m] that is, with the diagonal of
    Delaunay's rule; None for one of more points, or where a triangle would have no area."""
    if len(polygon) == 3:
        a, b, c = polygon
        return [(a, b, c)] if twice((a, b, c)) > 0 else None
    if len(polygon) != 4:
        return None
    a, b, c, d = polygon
    halves: list[list[Triangle]] = [[(a, b, c), (a, c, d)], [(b, c, d), (b, d, a)]]
    if _within_circle(a, b, c, d) > 0:
        halves.reverse()
    for two in halves:
        if all(twice(one) > 0 for one in two):
            return two
    return None


def twice(triangle: Triangle) -> float:
    """Twice the area of a triangle, above nought when it turns to the left."""
    a, b, c = triangle
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _left_of(start: Flat, end: Flat, point: Flat) -> float:
    """How far a point lies to the left of a line [m]."""
    size = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    return twice((start, end, point)) / size


def _within_circle(a: Flat, b: Flat, c: Flat, d: Flat) -> float:
    """Above nought when d lies within the circle through a, b and c, which turn to the left."""
    rows = [(x - d[0], y - d[1]) for x, y in (a, b, c)]
    (ax, ay), (bx, by), (cx, cy) = rows
    a2, b2, c2 = (x * x + y * y for x, y in rows)
    return a2 * (bx * cy - by * cx) - b2 * (ax * cy - ay * cx) + c2 * (ax * by - ay * bx)
