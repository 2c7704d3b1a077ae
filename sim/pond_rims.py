"""Where each hollow lets its water go once it is full: the stretches and the corners of its rim."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.classes import Action
from sim.pond_levels import SAME, Levels, landed
from sim.tolerances import FLAT, NUDGE, STANDOFF

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

UNDERCUT = sin(radians(10))
"""Water that comes over a rim clings to a far side that leans under it by less (unsure)."""
BEYOND: float = 10 * NUDGE
"""How far beyond the rim water goes on [m]: well clear of it for the walk, far under any length."""


@dataclass(frozen=True, slots=True, eq=False)
class Rims:
    """Places where full hollows run over, sorted by hollow; stretches first, then corners.

    pond (r,); ends (r, 2, 3) [m], recentred: of the stretch, equal for a corner; chart (r,): the one
    that water goes on in, -1 where it falls; places (r, 2, 3): the ends on that chart, barycentric;
    toward (r, 3): the corner of it that lies lower, barycentric; start (r, 3) [m]: from the rim to
    where a fall begins; skip (r, 2): matched corners of the edge it leaves.
    """

    pond: Ints
    ends: Floats
    chart: Ints
    places: Floats
    toward: Floats
    start: Floats
    skip: Ints

    @staticmethod
    def of(charts: Charts, levels: Levels, flooded: Ints) -> Rims:
        """Find them; flooded (2m,): hollow that covers each chart, -1 for none."""
        rows = _stretches(charts, levels, flooded) + _corners(charts, levels, flooded)
        rows += _far_passes(charts, levels, {row[0] for row in rows})
        rows.sort(key=lambda row: row[0])
        pond, ends, chart, places, toward, start, skip = (
            zip(*rows, strict=True) if rows else [[]] * 7
        )
        return Rims(
            np.array(pond, np.int64), np.array(ends, float).reshape(-1, 2, 3),
            np.array(chart, np.int64), np.array(places, float).reshape(-1, 2, 3),
            np.array(toward, float).reshape(-1, 3), np.array(start, float).reshape(-1, 3),
            np.array(skip, np.int64).reshape(-1, 2),
        )  # fmt: skip

    def go_on(
        self, charts: Charts, row: NDArray[np.integer], share: Floats
    ) -> tuple[NDArray[np.int32], Floats, Floats]:
        """Where water goes on from shares (n,) of rims `row` (n,): chart (n,), -1 where it leaves the
        model, barycentric place (n, 3), and the point of the rim (n, 3) [m]."""
        s = share[:, None]
        point = (1 - s) * self.ends[row, 0] + s * self.ends[row, 1] + charts.surface.centre
        chart = self.chart[row].astype(np.int32)
        on = (1 - s) * self.places[row, 0] + s * self.places[row, 1]
        corners = charts.surface.vertices[charts.surface.faces[chart // 2]]
        way = np.einsum("nk,nkx->nx", self.toward[row] - on, corners)
        far = np.linalg.norm(way, axis=1)
        step = np.minimum(BEYOND / np.where(far > 0, far, 1.0), 0.5)[:, None]
        where = (1 - step) * on + step * self.toward[row]
        falls = chart < 0
        chart[falls], where[falls] = landed(
            charts, (point + self.start[row])[falls], self.skip[row][falls]
        )
        return chart, where, point


_Row = tuple[int, Floats, int, Floats, Floats, Floats, tuple[int, int]]
_AXES = np.eye(3)
_NOWHERE = np.zeros(3)


def flooded_charts(charts: Charts, levels: Levels) -> Ints:
    """The hollow (2m,) whose water covers each chart, level ones at its very level too; -1 for none."""
    fans = charts.fans.of_corner.astype(np.int64)
    pond = levels.pond[fans]
    deep = levels.level[fans] - levels.height[fans] > SAME
    corner = (pond >= 0) & (deep | levels.lies[:, None]) & (fans >= 0)
    return np.where(corner, pond, -1).max(axis=1)


def _stretches(charts: Charts, levels: Levels, flooded: Ints) -> list[_Row]:
    """Level edges between a flooded chart and one that leads down, or that the water falls over."""
    fans, edges = charts.fans.of_corner.astype(np.int64), charts.edges
    chart = np.repeat(np.flatnonzero(flooded >= 0), 3)
    edge = np.tile(np.arange(3), len(chart) // 3)
    after, last = (edge + 1) % 3, (edge + 2) % 3
    pond, other = flooded[chart], edges.neighbour[chart, edge].astype(np.int64)
    stands = _level_of(levels)[pond]
    ends = np.stack([fans[chart, after], fans[chart, last]], axis=1)
    on_rim = (np.abs(levels.height[ends] - stands[:, None]) <= SAME).all(axis=1)
    on_rim &= (other >= 0) & np.isfinite(stands)
    chart, edge, pond, other = chart[on_rim], edge[on_rim], pond[on_rim], other[on_rim]
    stands = stands[on_rim]
    near, far = edges.near[chart, edge], edges.far[chart, edge]
    third = 3 - near.astype(np.int64) - far
    there = fans[other, third]
    leads = (levels.level[there] < stands - SAME) & (charts.normals[other, 2] > -UNDERCUT)
    convex = edges.air[chart, edge] > np.pi + FLAT
    under = charts.normals[other, 2] <= -UNDERCUT
    drops_off = convex & (under | (charts.classes.action[chart, edge] == Action.FALL)) & ~leads

    vertex = charts.surface.faces[
        chart[:, None] // 2, np.stack([(edge + 1) % 3, (edge + 2) % 3], 1)
    ]
    points = charts.surface.vertices[vertex]
    out = _off(charts, chart, edge)
    skip = charts.surface.corners[vertex]
    rows: list[_Row] = []
    for k in np.flatnonzero(leads | drops_off):
        places = _AXES[[near[k], far[k]]]
        onto = int(other[k]) if leads[k] else -1
        left = (int(skip[k, 0]), int(skip[k, 1]))
        rows.append((int(pond[k]), points[k], onto, places, _AXES[third[k]], out[k], left))
    return rows


def _corners(charts: Charts, levels: Levels, flooded: Ints) -> list[_Row]:
    """Corners at the level of the water with a chart round them that leads down, or that drip."""
    fans = charts.fans.of_corner.astype(np.int64)
    chart, corner = np.nonzero((flooded[:, None] >= 0) & (fans >= 0))
    pond, fan = flooded[chart], fans[chart, corner]
    stands = _level_of(levels)[pond]
    at_level = np.isfinite(stands) & (np.abs(levels.height[fan] - stands) <= SAME)
    rim = np.unique(np.column_stack([pond[at_level], fan[at_level]]), axis=0)
    return _passes(charts, levels, rim)


def _far_passes(charts: Charts, levels: Levels, known: set[int]) -> list[_Row]:
    """For hollows without a rim of their own: the pass at the end of a level crest that leads off."""
    found = []
    level = _level_of(levels)
    for pond in np.flatnonzero(np.isfinite(level)).tolist():
        if pond in known:
            continue
        node = int(np.flatnonzero(levels.pond == pond)[0])
        while True:
            after = int(levels.onward[node])
            if after == node or levels.level[after] < level[pond] - SAME:
                break
            node = after
        found.append((pond, node))
    return _passes(charts, levels, np.array(found, np.int64).reshape(-1, 2))


def _passes(charts: Charts, levels: Levels, rim: Ints) -> list[_Row]:
    """One row for each (pond, fan) of `rim` (n, 2) that lets water go: down its steepest edge."""
    fans, surface = charts.fans.of_corner.astype(np.int64), charts.surface
    chart, corner = np.nonzero(np.isin(fans, rim[:, 1]) & (fans >= 0))
    round_fan: dict[int, list[tuple[int, int]]] = {}
    for c, j in zip(chart.tolist(), corner.tolist(), strict=True):
        round_fan.setdefault(int(fans[c, j]), []).append((c, j))
    stands, up = _level_of(levels), charts.normals[:, 2]
    rows: list[_Row] = []
    for pond, fan in rim.tolist():
        ways = _ways_down(charts, levels, round_fan[fan], float(stands[pond]))
        c, j = round_fan[fan][0]
        here = surface.vertices[surface.faces[c // 2, j]]
        both = np.stack([here, here])
        upright = [way for way in ways if up[way[1]] > -UNDERCUT]
        after = int(levels.onward[fan])
        lower = after == fan or levels.level[after] < stands[pond] - SAME
        off, weld = _off_corner(charts, round_fan[fan]), int(charts.fans.corner[fan])
        if upright:
            _, c, j, d = max(upright, key=lambda way: way[0])
            rows.append((pond, both, c, _AXES[[j, j]], _AXES[d], _NOWHERE, (-1, -1)))
        elif lower:
            rows.append((pond, both, -1, _AXES[[0, 0]], _AXES[0], off, (weld, weld)))
    return rows


def _ways_down(
    charts: Charts, levels: Levels, members: list[tuple[int, int]], stands: float
) -> list[tuple[float, int, int, int]]:
    """Edges down from a corner to where water stands lower: slope, chart, its corner, the other."""
    fans, surface = charts.fans.of_corner, charts.surface
    ways = []
    for c, j in members:
        here = surface.vertices[surface.faces[c // 2, j]]
        for d in ((j + 1) % 3, (j + 2) % 3):
            if levels.level[fans[c, d]] < stands - SAME:
                way = surface.vertices[surface.faces[c // 2, d]] - here
                ways.append((-float(way[2]) / float(np.linalg.norm(way)), c, j, d))
    return ways


def _level_of(levels: Levels) -> Floats:
    """Level (p,) of each hollow."""
    stands = np.full(int(levels.pond.max(initial=-1)) + 1, -np.inf)
    wet = levels.pond >= 0
    np.maximum.at(stands, levels.pond[wet], levels.level[wet])
    return stands


def _off(charts: Charts, chart: Ints, edge: Ints) -> Floats:
    """From a rim to where a fall over it begins (n, 3) [m]: out level, and a film's thickness up."""
    other = charts.edges.neighbour[chart, edge]
    out = charts.edges.outward[chart // 2, edge] + charts.normals[other]
    return _beyond(out)


def _off_corner(charts: Charts, members: list[tuple[int, int]]) -> Floats:
    """The same for a corner, from the charts round it (c, corner): (3,) [m]."""
    chart, corner = np.array(members).T
    # The outward normals of the two edges at a corner add up to the way out of its wedge.
    outward = charts.edges.outward[chart // 2]
    rows = np.arange(len(chart))
    out = outward[rows, (corner + 1) % 3] + outward[rows, (corner + 2) % 3]
    return _beyond(out.sum(axis=0)[None])[0]


def _beyond(out: Floats) -> Floats:
    level = out * [1.0, 1.0, 0.0]
    size = np.linalg.norm(level, axis=1, keepdims=True)
    level = np.where(size > FLAT, level / np.where(size > FLAT, size, 1.0), 0.0)
    return BEYOND * level + STANDOFF * np.array([0.0, 0.0, 1.0])
