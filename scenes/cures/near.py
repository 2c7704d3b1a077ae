"""Whether a change touches the way that a leak's water takes: only such changes are worth a trial."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role

Floats = NDArray[np.float64]

NEAR = 0.050
"""How far from the water's way a sheet may lie that is changed, to matter [m]: more than any gap that
water goes through, less than a piece is broad."""
MOVED = 2e-4
"""A surface whose place nearest to a point of the way shifts by more is changed [m]."""
ALIKE = 6
"""Decimals [m] to which two triangles are one."""
MOST_POINTS = 100
"""Points of a way that are asked about, evenly spread."""


def touches(was: Assembly, now: Assembly, way: Floats, *, grown: bool = False) -> bool:
    """Whether any part but the inside lies otherwise near the points (n, 3) [m] of a way.

    grown: whether a part that only reaches further past those points counts too, as it does where they
    are the edge of a lap.
    """
    points = way[np.linspace(0, len(way) - 1, min(len(way), MOST_POINTS)).round().astype(int)]
    before, after = ({part.name: part for part in one} for one in (was, now))
    for name in sorted(before.keys() | after.keys()):
        first, second = before.get(name), after.get(name)
        if Role.INSIDE in [part.role for part in (first, second) if part is not None]:
            continue
        one, two = _corners(first), _corners(second)
        asked = points[_within(points, _only_in(one, two)) | _within(points, _only_in(two, one))]
        if grown and len(asked):
            return True
        for point in asked:
            here, there = _nearest(one, point), _nearest(two, point)
            close = min(np.linalg.norm(place - point) for place in (here, there))
            if close < NEAR and not np.linalg.norm(here - there) <= MOVED:
                return True
    return False


def _corners(part: Part | None) -> Floats:
    """The triangles (n, 3, 3) of a part; none of no part."""
    return np.zeros((0, 3, 3)) if part is None else part.vertices[part.faces]


def _only_in(some: Floats, others: Floats) -> Floats:
    """Those of some triangles that are not among others."""
    known = {row.tobytes() for row in np.round(others, ALIKE) + 0.0}
    new = [row.tobytes() not in known for row in np.round(some, ALIKE) + 0.0]
    return some[np.array(new, dtype=bool)]


def _within(points: Floats, triangles: Floats) -> NDArray[np.bool_]:
    """Which points (n, 3) lie within NEAR of the box round any of some triangles."""
    if not len(triangles):
        return np.zeros(len(points), dtype=bool)
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    off = np.maximum(low - points[:, None], points[:, None] - high).clip(0)
    return (np.linalg.norm(off, axis=2) < NEAR).any(axis=1)


def _nearest(triangles: Floats, point: Floats) -> Floats:
    """The place (3,) on some triangles nearest to a point (3,); infinitely far on none."""
    if not len(triangles):
        return np.full(3, np.inf)
    from trimesh.triangles import closest_point

    # Only triangles whose own box comes near can hold the nearest place within reach.
    off = np.maximum(triangles.min(axis=1) - point, point - triangles.max(axis=1)).clip(0)
    away = np.linalg.norm(off, axis=1)
    some = triangles[away <= max(float(away.min()), NEAR)]
    places = closest_point(some, np.repeat(point[None], len(some), axis=0))
    found: Floats = places[np.linalg.norm(places - point, axis=1).argmin()]
    return found
