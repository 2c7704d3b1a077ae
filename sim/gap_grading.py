"""Triangles that grow with the way from where pressure changes fastest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

GROWTH = 2.0
"""How much longer an edge may be for each metre that its triangle lies farther off."""


@dataclass(frozen=True, slots=True, eq=False)
class Graded:
    """Limits of edges that grow with the way from the borders of fine patches.

    graded (m,): the faces whose pieces it limits; origins: points [m] along those borders, no farther
    apart than `size`, to look up the nearest of, None for none; size [m]: the limit there.
    """

    graded: Flags
    origins: cKDTree | None
    size: float

    @staticmethod
    def of(corners: Floats, fine: Flags, graded: Flags, size: float) -> Graded:
        """Limits of the `graded` faces (m,) by the way from the `fine` ones (m,); corners (m, 3, 3)
        [m]; size [m], above 0."""
        if not (fine.any() and graded.any()):
            return Graded(graded, None, size)
        from scipy.spatial import cKDTree  # takes long to import, and few surfaces ask

        ends = corners[fine]
        start, stop = ends.reshape(-1, 3), np.roll(ends, -1, axis=1).reshape(-1, 3)
        pieces = np.ceil(np.linalg.norm(stop - start, axis=1) / size).astype(np.int64) + 1
        line = np.repeat(np.arange(len(start)), pieces)
        step = np.arange(len(line)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
        share = step / np.maximum(pieces[line] - 1, 1)
        points = start[line] + share[:, None] * (stop - start)[line]
        return Graded(graded, cKDTree(points), size)

    def __call__(self, corners: Floats, owner: NDArray[np.int64]) -> Floats:
        """Limit (n,) [m] of pieces with corners (n, 3, 3) [m] of the faces `owner` (n,); inf where
        there is none, and for what is no longer than `size`."""
        limit = np.full(len(owner), np.inf)
        if self.origins is None:
            return limit
        asked = np.flatnonzero(self.graded[owner])
        ends = corners[asked]
        longest = np.linalg.norm(ends - np.roll(ends, 1, axis=1), axis=2).max(axis=1)
        asked = asked[longest > self.size]
        way, _ = self.origins.query(corners[asked].mean(axis=1))
        limit[asked] = np.maximum(self.size, GROWTH * way)
        return limit
