"""Cutting a mesh by planes: what lies within them goes, the rest stays as it was wound."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Part

ON_PLANE = 1e-7
"""Corners this near to a plane [m] lie on it: a cut just beside a corner would leave a sliver."""
LEAST_CUT = 1e-9
"""Faces of less area [m2] that a cut leaves are slivers of rounding, and go."""

Plane = tuple[NDArray[np.float64], NDArray[np.float64]]
"""A point on the plane (3,) [m] and its unit normal (3,)."""


def plane(point: Sequence[float], normal: Sequence[float]) -> Plane:
    """A plane through a point [m], square to a direction of any length above 0."""
    way = np.asarray(normal, dtype=float)
    return np.asarray(point, dtype=float), way / np.linalg.norm(way)


def between(along: NDArray[np.float64], low: float, high: float) -> list[Plane]:
    """The two planes of a slab: low <= point . along <= high [m]; along: unit (3,)."""
    return [(along * high, along), (along * low, -along)]


def split(part: Part, planes: Sequence[Plane]) -> Part:
    """The same sheet with its faces parted along every plane. Corners stay, new ones come after them."""
    vertices, faces = part.vertices, part.faces
    for one in planes:
        vertices, faces = _parted(vertices, faces, one)
    return Part(part.name, part.role, vertices, faces)


def is_within(part: Part, planes: Sequence[Plane]) -> NDArray[np.bool_]:
    """(m,) whether the middle of each face lies behind all planes, against their normals: on one is not."""
    middles = part.vertices[part.faces].mean(axis=1)
    inside = np.ones(len(middles), dtype=bool)
    for point, normal in planes:
        inside &= (middles - point) @ normal < -ON_PLANE
    return inside


def cut_away(part: Part, planes: Sequence[Plane]) -> Part | None:
    """A part without what lies behind all planes at once; None when nothing is left.

    The same part when nothing lies there. Neighbouring faces are parted alike, so no cracks open.
    """
    parted = split(part, planes)
    gone = is_within(parted, planes)
    if not gone.any():
        return part
    return kept_faces(parted, ~gone)


def kept_faces(part: Part, keep: NDArray[np.bool_]) -> Part | None:
    """A part with these faces alone; None when there are none."""
    if not keep.any():
        return None
    used, faces = np.unique(part.faces[keep], return_inverse=True)
    return Part(part.name, part.role, part.vertices[used], faces.reshape(-1, 3).astype(np.int32))


def _parted(
    vertices: NDArray[np.float64], faces: NDArray[np.int32], at: Plane
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    point, normal = at
    height = (vertices - point) @ normal
    side = np.where(height > ON_PLANE, 1, np.where(height < -ON_PLANE, -1, 0))
    crossed = (side[faces].max(axis=1) > 0) & (side[faces].min(axis=1) < 0)
    if not crossed.any():
        return vertices, faces
    fresh: dict[tuple[int, int], int] = {}
    points = list(vertices)

    def met(a: int, b: int) -> int:
        """The corner where edge a-b meets the plane: the same for both faces that share the edge."""
        low, high = min(a, b), max(a, b)
        if (low, high) not in fresh:
            share = height[low] / (height[low] - height[high])
            fresh[low, high] = len(points)
            points.append(vertices[low] + (vertices[high] - vertices[low]) * share)
        return fresh[low, high]

    found: list[tuple[int, int, int]] = []
    for number, row in enumerate(faces.tolist()):
        if not crossed[number]:
            found.append((row[0], row[1], row[2]))
            continue
        for way in (1, -1):
            ring: list[int] = []
            for a, b in zip(row, row[1:] + row[:1], strict=True):
                if side[a] != -way:
                    ring.append(a)
                if side[a] * side[b] < 0:
                    ring.append(met(a, b))
            found += [(ring[0], ring[k], ring[k + 1]) for k in range(1, len(ring) - 1)]
    array, rows = np.array(points), np.array(found, dtype=np.int32)
    a, b, c = (array[rows[:, k]] for k in range(3))
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return array, rows[area > LEAST_CUT]
