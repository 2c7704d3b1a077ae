"""Shares of the water that landed, and how sure they are."""

from __future__ import annotations

from math import fsum, sqrt

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def evenly(count: int, most: int) -> NDArray[np.int64]:
    """Rows of 0 to count, at most so many, evenly spread."""
    return np.arange(count) if count <= most else np.arange(most) * count // most


def share_of(flow: Floats, chosen: Flags) -> tuple[float, float]:
    """Share of the flow that the chosen drops carry, 0 to 1, and its standard error.

    flow (n,) of each drop, 0 or more, with a sum above 0; chosen (n,) bool. The standard error is
    that of a weighted mean of yes and no: for equal flows the binomial sqrt(p (1 - p) / n)
    (Cochran, Sampling Techniques, ratio estimator; memory). Raises SceneError when there is no
    flow.
    """
    total = fsum(flow.tolist())
    require(total > 0, "flow that landed", f"{total:g} m3/s", "above 0", SceneError)
    share = fsum(flow[chosen].tolist()) / total
    off = np.where(chosen, 1.0 - share, share)
    return share, sqrt(fsum(((flow * off) ** 2).tolist())) / total
