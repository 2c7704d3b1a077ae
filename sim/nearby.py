"""What lies near what, and which things hang together."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.compiled import compiled

ASKEW = np.array([0.3563, 0.4789, 0.8023])
"""A direction along which points of a grid seldom share a place."""


def pairs_within(points: NDArray[np.float64], reach: float) -> NDArray[np.int64]:
    """Rows (k, 2), lower first, of points (n, 3) that lie within `reach` of each other [m]."""
    along = points @ ASKEW
    order = np.argsort(along, kind="stable")
    sorted_along = along[order]
    first = np.arange(len(points))
    found = [np.empty((0, 2), dtype=np.int64)]
    for step in range(1, len(points)):
        first = first[first + step < len(points)]
        first = first[sorted_along[first + step] - sorted_along[first] <= reach]
        if len(first) == 0:
            break
        a, b = order[first], order[first + step]
        close = np.linalg.norm(points[a] - points[b], axis=1) <= reach
        found.append(np.sort(np.stack([a, b], axis=1)[close], axis=1))
    return np.concatenate(found)


def nearest(
    points: NDArray[np.float64], queries: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Distance (n,) of the nearest of the points (k, d), k above 0, from each query (n, d), and its
    row (n,)."""
    from scipy.spatial import cKDTree  # takes long to import, and a dry detail never asks

    distance, row = cKDTree(points).query(queries)
    return distance, row.astype(np.int64)


def groups(count: int, pairs: NDArray[np.integer]) -> NDArray[np.int64]:
    """Number of the group (count,) of each row, where pairs (k, 2) tie rows, through others too.

    Groups are numbered by their lowest rows, from 0.
    """
    return np.unique(leaders(count, pairs), return_inverse=True)[1].reshape(-1).astype(np.int64)


def leaders(count: int, pairs: NDArray[np.integer]) -> NDArray[np.int64]:
    """For each of `count` rows the lowest row that pairs (k, 2) tie it to, through others too."""
    leader = np.arange(count)
    _unite(leader, np.ascontiguousarray(pairs, dtype=np.int64))
    return leader


@compiled
def _unite(leader, pairs):
    for k in range(len(pairs)):
        a, b = pairs[k, 0], pairs[k, 1]
        while leader[a] != a:
            leader[a] = leader[leader[a]]
            a = leader[a]
        while leader[b] != b:
            leader[b] = leader[leader[b]]
            b = leader[b]
        leader[max(a, b)] = min(a, b)
    for k in range(len(leader)):
        leader[k] = leader[leader[k]]  # a row's leader is never higher, and lower rows are done
