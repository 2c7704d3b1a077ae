"""Which panels of two groups may lie over each other: most don't, and that is quickly seen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

TOUCH = (
    1e-9  # [m] panels that reach so little over each other touch: of 1 m, a tenth of what counts
)

Floats = NDArray[np.float64]


def may_overlap(
    first: Sequence[Floats], second: Sequence[Floats]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs, as numbers in both sequences, of panels (k, 2) [m] that no line along one of their edges
    parts, those that lie deepest in each other first. All that lie over each other are among them."""
    low, high = _box(first)
    other_low, other_high = _box(second)
    near = (low[:, None] < other_high - TOUCH) & (other_low < high[:, None] - TOUCH)
    a, b = np.nonzero(near.all(axis=2))
    if not len(a):
        return a, b
    (one, across), (two, other_across) = _rows(first, a), _rows(second, b)
    depth = np.full(len(a), np.inf)
    for ways in (across, other_across):
        mine, theirs = (ways @ points.transpose(0, 2, 1) for points in (one, two))
        over = np.minimum(mine.max(axis=2), theirs.max(axis=2))
        over -= np.maximum(mine.min(axis=2), theirs.min(axis=2))
        depth = np.minimum(depth, over.min(axis=1))
    order = np.argsort(-depth, kind="stable")
    order = order[depth[order] > TOUCH]
    return a[order], b[order]


def _box(panels: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Lower left and upper right corners (n, 2) of the rectangles round panels."""
    sizes = np.array([len(panel) for panel in panels])
    points = np.vstack(panels)
    starts = np.cumsum(sizes) - sizes
    return np.minimum.reduceat(points, starts), np.maximum.reduceat(points, starts)


def _rows(panels: Sequence[Floats], used: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Corners of the panels that are used, and unit ways square to their edges, each (m, k, 2): those of
    fewer corners filled up with their last corner and their last edge."""
    some = [panels[at] for at in used.tolist()]
    sizes = np.array([len(panel) for panel in some])[:, None]
    points = np.vstack(some)
    starts = np.cumsum(sizes)[:, None] - sizes
    at = np.minimum(np.arange(sizes.max()), sizes - 1)
    corners = points[starts + at]
    edges = points[starts + (at + 1) % sizes] - corners
    length = np.hypot(edges[..., 0], edges[..., 1])[..., None]
    return corners, np.stack([-edges[..., 1], edges[..., 0]], axis=2) / length
