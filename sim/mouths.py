"""Mouths of gaps: the edges open to the weather, along which water stands ready to be driven in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.charts import Charts
from sim.gap_surface import WEATHERED
from sim.gaps import Gaps
from sim.laps_table import OUTSIDE_EDGE, SKY
from sim.openness import sees_sky
from sim.rain import Drops
from sim.tolerances import STANDOFF

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

SPACING = 0.010
"""Drops stand this far apart along an edge at most [m]: a quarter of the narrowest lap's width."""
FAR_APART = 0.050
"""The same along the covering's own edges [m], which are the same from end to end."""
ROUND_AN_EDGE = 1.25 * np.pi
"""With more air than this before it [rad] an edge is where the lower sheet itself ends."""
FLOW = 1e-6
"""Of each drop [m3/s]: only whether it gets in counts."""
SHORTEST = 2e-3
"""A mouth shorter than this is where two outlines nearly meet [m]: they are drawn together only to 1 mm."""
AN_END_OFF = 0.02
"""Share of an edge's length by which drops keep off its ends, where two edges' ways may part."""
WITHIN = 1e-3
"""How far from the edge a drop begins, as a share of its face."""


@dataclass(frozen=True, slots=True, eq=False)
class Mouths:
    """Drops along the open borders of gaps; rim (n,): the border of `Gaps.rim` that each is at; before
    (n,) and point (n, 3) [m]: the chart before the mouth there, and a place on it near by."""

    drops: Drops
    rim: Ints
    before: Ints
    point: Floats

    def rows(self, rows: Ints | Flags) -> Mouths:
        """Some of them."""
        d = self.drops
        drops = Drops(
            d.points[rows],
            d.chart[rows],
            d.where[rows],
            d.flow[rows],
            d.drop[rows],
            d.released,
            d.seed,
        )
        return Mouths(drops, self.rim[rows], self.before[rows], self.point[rows])


def mouths_of(charts: Charts, gaps: Gaps, open_rims: Flags) -> Mouths:
    """Drops along those borders (b,) of gaps that are open and that water can run up to: one row just
    within the edge, one just before it, where that is in the rain.

    Water runs up to a mouth over the face before it, which goes on flat or rises from it; where the
    lower sheet itself ends there, it would have to come round an edge from below.
    """
    alone = of_the_covering_alone(charts, gaps)
    surface, edges = charts.surface, charts.edges
    outer = surface.of_role(surface.face_part, *WEATHERED)
    chart, edge = gaps.rim.T
    before = edges.neighbour[chart, edge].astype(np.int64)
    reached = (edges.air[chart, edge] < ROUND_AN_EDGE) & outer[chart // 2] & outer[before // 2]
    rim = np.flatnonzero(open_rims & reached & outer[gaps.faced[chart] // 2])
    first, second = (surface.faces[chart[rim] // 2, (edge[rim] + k) % 3] for k in (1, 2))
    length = np.linalg.norm(surface.vertices[second] - surface.vertices[first], axis=1)
    middle = (surface.vertices[first] + surface.vertices[second]) / 2
    fits = (length >= SHORTEST) & _in_the_rain(charts, before[rim], middle)
    rim, length = rim[fits], length[fits]
    chart, edge, before = chart[rim], edge[rim], before[rim]
    spacing = np.where(alone[chart], FAR_APART, SPACING)
    count = np.maximum(np.ceil(length / spacing).astype(np.int64), 1)
    row = np.repeat(np.arange(len(rim)), count)
    rank = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    share = AN_END_OFF + (1 - 2 * AN_END_OFF) * (rank + 0.5) / count[row]
    near, far = edges.near[chart, edge].astype(np.int64), edges.far[chart, edge].astype(np.int64)
    own = np.concatenate([chart[row], before[row]]).astype(np.int32)
    within = _beside(edge[row], (edge[row] + 1) % 3, (edge[row] + 2) % 3, share)
    outside = _beside((3 - near - far)[row], near[row], far[row], share)
    where = np.concatenate([within, outside])
    number = np.arange(len(own), dtype=np.int64)
    points = charts.points(own, where)
    drops = Drops(points, own, where, np.full(len(own), FLOW), number, len(own))
    beyond = _a_little_before(charts, before[row], points[len(row) :] - surface.centre)
    beyond = beyond + surface.centre
    return Mouths(drops, np.tile(rim[row], 2), np.tile(before[row], 2), np.tile(beyond, (2, 1)))


def _in_the_rain(charts: Charts, before: Ints, middle: Floats) -> Flags:
    """Whether rain or what is blown along comes down just before mouths with these middles (n, 3),
    recentred, on the charts before them (n,): as for the open edges of laps."""
    points = _a_little_before(charts, before, middle) + STANDOFF * charts.normals[before]
    return sees_sky(charts.caster, points, SKY)


def _a_little_before(charts: Charts, before: Ints, points: Floats) -> Floats:
    """Places (n, 3) on the charts before mouths (n,), OUTSIDE_EDGE from points (n, 3) at the mouths'
    edges, or less on small faces; all recentred."""
    surface = charts.surface
    inner = surface.vertices[surface.faces[before // 2]].mean(axis=1) - points
    size = np.linalg.norm(inner, axis=1, keepdims=True)
    return points + inner * np.minimum(1.0, OUTSIDE_EDGE / np.where(size > 0, size, 1.0))


def _beside(edge: Ints, first: Ints, second: Ints, share: Floats) -> Floats:
    """Places (n, 3) close to edges of faces, at shares of the way from their first corner."""
    where = np.zeros((len(edge), 3))
    rows = np.arange(len(edge))
    where[rows, edge] = WITHIN
    where[rows, first] = (1 - WITHIN) * (1 - share)
    where[rows, second] = (1 - WITHIN) * share
    return where


def of_the_covering_alone(charts: Charts, gaps: Gaps) -> Flags:
    """Charts (2m,) in gaps between two parts of the covering, or two faces of one."""
    covering = charts.surface.of_role(charts.part, Role.COVERING)
    other = np.where(gaps.faced >= 0, gaps.faced, 0)
    return (gaps.faced >= 0) & covering & covering[other]
