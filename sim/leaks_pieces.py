"""Paths cut into short pieces, where a long one could pass from one state to another and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.events import NOT_ON_A_FACE
from sim.leaks_table import LOOK_STEP
from sim.trace import Paths


def in_short_pieces(paths: Paths, charts: NDArray[np.bool_]) -> Paths:
    """The same paths with points put in, so that no piece that runs on one of the charts marked
    (n,) is longer than `LOOK_STEP` [m]."""
    count = len(paths.points)
    if not count:
        return paths
    along = np.diff(paths.points, axis=0, append=paths.points[-1:])
    pieces = piece_count(paths, charts)
    row = np.repeat(np.arange(count), pieces)
    first = np.cumsum(pieces) - pieces
    share = (np.arange(len(row)) - first[row]) / pieces[row]
    start = np.append(first, len(row))[paths.start]
    points = paths.points[row] + share[:, None] * along[row]
    return Paths(start, points, paths.chart[row], paths.kind[row])


def piece_count(paths: Paths, charts: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Into how many pieces (p,) `in_short_pieces` cuts the one that begins at each point."""
    along = np.diff(paths.points, axis=0, append=paths.points[-1:])
    runs = ~np.isin(paths.kind, NOT_ON_A_FACE) & charts[paths.chart]
    length = np.where(runs, np.linalg.norm(along, axis=1), 0.0)
    return np.maximum(1, np.ceil(length / LOOK_STEP)).astype(np.int64)
