"""What drove water past an edge, read off its own path: weight alone, the wind, or standing water."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.events import NOT_ON_A_FACE, Event
from sim.tolerances import LEVEL
from sim.trace import Paths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

OFF_THE_FALL_LINE = float(np.cos(np.radians(3)))
"""Water that runs on a face by its weight alone keeps to the fall line exactly."""
SHORTEST = 1e-5
"""A piece of path shorter than this has no direction worth reading [m]."""
LOOK_ON = 4
"""Pieces after the edge that are looked at: the first may be no longer than a rounding."""


def driven(charts: Charts, paths: Paths, before: Ints, behind: Ints) -> tuple[Flags, Flags, Flags]:
    """Of paths that come from open at their rows `before` (n,) and are behind from rows `behind`
    (n,): whether they climb there, whether they leave the fall line, whether they come out of
    standing water."""
    last = len(paths.points) - 1
    owner = np.searchsorted(paths.start, behind, side="right")
    climbs, aside = np.zeros(len(before), dtype=bool), np.zeros(len(before), dtype=bool)
    stood = np.isin(paths.kind[before], (Event.STOOD,))
    stood |= paths.kind[np.maximum(before - 1, 0)] == Event.STOOD
    for rows in (before, *(np.minimum(behind + k, last) for k in range(LOOK_ON))):
        same = np.searchsorted(paths.start, rows, side="right") == owner
        up, off = _against_its_weight(charts, paths, rows)
        climbs |= up & same
        aside |= off & same
    return climbs, aside, stood


def _against_its_weight(charts: Charts, paths: Paths, rows: Ints) -> tuple[Flags, Flags]:
    """Whether the pieces that begin at rows (n,) climb, and whether they leave the fall line."""
    step = paths.points[np.minimum(rows + 1, len(paths.points) - 1)] - paths.points[rows]
    size = np.linalg.norm(step, axis=1)
    on = ~np.isin(paths.kind[rows], NOT_ON_A_FACE) & (size > SHORTEST)
    way = step / np.where(size > 0, size, 1.0)[:, None]
    down = charts.drive / np.linalg.norm(charts.drive)
    normal = charts.normals[paths.chart[rows]]
    lean = down - (normal @ down)[:, None] * normal
    slope = np.linalg.norm(lean, axis=1)
    climbs = on & (way @ down < -LEVEL)
    runs = on & (paths.kind[rows] != Event.SLID) & (slope > LEVEL)
    along = (way * lean).sum(axis=1) / np.where(slope > 0, slope, 1.0)
    return climbs, runs & (along < OFF_THE_FALL_LINE)
