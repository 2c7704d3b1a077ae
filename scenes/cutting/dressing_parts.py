"""Underlay and covering for a picture of the step at which they go on: what of them lies near the pieces."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.parts import Part, Role
from meshes.sheet import Facets, normal_of

ROUND: Final = 0.10
"""So far round them underlay and covering are shown [m]."""
UPWARDS: Final = 0.1
"""Of a face's normal, of one that is seen from above [1]."""
SPECK: Final = 1e-5
"""Less of a face is not shown, nor does it count as lying over a piece [m2]."""

Floats = NDArray[np.float64]


def near_the_pieces(part: Part, pieces: Sequence[Part]) -> Facets | None:
    """What of a part is shown: of the covering what lies over a piece, of others what lies over all of
    them, and a little round that. None where nothing is."""
    faces = [part.vertices[list(face)] for face in part.faces.tolist()]
    faces = [corners for corners in faces if _up(corners) > UPWARDS]
    if part.role is Role.COVERING:
        region = _over(faces, pieces).buffer(ROUND, join_style="mitre")
    else:
        region = _box(pieces)
    shown = [some for corners in faces for some in _clipped(corners, region)]
    if not shown:
        return None
    sizes = np.cumsum([0, *(len(corners) for corners in shown)]).tolist()
    rows = tuple(tuple(range(a, b)) for a, b in pairwise(sizes))
    return Facets(np.vstack(shown), rows, (part.name,) * len(rows))


def _up(corners: Floats) -> float:
    across = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    size = float(np.linalg.norm(across))
    return float(across[2]) / size if size > 0 else 0.0


def _box(pieces: Sequence[Part]) -> shapely.Polygon:
    """Round the pieces in plan, with room."""
    points = np.vstack([one.vertices[:, :2] for one in pieces])
    return shapely.box(*(points.min(axis=0) - ROUND), *(points.max(axis=0) + ROUND))


def _over(faces: Sequence[Floats], pieces: Sequence[Part]) -> shapely.Geometry:
    """Where in plan a piece lies under one of the faces."""
    below = [one.vertices[list(face)] for one in pieces for face in one.faces.tolist()]
    below = [corners for corners in below if abs(_up(corners)) > UPWARDS]
    plans = [shapely.Polygon(corners[:, :2]) for corners in below]
    tree = shapely.STRtree(plans)
    found = []
    for corners in faces:
        plan = shapely.Polygon(corners[:, :2])
        for at in tree.query(plan, predicate="intersects").tolist():
            both = plan.intersection(plans[at])
            if both.area > SPECK:
                point = both.representative_point()
                if _height(corners, point) > _height(below[at], point):
                    found.append(both)
    return shapely.union_all(found)


def _clipped(corners: Floats, region: shapely.Geometry) -> list[Floats]:
    """What of a face lies within a region in plan."""
    parts = shapely.get_parts(shapely.intersection(shapely.Polygon(corners[:, :2]), region))
    rings = [
        shapely.get_coordinates(shapely.geometry.polygon.orient(one).exterior)[:-1]
        for one in parts
        if one.geom_type == "Polygon" and one.area > SPECK
    ]
    return [
        np.array([(x, y, _height(corners, shapely.Point(x, y))) for x, y in ring.tolist()])
        for ring in rings
    ]


def _height(corners: Floats, point: shapely.Point) -> float:
    """Of a face's plane over a point in plan [m]."""
    normal = normal_of(corners)
    off = np.array([point.x, point.y]) - corners[0, :2]
    return float(corners[0, 2] - off @ normal[:2] / normal[2])
