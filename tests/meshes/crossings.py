"""Where edges of one mesh pass through triangles of another, and how far points are from a mesh.

Brute force in numpy on purpose: it shares nothing with the ray caster of `sim`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part


def edges_of(part: Part) -> NDArray[np.int64]:
    """Every edge of a mesh once: (k, 2) rows of its vertices."""
    f = part.faces
    return np.unique(np.sort(np.vstack([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 0]]]), axis=1), axis=0)


def crossings(
    starts: NDArray[np.float64], ends: NDArray[np.float64], triangles: NDArray[np.float64]
) -> list[tuple[int, int]]:
    """(segment, triangle) pairs that meet, ends and borders included (Moeller and Trumbore, 1997)."""
    corners = [triangles[:, k] for k in range(3)]
    segment, triangle = _near(starts, ends, triangles)
    v0, e1, e2 = (
        corners[0][triangle],
        *(each[triangle] - corners[0][triangle] for each in corners[1:]),
    )
    along, offset = ends[segment] - starts[segment], starts[segment] - v0
    across = np.cross(along, e2)
    det = (across * e1).sum(axis=1)
    size = np.linalg.norm(np.cross(e1, e2), axis=1) * np.linalg.norm(along, axis=1)
    steep = np.abs(det) > 1e-12 * size
    det = np.where(steep, det, 1.0)
    u = (offset * across).sum(axis=1) / det
    turned = np.cross(offset, e1)
    v = (along * turned).sum(axis=1) / det
    t = (turned * e2).sum(axis=1) / det
    meets = steep & (u > -1e-9) & (v > -1e-9) & (u + v < 1 + 1e-9) & (t > -1e-9) & (t < 1 + 1e-9)
    return list(zip(segment[meets].tolist(), triangle[meets].tolist(), strict=True))


def _near(
    starts: NDArray[np.float64], ends: NDArray[np.float64], triangles: NDArray[np.float64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Segments and triangles whose bounds overlap, one pair a place."""
    low, high = np.minimum(starts, ends), np.maximum(starts, ends)
    least, most = triangles.min(axis=1) - 1e-9, triangles.max(axis=1) + 1e-9
    rows = np.flatnonzero(
        (low <= most.max(axis=0)).all(axis=1) & (high >= least.min(axis=0)).all(axis=1)
    )
    near = np.ones((len(rows), len(triangles)), dtype=bool)
    for axis in range(3):
        near &= low[rows, axis, None] <= most[None, :, axis]
        near &= high[rows, axis, None] >= least[None, :, axis]
    segment, triangle = np.nonzero(near)
    return rows[segment], triangle


def cuts(assembly: Assembly) -> set[tuple[str, str]]:
    """Pairs of part names of which the first's edges pass through the second."""
    found = set()
    for part in assembly:
        edges = edges_of(part)
        starts, ends = part.vertices[edges[:, 0]], part.vertices[edges[:, 1]]
        for other in assembly:
            if other is not part and crossings(starts, ends, other.vertices[other.faces]):
                found.add((part.name, other.name))
    return found


def cuts_itself(part: Part) -> bool:
    """Whether an edge passes through a triangle of the same mesh with which it shares no corner."""
    edges = edges_of(part)
    met = crossings(
        part.vertices[edges[:, 0]], part.vertices[edges[:, 1]], part.vertices[part.faces]
    )
    return any(not set(edges[edge]) & set(part.faces[face]) for edge, face in met)


def distances(points: NDArray[np.float64], part: Part) -> NDArray[np.float64]:
    """Distance [m] of each point to a mesh: to its faces where the foot lies within, else its edges."""
    best = np.full(len(points), np.inf)
    for a, b, c in part.vertices[part.faces]:
        normal = np.cross(b - a, c - a)
        normal /= np.linalg.norm(normal)
        height = (points - a) @ normal
        foot = points - height[:, None] * normal
        within = np.ones(len(points), bool)
        for start, end in ((a, b), (b, c), (c, a)):
            along = end - start
            within &= (np.cross(along, foot - start) @ normal) >= -1e-12
            t = np.clip((points - start) @ along / (along @ along), 0, 1)
            near = np.linalg.norm(points - start - t[:, None] * along, axis=1)
            best = np.minimum(best, near)
        best = np.where(within, np.minimum(best, np.abs(height)), best)
    return best
