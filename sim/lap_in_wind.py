"""The pressure at which a measured lap passes water in a wind that reaches its edge unevenly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.gaps import Gaps
from sim.ground import Ground
from sim.lap_gust import lap_width, passing_pressure
from sim.laps import Lap

Floats = NDArray[np.float64]

BESIDE = 0.008
"""How near to a lap's edge a border of its gap lies [m]: its outlines are drawn together to 1 mm, and
it lies on the lower sheet, the edge on the upper."""


def pressure_in_wind(
    ground: Ground, gaps: Gaps, border: Floats, lap: Lap, entry: Floats
) -> tuple[float, float]:
    """Stagnation pressure of a wind from which a lap passes water [Pa], inf when none does or when the
    water comes in behind it; and how far past its open edge it comes in [m].

    border (b,): pressure on the borders of the gaps of this ground under 1 Pa: those of the lap's
    two parts along its open edge count, from the top down. entry (3,) [m]: where water comes in
    between the two; nearer to the open edge than BESIDE it has come over that, elsewhere from under
    another sheet.
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
    near = np.linalg.norm(middle - _foot(middle, lap.edge), axis=1) < BESIDE
    order = np.argsort(-middle[near, 2], kind="stable")
    step = (ends[1] - ends[0])[near][order]
    length, fall = np.linalg.norm(step, axis=1), np.abs(step[:, 2])
    pressed = border[rows][near][order]
    foot = _foot(entry[None], lap.edge)[0]
    width = lap_width(lap)
    inside = float((entry - foot) @ (lap.way[1] - lap.way[0])) / width if width > 0 else 0.0
    if inside < BESIDE:
        return passing_pressure(lap, length, fall, pressed), 0.0
    if inside >= width:
        return float("inf"), inside
    below = middle[near][order][:, 2] < foot[2]
    left = length[below], fall[below], pressed[below]
    return passing_pressure(lap, *left, inside), inside


def _foot(points: Floats, line: Floats) -> Floats:
    """The points (n, 3) [m] of a line (k, 3), k above 1, that are nearest to points (n, 3)."""
    start, along = line[:-1], np.diff(line, axis=0)
    size = np.maximum((along**2).sum(axis=1), 1e-30)
    share = ((points[:, None] - start) * along).sum(axis=2) / size
    foot = start + np.clip(share, 0, 1)[:, :, None] * along
    nearest = np.linalg.norm(points[:, None] - foot, axis=2).argmin(axis=1)
    return np.asarray(foot[np.arange(len(points)), nearest])
