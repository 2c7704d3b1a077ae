"""Shares of the water that landed, and how sure they are."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum, sqrt

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def evenly(count: int, most: int) -> NDArray[np.int64]:
    """Rows of 0 to count, at most so many, evenly spread."""
    return np.arange(count) if count <= most else np.arange(most) * count // most


@dataclass(frozen=True, slots=True, eq=False)
class Whole:
    """All the water that landed: flow (n,) of each drop, 0 or more, their sum, above 0, and the sum of
    their squares."""

    flow: Floats
    total: float
    squares: float

    @staticmethod
    def of(flow: Floats) -> Whole:
        """Raises SceneError when there is no flow."""
        total = fsum(flow.tolist())
        require(total > 0, "flow that landed", f"{total:g} m3/s", "above 0", SceneError)
        return Whole(flow, total, fsum((flow**2).tolist()))

    def share(self, chosen: Flags) -> tuple[float, float]:
        """Share of the flow that the chosen drops carry (n,) bool, 0 to 1, and its standard error.

        The standard error is that of a weighted mean of yes and no: for equal flows the binomial
        sqrt(p (1 - p) / n) (Cochran, Sampling Techniques, ratio estimator; memory).
        """
        some = self.flow[chosen]
        share = fsum(some.tolist()) / self.total
        squares = fsum((some**2).tolist())
        off = (1.0 - share) ** 2 * squares + share**2 * max(self.squares - squares, 0.0)
        return share, sqrt(off) / self.total
