"""Mouths of gaps: the edges open to the weather, along which water stands ready to be driven in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.charts import Charts
from sim.gap_surface import WEATHERED
from sim.gaps import LIFT, Gaps
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

NO_RIM = -1
"""Where water stands at no border of a gap."""


@dataclass(frozen=True, slots=True, eq=False)
class Mouths:
    """Drops along open edges; rim (n,): the border of `Gaps.rim` that each is at, or NO_RIM; before (n,)
    and point (n, 3) [m]: the chart before the mouth there, and a place on it near by."""

    drops: Drops
    rim: Ints
    before: Ints
    point: Floats

    @staticmethod
    def joined(first: Mouths, second: Mouths) -> Mouths:
        """Both, the second's drops numbered on from the first's."""
        one, two = first.drops, second.drops
        released = one.released + two.released
        drops = Drops(
            np.concatenate([one.points, two.points]),
            np.concatenate([one.chart, two.chart]),
            np.concatenate([one.where, two.where]),
            np.concatenate([one.flow, two.flow]),
            np.concatenate([one.drop, two.drop + one.released]),
            released,
            one.seed,
        )
        return Mouths(
            drops,
            np.concatenate([first.rim, second.rim]),
            np.concatenate([first.before, second.before]),
            np.concatenate([first.point, second.point]),
        )

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
    length = _lengths(charts, chart[rim], edge[rim])
    fits = length >= SHORTEST
    rim, length = rim[fits], length[fits]
    row, share = _spread(length, np.where(alone[chart[rim]], FAR_APART, SPACING))
    rim = rim[row]
    chart, edge, before = chart[rim], edge[rim], before[rim]
    near, far = edges.near[chart, edge].astype(np.int64), edges.far[chart, edge].astype(np.int64)
    within = _beside(edge, (edge + 1) % 3, (edge + 2) % 3, share)
    outside = _beside(3 - near - far, near, far, share)
    beyond, wet = _a_little_before(charts, before, outside)
    own = np.concatenate([chart[wet], before[wet]])
    drops = _drops(charts, own, np.concatenate([within[wet], outside[wet]]))
    return Mouths(
        drops, np.tile(rim[wet], 2), np.tile(before[wet], 2), np.tile(beyond[wet], (2, 1))
    )


def mouths_at(charts: Charts, chart: Ints, edge: Ints) -> Mouths:
    """Drops just above edges (n,) of charts (n,), those of them that are in the rain; at no border of
    a gap."""
    length = _lengths(charts, chart, edge)
    fits = length >= SHORTEST
    row, share = _spread(length[fits], np.full(fits.sum(), SPACING))
    chart, edge = chart[fits][row], edge[fits][row]
    where = _beside(edge, (edge + 1) % 3, (edge + 2) % 3, share)
    beyond, wet = _a_little_before(charts, chart, where)
    drops = _drops(charts, chart[wet], where[wet])
    return Mouths(drops, np.full(len(drops), NO_RIM), chart[wet], beyond[wet])


def _lengths(charts: Charts, chart: Ints, edge: Ints) -> Floats:
    """Length (n,) [m] of edges (n,) of charts (n,)."""
    surface = charts.surface
    first, second = (
        surface.vertices[surface.faces[chart // 2, (edge + step) % 3]] for step in (1, 2)
    )
    return np.asarray(np.linalg.norm(second - first, axis=1))


def _spread(length: Floats, spacing: Floats) -> tuple[Ints, Floats]:
    """Places no more than `spacing` (n,) [m] apart along edges of this length (n,) [m]: the row (k,) of
    the edge that each is on, and the share (k,) of the way from its first end."""
    count = np.maximum(np.ceil(length / spacing).astype(np.int64), 1)
    row = np.repeat(np.arange(len(length)), count)
    rank = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    return row, AN_END_OFF + (1 - 2 * AN_END_OFF) * (rank + 0.5) / count[row]


def _drops(charts: Charts, chart: Ints, where: Floats) -> Drops:
    """A drop at each place (n, 3), barycentric, on charts (n,)."""
    own = chart.astype(np.int32)
    number = np.arange(len(own), dtype=np.int64)
    points = charts.points(own, where)
    return Drops(points, own, where, np.full(len(own), FLOW), number, len(own))


def _a_little_before(charts: Charts, before: Ints, where: Floats) -> tuple[Floats, Flags]:
    """Points (n, 3) [m] on the charts before mouths (n,), OUTSIDE_EDGE from places (n, 3), barycentric,
    at the mouths' edges, or less on small faces; and whether rain or what is blown along comes down
    there, as for the open edges of laps."""
    surface = charts.surface
    points = charts.points(before.astype(np.int32), where) - surface.centre
    inner = surface.vertices[surface.faces[before // 2]].mean(axis=1) - points
    size = np.linalg.norm(inner, axis=1, keepdims=True)
    points = points + inner * np.minimum(1.0, OUTSIDE_EDGE / np.where(size > 0, size, 1.0))
    normals = charts.normals[before]
    wet = sees_sky(charts.caster, points + STANDOFF * normals, SKY)
    # Where another sheet lies nearer than the stand-off, what is seen is seen from its other side.
    _, hit = charts.caster.first_hit(points + surface.centre + LIFT * normals, normals, STANDOFF)
    return points + surface.centre, wet & (hit < 0)


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
