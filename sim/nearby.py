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


def near_lines(
    points: NDArray[np.float64],
    start: NDArray[np.float64],
    stop: NDArray[np.float64],
    reach: float,
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Which straight lines and which points lie within reach of each other: their rows (j,), (j,).

    points (n, 3) [m]; start, stop (k, 3) [m]: ends of the lines; ends count as part of them.
    """
    from scipy.spatial import cKDTree  # takes long to import, and few details ask

    middle, half = (start + stop) / 2, np.linalg.norm(stop - start, axis=1) / 2
    found = cKDTree(points).query_ball_point(middle, half + reach, return_sorted=True)
    counts = np.array([len(rows) for rows in found], dtype=np.int64)
    line = np.repeat(np.arange(len(start)), counts)
    point = np.concatenate([np.zeros(0, np.int64), *(np.array(rows, np.int64) for rows in found)])
    way = (stop - start)[line]
    size = np.square(way).sum(axis=1)
    off = points[point] - start[line]
    share = np.divide((off * way).sum(axis=1), size, out=np.zeros(len(line)), where=size > 0)
    off -= np.clip(share, 0.0, 1.0)[:, None] * way
    near = np.square(off).sum(axis=1) <= reach**2
    return line[near], point[near]


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
