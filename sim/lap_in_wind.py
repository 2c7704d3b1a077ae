"""The pressure at which a measured lap passes water in a wind that reaches its edge unevenly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.gaps import Gaps
from sim.ground import Ground
from sim.lap_gust import passing_pressure
from sim.laps import Lap

Floats = NDArray[np.float64]

BESIDE = 0.008
"""How near to a lap's edge a border of its gap lies [m]: its outlines are drawn together to 1 mm, and
it lies on the lower sheet, the edge on the upper."""


def pressure_in_wind(ground: Ground, gaps: Gaps, border: Floats, lap: Lap) -> float:
    """Stagnation pressure of a wind from which a lap passes water [Pa], inf when none does.

    border (b,): pressure on the borders of the gaps of this ground under 1 Pa: those of the lap's
    two parts along its open edge count, from the top down.
    """
    surface = ground.surface
    names = surface.part_names
    chart, edge = gaps.rim.T
    mine = surface.face_part[chart // 2] == names.index(lap.lower)
    mine &= gaps.across[chart] == names.index(lap.upper)
    rows = np.flatnonzero(mine)
    chart, edge = chart[rows], edge[rows]
    ends = np.stack([surface.vertices[surface.faces[chart // 2, (edge + k) % 3]] for k in (1, 2)])
    middle = ends.mean(axis=0) + surface.centre
    near = _away(middle, lap.edge) < BESIDE
    order = np.argsort(-middle[near, 2], kind="stable")
    step = (ends[1] - ends[0])[near][order]
    length, fall = np.linalg.norm(step, axis=1), np.abs(step[:, 2])
    return passing_pressure(lap, length, fall, border[rows][near][order])


def _away(points: Floats, line: Floats) -> Floats:
    """Distance [m] of points (n, 3) from a line (k, 3)."""
    start, along = line[:-1], np.diff(line, axis=0)
    size = np.maximum((along**2).sum(axis=1), 1e-30)
    share = ((points[:, None] - start) * along).sum(axis=2) / size
    foot = start + np.clip(share, 0, 1)[:, :, None] * along
    away = np.linalg.norm(points[:, None] - foot, axis=2)
    return np.asarray(away.min(axis=1, initial=np.inf))
