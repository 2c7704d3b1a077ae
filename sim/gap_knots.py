"""Lines drawn together where their ends all but meet, so that no sliver is cut between them."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from sim.nearby import leaders, pairs_within

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

COPLANAR = 1e-9
"""Points farther than this off a plane lie in another [m]; and faces whose normals differ by more."""


def knotted(
    host: Ints, part: NDArray[np.integer], normal: Floats, line: Floats, reach: float
) -> tuple[Ints, Floats]:
    """Lines with ends that lie within `reach` [m] of each other made one, and cut where others end.

    host (k,): the face that each line lies in, in order; part (k,) and normal (k, 3): that
    face's part and unit normal; line (k, 2, 3) [m]. Points of one part and plane are drawn to the
    first of them, and a line that passes within reach of another's end goes through it. Returns the
    face (j,) and the ends (j, 2, 3) of the lines that are left.
    """
    spots = line.reshape(-1, 3)
    near = pairs_within(spots, reach)
    a, b = near.T
    owner, up = np.repeat(part, 2), np.repeat(normal, 2, axis=0)
    alike = (owner[a] == owner[b]) & ((up[a] * up[b]).sum(axis=1) > 1 - COPLANAR)
    alike &= np.abs((up[a] * (spots[b] - spots[a])).sum(axis=1)) < COPLANAR
    lead = leaders(len(spots), near[alike])
    # Through a chain of points a leader may be far off: such a point stays.
    close = np.linalg.norm(spots - spots[lead], axis=1) <= reach
    spots = np.where(close[:, None], spots[lead], spots)
    line = spots.reshape(-1, 2, 3)
    row, share, point = _passed(host, line, reach)
    rows = np.concatenate([np.tile(np.arange(len(host)), 2), row])
    at = np.concatenate([np.zeros(len(host)), np.ones(len(host)), share])
    points = np.concatenate([line[:, 0], line[:, 1], point])
    order = np.lexsort((at, rows))
    rows, points = rows[order], points[order]
    first = np.flatnonzero((rows[1:] == rows[:-1]) & (points[1:] != points[:-1]).any(axis=1))
    cut = np.stack([points[first], points[first + 1]], axis=1)
    return host[rows[first]], cut


def _passed(host: Ints, line: Floats, reach: float) -> tuple[Ints, Floats, Floats]:
    """Lines (row (j,)) that pass ends of others in their face: share (j,) and that end (j, 3)."""
    row, end, other = _side_by_side(host, line, reach)
    point = line[other, end]
    start, way = line[row, 0], line[row, 1] - line[row, 0]
    size = (way**2).sum(axis=1)
    share = ((point - start) * way).sum(axis=1) / np.where(size > 0, size, 1.0)
    off = np.linalg.norm(point - start - share[:, None] * way, axis=1)
    inner = (share > 0) & (share < 1) & (off <= reach)
    for own in (0, 1):
        inner &= (point != line[row, own]).any(axis=1)
    return row[inner], share[inner], point[inner]


def _side_by_side(host: Ints, line: Floats, reach: float) -> tuple[Ints, Ints, Ints]:
    """Lines (n,) and the ends (n,) of others (n,) in the same face that come within their bounds in
    plan and `reach` [m]; by ends, then by lines, then by the others."""
    low, high = line.min(axis=1) - reach, line.max(axis=1) + reach
    tree = shapely.STRtree(shapely.points(line[:, :, :2].reshape(-1, 2)))
    row, spot = tree.query(shapely.box(*low[:, :2].T, *high[:, :2].T))
    other, end = np.divmod(spot, 2)
    same = host[row] == host[other]
    row, end, other = row[same], end[same], other[same]
    order = np.lexsort((other, row, end))
    return row[order], end[order], other[order]
