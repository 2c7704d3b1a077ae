"""Gaps in a sheet itself: a split, a tear, a hole, along which two edges of one sheet run close by."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.laps_borders import HalfEdges
from sim.laps_table import STEP
from sim.leaks_table import WIDEST_GAP

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ALONG = 0.9
"""Cosine from which on two edges run along each other: the sides of a notch do not."""
TURNED = 0.8
"""Cosine between the ways into a sheet from two edges under which they are two sides of a gap: in the flat
they are opposite, in a bend at its angle; edges of two layers look the same way."""
BACK = 0.3
"""Cosine between the way into a sheet from an edge and the way to another edge, above which that lies in the
sheet's own breadth, as the raw edge of a hem does."""
NARROWEST = 5e-4
"""Edges nearer to each other than this [m] are said to touch."""
SHORTEST_SIDE = 1.5e-3
"""A piece of edge shorter than this [m] is the cut of a corner, no side of a gap."""
SLACK = 5e-4
"""Water this much farther off an edge than the gap is wide [m] still goes through that gap."""


def gap_widths(borders: HalfEdges, row: Ints, point: Floats) -> Floats:
    """Width (n,) [m] of the gap in its sheet that each water passes; nan where it passes none.

    point (n, 3) [m]: where it goes in; row (n,): the piece of border nearest to that, -1 for none. The
    least width of a gap at the point is told: at its ends it is as long as it is elsewhere wide.
    """
    width = np.full(len(row), np.inf)
    way = borders.end - borders.start
    size = np.linalg.norm(way, axis=1, keepdims=True)
    # Too short a piece runs along no other.
    along = np.where(size >= SHORTEST_SIDE, way / np.where(size > 0, size, 1.0), 0.0)
    for edge in np.unique(row[row >= 0]).tolist():
        own = np.flatnonzero(borders.part == borders.part[edge])
        away = np.linalg.norm(borders.middle[own] - borders.middle[edge], axis=1)
        here = np.flatnonzero(row == edge)
        for one in own[away < STEP].tolist():
            wide = _across(borders, along, one, own)
            if wide <= WIDEST_GAP:
                off = _off_an_edge(borders, one, point[here])
                width[here] = np.where(
                    off <= wide + SLACK, np.minimum(width[here], wide), width[here]
                )
    return np.where(np.isfinite(width), width, np.nan)


def _off_an_edge(borders: HalfEdges, edge: int, point: Floats) -> Floats:
    """Distance (n,) [m] of points (n, 3) from one piece of border."""
    start, way = borders.start[edge], borders.end[edge] - borders.start[edge]
    share = np.clip((point - start) @ way / max(float(way @ way), 1e-30), 0.0, 1.0)
    return np.asarray(np.linalg.norm(start + share[:, None] * way - point, axis=1))


def _across(borders: HalfEdges, along: Floats, edge: int, own: Ints) -> float:
    """How far [m] it is from an edge, square to it, to the nearest one of its sheet, whose edges are `own`
    (k,), that runs along it there on the far side of a gap; inf for none. along (n, 3): unit, of each."""
    way = borders.middle[own] - borders.middle[edge]
    beside = way @ along[edge]
    far = np.linalg.norm(way - beside[:, None] * along[edge], axis=1)
    sides = (np.abs(along[own] @ along[edge]) > ALONG) & (np.abs(beside) < STEP)
    sides &= borders.inward[own] @ borders.inward[edge] < TURNED
    sides &= way @ borders.inward[edge] < BACK * far
    return float(far[sides & (far > NARROWEST)].min(initial=np.inf))
