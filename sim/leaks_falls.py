"""What water falls past on its way behind: the sheet it drops behind, or the one whose end it misses."""

from __future__ import annotations

import numpy as np

from meshes.parts import Role
from sim.charts import Charts
from sim.laps_borders import HalfEdges
from sim.laps_table import GAP
from sim.leaks_table import FALL_STEP, LONGEST_LOOK, ONE_LEAK
from sim.leaks_ways import Floats, Ints
from sim.nearby import nearest
from sim.openness import closest_beside

ALIKE = 1e-5  # [m]


def fallen_past(
    charts: Charts, borders: HalfEdges, start: Floats, end: Floats
) -> tuple[Floats, Ints, Ints]:
    """What falls from start (n, 3) to end (n, 3) [m] go past: where (n, 3), recentred; the face of the
    upright flashing that is there within the gap, -1 for none; and where there is none, the flashing
    (n,), by part, that they miss by least, -1 for none within the breadth of a leak.

    Many drops fall from one point: falls alike to a hundredth of a millimetre are looked at once.
    """
    if not len(start):
        none = np.zeros(0, dtype=np.int64)
        return start, none, none
    alike = np.round(np.hstack([start, end]) / ALIKE)
    _, first, fall = np.unique(alike, axis=0, return_index=True, return_inverse=True)
    fall = fall.reshape(-1)
    start, end = start[first], end[first]
    place, sheet = _beside(charts, start, end)
    missed = np.where(sheet < 0, _missed(charts, borders, start, end), -1)
    return place[fall] - charts.surface.centre, sheet[fall], missed[fall]


def _beside(charts: Charts, start: Floats, end: Floats) -> tuple[Floats, Ints]:
    """The first point of each fall that has an upright flashing within the gap, and that face."""
    points, row = _along(start, end)
    surface = charts.surface
    face = closest_beside(charts.caster, surface, points - surface.centre, GAP)
    hit = np.flatnonzero(face >= 0)
    which, first = np.unique(row[hit], return_index=True)
    place, sheet = start.copy(), np.full(len(start), -1, dtype=np.int64)
    place[which], sheet[which] = points[hit[first]], face[hit[first]]
    return place, sheet


def _missed(charts: Charts, borders: HalfEdges, start: Floats, end: Floats) -> Ints:
    """The flashing, by part, whose border each fall misses by least; -1 for none near."""
    surface = charts.surface
    own = np.flatnonzero(surface.of_role(borders.part, Role.FLASHING))
    missed = np.full(len(start), -1, dtype=np.int64)
    if not len(own):
        return missed
    points, row = _along(start, end)
    away, found = nearest(borders.middle[own], points - surface.centre)
    order = np.lexsort((np.round(away, 9), row))
    which, first = np.unique(row[order], return_index=True)
    best = order[first]
    near = away[best] <= ONE_LEAK
    missed[which[near]] = borders.part[own[found[best[near]]]]
    return missed


def _along(start: Floats, end: Floats) -> tuple[Floats, Ints]:
    """Points along the last of each fall, from above, and the row of the fall they belong to."""
    fall = np.linalg.norm(end - start, axis=1)
    look = np.minimum(fall, LONGEST_LOOK)
    count = np.ceil(look / FALL_STEP).astype(np.int64) + 1
    row = np.repeat(np.arange(len(start)), count)
    rank = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    at = (fall - look)[row] + np.minimum(rank * FALL_STEP, look[row])
    share = at / np.where(fall > 0, fall, 1.0)[row]
    return start[row] + (end - start)[row] * share[:, None], row
