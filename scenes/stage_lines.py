"""The lines of a drawing, worked out by geometry: edges of sheets, and which stretch is hidden.

Hidden lines are found with exact rays towards the viewer, so a sheet 1 mm above another hides it,
which a depth buffer can't promise.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import cos, floor, radians
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FOLD_SHOWN = cos(radians(12))
"""Edges where a sheet turns by more than 12 degrees are drawn; the facets of a round flue are
not."""

SAME_POINT = 1e-7
"""Corners within 0.1 um are one corner [m]: files write single precision."""

LIFT = 3e-4
"""A point is lifted 0.3 mm towards the viewer before asking what hides it [m]: over its own sheet,
under the next one a bedding gap (0.5 mm or more) above."""


class FirstHit(Protocol):
    """What this module asks of a ray caster: the contract of sim.cast.Caster."""

    def first_hit(
        self, origins: Floats, directions: Floats, max_distance: float = ...
    ) -> tuple[Floats, NDArray[np.int32]]:
        """(n, 3) [m], (n, 3) unit -> t (n,) [m], face (n,), -1 for none."""


def edges(triangles: Floats, towards: Floats) -> tuple[Floats, Floats]:
    """Rims (n, 2, 3) and folds (m, 2, 3) [m] of triangles (k, 3, 3), seen from `towards`: (3,) for all, or
    (k, 3), one a triangle.

    A rim belongs to one face, or is an outline where the sheet turns away from the viewer; a fold
    lies between two faces that differ by more than 12 degrees.
    """
    keys = np.round(triangles.reshape(-1, 3) / SAME_POINT).astype(np.int64)
    _, corner = np.unique(keys, axis=0, return_inverse=True)
    corner = corner.reshape(-1, 3)
    points = np.empty((corner.max() + 1, 3))
    points[corner.ravel()] = triangles.reshape(-1, 3)
    solid = (corner != np.roll(corner, 1, axis=1)).all(axis=1)
    corner, normals = corner[solid], unit_normals(triangles[solid])
    sides = [corner[:, [0, 1]], corner[:, [1, 2]], corner[:, [2, 0]]]
    pairs = np.sort(np.concatenate(sides), axis=1)
    order = np.lexsort((pairs[:, 1], pairs[:, 0]))
    pairs, face = pairs[order], np.tile(np.arange(len(corner)), 3)[order]
    first = np.flatnonzero(np.concatenate([[True], (pairs[1:] != pairs[:-1]).any(axis=1)]))
    count = np.diff(np.append(first, len(pairs)))
    lines = points[pairs[first]]
    double = np.flatnonzero(count == 2)
    one, two = face[first[double]], face[first[double] + 1]
    turn = np.einsum("ij,ij->i", normals[one], normals[two])
    if towards.ndim == 1:
        outline = (normals[one] @ towards > 0) != (normals[two] @ towards > 0)
    else:
        facing = (normals * towards[solid]).sum(axis=1) > 0
        outline = facing[one] != facing[two]
    rim, fold = count != 2, np.zeros(len(first), dtype=bool)
    bent = turn < FOLD_SHOWN
    fold[double] = bent
    rim[double] = outline & ~bent & (turn < 1 - 1e-9)
    return lines[rim], lines[fold]


def unit_normals(triangles: Floats) -> Floats:
    """(n, 3) unit normals by the right-hand rule; nil for a triangle without area."""
    cross = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    return np.divide(cross, length, out=np.zeros_like(cross), where=length > 0)


def resample(line: Floats, step: float) -> Floats:
    """The polyline (k, 3), k >= 2, with points added so that no stretch is longer than `step`
    [m]."""
    lengths = np.linalg.norm(np.diff(line, axis=0), axis=1)
    parts = np.maximum(np.ceil(lengths / step).astype(np.int64), 1)
    start = np.repeat(line[:-1], parts, axis=0)
    run = np.repeat(np.diff(line, axis=0), parts, axis=0)
    rank = np.arange(parts.sum()) - np.repeat(np.cumsum(parts) - parts, parts)
    share = (rank / np.repeat(parts, parts))[:, None]
    return np.concatenate([start + run * share, line[-1:]])


def hidden(
    points: Floats, towards: Floats, caster: FirstHit, eye: Floats | None = None
) -> NDArray[np.bool_]:
    """(n,) whether something stands between each point (n, 3) [m] and the viewer.

    towards: unit, (3,) for all, or (n, 3), one a point; eye (3,) [m]: behind it nothing hides; None: the
    viewer is infinitely far.
    """
    if len(points) == 0:
        return np.zeros(0, dtype=bool)
    rays = np.broadcast_to(towards, points.shape).copy()
    away, face = caster.first_hit(points + LIFT * towards, rays)
    if eye is None:
        return np.asarray(face >= 0)
    return np.asarray((face >= 0) & (away < np.linalg.norm(eye - points, axis=1)))


def seen_and_hidden(
    lines: list[Floats], is_hidden: Callable[[Floats], NDArray[np.bool_]], step: float
) -> list[tuple[Floats, NDArray[np.bool_]]]:
    """Each polyline resampled to `step` [m], with (k - 1,) whether each stretch is seen; is_hidden: of
    points (n, 3) [m]."""
    fine = [resample(line, step) for line in lines]
    if not fine:
        return []
    middles = np.concatenate([(line[1:] + line[:-1]) / 2 for line in fine])
    covered = is_hidden(middles)
    cuts = np.cumsum([len(line) - 1 for line in fine])[:-1]
    return [(line, ~part) for line, part in zip(fine, np.split(covered, cuts), strict=True)]


def dashes(pixels: Floats, on: float, off: float) -> list[Floats]:
    """Cut a polyline (k, 2) [pixels] into dashes `on` long and `off` apart.

    Where a dash begins hangs on the place alone, not on where the polyline begins: lines that run
    into each other keep one pattern, instead of filling each other's breaks.
    """
    rows = []
    for here, there in pairwise(pixels):
        along = there - here
        length = float(np.hypot(*along))
        if length == 0.0:
            continue
        along = along / length
        if tuple(along) < (0.0, 0.0):
            here, there, along = there, here, -along
        first = float(here @ along)
        for number in range(floor(first / (on + off)), floor((first + length) / (on + off)) + 1):
            start = max(number * (on + off) - first, 0.0)
            stop = min(number * (on + off) + on - first, length)
            if start < stop:
                rows.append(np.array([here + start * along, here + stop * along]))
    return rows
