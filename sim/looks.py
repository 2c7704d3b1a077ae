"""Rays asked one after the other from many places: layer behind layer, or at the sky."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.cast import RAYS, Caster
from sim.compiled import compiled, in_one_piece
from sim.pointers import pointer
from sim.tables import hot_tree
from sim.threads import in_threads
from sim.tree import DEPTH, any_hit, first_hit

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

NEXT = 1e-6
"""How far beyond a sheet the next ray starts [m]: far under a bedding gap, far over rounding."""


def layers(
    caster: Caster, points: Floats, directions: Floats, reach: float, deep: int
) -> tuple[Floats, Ints]:
    """Distances (deep, n) [m] and faces (deep, n) that rays from points (n, 3), recentred, meet in turn
    within `reach` [m]; inf and -1 where there is no more.

    directions (n, 3) unit. The first ray starts on the point itself.
    """
    n = len(points)
    distance, face = np.full((n, deep), np.inf), np.full((n, deep), -1, dtype=np.int64)
    start, way = in_one_piece(points), in_one_piece(directions)

    def work(first: int, last: int) -> None:
        rows = slice(first * RAYS, last * RAYS)
        _layers(caster.lying, start[rows], way[rows], reach, distance[rows], face[rows])

    in_threads(work, -(-n // RAYS), None)
    return distance.T, face.T


def sees_any(caster: Caster, points: Floats, ways: Floats) -> Flags:
    """Whether from points (n, 3), recentred, nothing is in the way on at least one of the ways (k, 3)."""
    n = len(points)
    seen = np.zeros(n, dtype=np.bool_)
    start, way = in_one_piece(points), in_one_piece(ways)

    def work(first: int, last: int) -> None:
        rows = slice(first * RAYS, last * RAYS)
        _sees_any(caster.lying, start[rows], way, seen[rows])

    in_threads(work, -(-n // RAYS), None)
    return seen


@compiled
def _layers(tree, starts, ways, reach, distance, face):
    room = np.empty(DEPTH, np.int32)
    boxes, stack = hot_tree(tree), pointer(room)
    for i in range(len(starts)):
        gone = 0.0
        for layer in range(distance.shape[1]):
            t, hit, _, _ = first_hit(
                boxes, stack, starts[i, 0] + ways[i, 0] * gone, starts[i, 1] + ways[i, 1] * gone,
                starts[i, 2] + ways[i, 2] * gone, ways[i, 0], ways[i, 1], ways[i, 2], reach, -1, -1,
            )  # fmt: skip
            if hit < 0 or gone + t > reach:
                break
            distance[i, layer] = gone + t
            face[i, layer] = hit
            gone += t + NEXT
    # Named here so that it outlives the pointer to it.
    room[0] = 0


@compiled
def _sees_any(tree, starts, ways, seen):
    room = np.empty(DEPTH, np.int32)
    boxes, stack = hot_tree(tree), pointer(room)
    for i in range(len(starts)):
        for k in range(len(ways)):
            if not any_hit(
                boxes, stack, starts[i, 0], starts[i, 1], starts[i, 2],
                ways[k, 0], ways[k, 1], ways[k, 2], np.inf,
            ):  # fmt: skip
                seen[i] = True
                break
    # Named here so that it outlives the pointer to it.
    room[0] = 0
