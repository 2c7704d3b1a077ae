"""How much of the wind's pressure each measured lap gets at its open edge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.gaps import Gaps
from sim.ground import Ground
from sim.laps import Lap

Floats = NDArray[np.float64]

BESIDE = 0.008
"""How near to a lap's edge a border of its gap lies [m]: its outlines are drawn together to 1 mm, and
it lies on the lower sheet, the edge on the upper."""


def lap_coefficient(ground: Ground, gaps: Gaps, border: Floats, lap: Lap) -> float:
    """Mean pressure along a lap's open edge over rho_a U^2 / 2 [1], by length; 0 where its gap is
    not found.

    border (b,): pressure on the borders of the gaps of this ground under 1 Pa.
    """
    surface = ground.surface
    names = surface.part_names
    chart, edge = gaps.rim.T
    floor = surface.face_part[chart // 2]
    mine = (floor == names.index(lap.lower)) & (gaps.across[chart] == names.index(lap.upper))
    first, second = (surface.vertices[surface.faces[chart // 2, (edge + k) % 3]] for k in (1, 2))
    middle = (first + second) / 2 + surface.centre
    rows = np.flatnonzero(mine)
    rows = rows[_away(middle[rows], lap.edge) < BESIDE]
    length = np.linalg.norm(second - first, axis=1)[rows]
    share = border[rows] * length
    return float(share.sum() / length.sum()) if length.sum() > 0 else 0.0


def _away(points: Floats, line: Floats) -> Floats:
    """Distance [m] of points (n, 3) from a line (k, 3)."""
    start, along = line[:-1], np.diff(line, axis=0)
    size = np.maximum((along**2).sum(axis=1), 1e-30)
    share = ((points[:, None] - start) * along).sum(axis=2) / size
    foot = start + np.clip(share, 0, 1)[:, :, None] * along
    away = np.linalg.norm(points[:, None] - foot, axis=2)
    return np.asarray(away.min(axis=1, initial=np.inf))
