"""Fatter triangles on the same points: diagonals of flat quadrilaterals are changed over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.tolerances import WELD

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

OFF = WELD
"""A quadrilateral is flat when no corner is farther than this from the plane of the other three [m]:
what a program rounds coordinates by."""
ALIKE = 0.999
"""And when the cosine between its two normals is over this."""
GAIN = 1e-6
"""The cotangents of the two angles across a diagonal must add up to less than minus this: then the
angles are more than half a turn together, and not by rounding."""
MOST_ROUNDS = 100


def flipped(points: Floats, faces: Ints, kind: NDArray[np.integer], normals: Floats) -> Ints:
    """The same faces (m, 3), each where it was, with diagonals that see narrow angles.

    points (n, 3) [m]; kind (m,): a diagonal is only changed between two faces of one kind in one
    plane; normals (m, 3) unit. Delaunay's criterion (angles across a diagonal add up to half a turn
    at most), by flips (Lawson 1977, memory).
    """
    faces = faces.copy()
    fresh = np.ones(len(faces), dtype=bool)
    for _ in range(MOST_ROUNDS):
        # Only what touches a fresh face along an edge can have become worth changing.
        near = _marked(faces[fresh], len(points))
        some = np.flatnonzero(near[faces].sum(axis=1) >= 2)
        first, second = _pairs(points, faces, some, kind, normals)
        # Of an edge with an end elsewhere not every face need be among those looked at.
        ends = _quads(faces, first, second)[:, :2]
        known = near[ends].all(axis=1)
        first, second = first[known], second[known]
        quad = _quads(faces, first, second)
        gain = -_cotangents(points, quad)
        rows = np.flatnonzero(gain > GAIN)
        rows = rows[_proper(points, quad[rows])]
        rows = rows[_new(faces, quad[rows], len(points))]
        if len(rows) == 0:
            break
        rows = rows[np.argsort(-gain[rows], kind="stable")]
        one, other = first[rows] // 3, second[rows] // 3
        # Each face takes part in the change that gains most; a change needs both its faces.
        best = np.full(len(faces), len(rows))
        np.minimum.at(best, np.concatenate([one, other]), np.tile(np.arange(len(rows)), 2))
        agreed = (best[one] == np.arange(len(rows))) & (best[other] == np.arange(len(rows)))
        one, other = one[agreed], other[agreed]
        a, b, c, d = quad[rows[agreed]].T
        faces[one] = np.stack([a, d, c], axis=1)
        faces[other] = np.stack([d, b, c], axis=1)
        fresh[:] = False
        fresh[one] = fresh[other] = True
    return faces


def diagonals(
    points: Floats, faces: Ints, kind: NDArray[np.integer], normals: Floats
) -> tuple[Ints, Ints]:
    """Half-edges (k,), numbered 3 face + corner opposite, on either side of each edge that
    `flipped` may change; its arguments."""
    return _pairs(points, faces, np.arange(len(faces)), kind, normals)


def _marked(some: Ints, total: int) -> NDArray[np.bool_]:
    """Which of all corners (total,) are among some."""
    mark = np.zeros(total, dtype=bool)
    mark[some] = True
    return mark


def _pairs(
    points: Floats, faces: Ints, some: Ints, kind: NDArray[np.integer], normals: Floats
) -> tuple[Ints, Ints]:
    """Half-edges (k,), numbered 3 face + corner opposite, of some faces on either side of a
    diagonal."""
    near, total = faces[some], len(points)
    half = (3 * some[:, None] + np.arange(3)).ravel()
    one, other = near[:, [1, 2, 0]].ravel(), near[:, [2, 0, 1]].ravel()
    key = np.minimum(one, other) * total + np.maximum(one, other)
    order = np.argsort(key, kind="stable")
    key = key[order]
    same = key[1:] == key[:-1]
    alone = np.ones(len(same), dtype=bool)
    alone[1:] &= ~same[:-1]
    alone[:-1] &= ~same[1:]
    start = np.flatnonzero(same & alone)
    start, after = order[start], order[start + 1]
    # A face turned over is another side of its plane.
    ok = one[start] == other[after]
    first, second = half[start[ok]], half[after[ok]]
    f, g = first // 3, second // 3
    ok = kind[f] == kind[g]
    first, second, f, g = first[ok], second[ok], f[ok], g[ok]
    tip = points[faces.ravel()[second]] - points[faces.ravel()[first]]
    off = np.maximum(np.abs((tip * normals[f]).sum(axis=1)), np.abs((tip * normals[g]).sum(axis=1)))
    ok = (off < OFF) & ((normals[f] * normals[g]).sum(axis=1) > ALIKE)
    return first[ok], second[ok]


def _quads(faces: Ints, first: Ints, second: Ints) -> Ints:
    """Corners (k, 4): the diagonal's ends as the first face goes round, its tip, the other's tip."""
    f, i = first // 3, first % 3
    tips = faces[second // 3, second % 3]
    return np.stack([faces[f, (i + 1) % 3], faces[f, (i + 2) % 3], faces[f, i], tips], axis=1)


def _cotangents(points: Floats, quad: Ints) -> Floats:
    """Sum (k,) of the cotangents of the angles at both tips."""
    a, b, c, d = (points[quad[:, i]] for i in range(4))
    total = np.zeros(len(quad))
    for tip in (c, d):
        p, q = a - tip, b - tip
        total += (p * q).sum(axis=1) / np.linalg.norm(np.cross(p, q), axis=1)
    return total


def _proper(points: Floats, quad: Ints) -> NDArray[np.bool_]:
    """Whether both new triangles have their share of the area: no less than a thousandth."""
    a, b, c, d = (points[quad[:, i]] for i in range(4))
    whole = np.cross(b - a, c - a) + np.cross(d - a, b - a)
    size = (whole**2).sum(axis=1)
    ok = np.ones(len(quad), dtype=bool)
    for p, q, r in ((a, d, c), (d, b, c)):
        ok &= (np.cross(q - p, r - p) * whole).sum(axis=1) > 1e-3 * size
    return ok


def _new(faces: Ints, quad: Ints, total: int) -> NDArray[np.bool_]:
    """Whether the other diagonal is no edge yet."""
    near = _marked(quad[:, 2:], total)
    some = faces[near[faces].sum(axis=1) >= 2]
    one, other = some.ravel(), some[:, [1, 2, 0]].ravel()
    keys = np.minimum(one, other) * total + np.maximum(one, other)
    low, high = quad[:, 2:].min(axis=1), quad[:, 2:].max(axis=1)
    return np.asarray(~np.isin(low * total + high, keys))
