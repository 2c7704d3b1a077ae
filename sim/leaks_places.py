"""Which ways in are one leak: what a roofer would call one place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.leaks_table import CELL, FEW, ONE_LEAK, STRAY
from sim.nearby import groups, nearest, pairs_within

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NO_RUN = -1
"""Run of a way in that lies along no edge."""


def one_place(key: Ints, run: Ints, point: Floats) -> Ints:
    """Number of the place (n,): ways in with one key (n, k) that lie along one run of edge (n,), or
    near each other; point (n, 3) [m]."""
    cell = np.floor(point / CELL).astype(np.int64)
    table, node = np.unique(np.column_stack([key, run, cell]), axis=0, return_inverse=True)
    width = key.shape[1]
    near = pairs_within((table[:, width + 1 :] + 0.5) * CELL, ONE_LEAK)
    alike = (table[near[:, 0], :width] == table[near[:, 1], :width]).all(axis=1)
    follows = (table[1:, : width + 1] == table[:-1, : width + 1]).all(axis=1) & (
        table[1:, width] != NO_RUN
    )
    after = np.flatnonzero(follows)
    pairs = np.concatenate([near[alike], np.column_stack([after, after + 1])])
    return groups(len(table), pairs)[node.reshape(-1)]


def gathered(place: Ints, key: Ints, point: Floats) -> Ints:
    """Number of the leak (n,): places and the stragglers beside them.

    place (n,): number of the place; key (n, 3): cause and two parts, -1 for no part. A place joins
    the nearest larger one within STRAY of it: when both have one key, or when it has but a FEW of the
    other's drops and one of its parts, or no parts.
    """
    count = np.bincount(place)
    points = [point[place == number] for number in range(len(count))]
    low, high = (np.array([f(p, axis=0) for p in points]) for f in (np.min, np.max))
    one = np.unique(place, return_index=True)[1]
    ties = []
    for small in np.argsort(count, kind="stable").tolist():
        parts = set(key[one[small], 1:].tolist()) - {-1}
        best = (STRAY, -1)
        larger = (count > count[small]) | (
            (count == count[small]) & (np.arange(len(count)) < small)
        )
        gap = np.maximum(low - high[small], low[small] - high).max(axis=1)
        for big in np.flatnonzero(larger & (gap <= STRAY)).tolist():
            alike = bool((key[one[big]] == key[one[small]]).all())
            strays = count[small] <= FEW * count[big]
            strays &= not parts or not parts.isdisjoint(key[one[big], 1:].tolist())
            if alike or strays:
                away, _ = nearest(points[big], points[small])
                best = min(best, (float(away.min()), big))
        if best[1] >= 0:
            ties.append((small, best[1]))
    return groups(len(count), np.array(ties, dtype=np.int64).reshape(-1, 2))[place]
