"""To what level water rises from every corner before it finds a way on: a flood from the lowest exit.

The air over an assembly is bounded by its charts, joined over their edges. The water over a place
stands as high as the lowest pass on any way from there to an exit (priority flood: Barnes, Lehman and
Mulla, Computers & Geosciences 62 (2014) 117, memory). Ways go along chart edges, and down falls.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.charts import Charts
from sim.classes import Action
from sim.compiled import compiled
from sim.fans import Way
from sim.nearby import groups
from sim.tolerances import LEVEL, NUDGE, WELD

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DOWN = np.array([0.0, 0.0, -1.0])
SAME: float = WELD
"""Heights closer than this are one level [m]: corners closer than this are one corner too."""


@dataclass(frozen=True, slots=True, eq=False)
class Levels:
    """Where water stands over the k fans, and the p hollows that this makes. Heights recentred [m].

    height (k,): of the fan's corner, level faces at their highest; level (k,): of the water that can
    get no lower there, the height itself where it runs on, inf in a basin that is shut; onward (k,):
    fan next on the way out, itself at an exit; pond (k,): hollow, -1 where water runs on; lies (2m,):
    charts that are level and face up.
    """

    height: Floats
    level: Floats
    onward: Ints
    pond: Ints
    lies: NDArray[np.bool_]

    @staticmethod
    def of(charts: Charts) -> Levels:
        """Flood all charts; gravity is along -z."""
        fans = charts.fans.of_corner.astype(np.int64)
        joined = fans[:, 0] >= 0
        normal_z = charts.normals[:, 2]
        lies = joined & (normal_z > 0) & (np.hypot(*charts.normals[:, :2].T) < LEVEL)
        height = _heights(charts, fans, lies)
        side = [np.stack([fans[joined, i], fans[joined, (i + 1) % 3]], axis=1) for i in range(3)]
        low, high = np.sort(np.concatenate(side), axis=1).T
        once = np.unique(low * len(charts.fans.way) + high)
        pairs = np.stack(np.divmod(once, len(charts.fans.way)), axis=1)
        source, target, exits = _falls(charts, fans)
        exits = np.union1d(exits, _inside(charts, fans))
        arcs = np.concatenate([pairs, pairs[:, ::-1], np.column_stack([source, target])])
        level, onward = _flooded(height, arcs, exits)

        wet = level - height > SAME
        wet |= (charts.fans.way == Way.STAYS) & ~np.isin(np.arange(len(height)), exits)
        wet[fans[lies]] = True
        both = wet[arcs].all(axis=1)
        one, other = level[arcs[:, 0]], level[arcs[:, 1]]
        alike = both & (np.isfinite(one) == np.isfinite(other))
        finite = alike & np.isfinite(one)
        alike[finite] = np.abs(one[finite] - other[finite]) <= SAME
        group = groups(len(height), arcs[alike])
        pond = np.full(len(height), -1, dtype=np.int64)
        pond[wet] = np.unique(group[wet], return_inverse=True)[1].reshape(-1)
        return Levels(height, level, onward, pond, lies)

    def at(self, charts: Charts, chart: NDArray[np.integer], where: Floats) -> Ints:
        """The fan (n,) that water at points `where` (n, 3) [m] on charts (n,) stands round."""
        ends = charts.surface.vertices[charts.surface.faces[chart // 2]] + charts.surface.centre
        away = np.linalg.norm(ends - where[:, None], axis=2)
        over = ends[:, :, 2] > where[:, None, 2] + LEVEL * away + SAME
        corner = np.where(over, np.inf, away).argmin(axis=1)
        return charts.fans.of_corner[chart, corner].astype(np.int64)


def landed(charts: Charts, start: Floats, skip: Ints) -> tuple[NDArray[np.int32], Floats]:
    """Chart (n,) that falls from points (n, 3) [m] come down on, -1 for none, and where (n, 3).

    skip (n, 2): matched corners of the edge that is left.
    """
    _, face, where = charts.caster.landings(start, np.broadcast_to(DOWN, start.shape), skip=skip)
    where = np.clip(where, 0.0, 1.0)
    faces_down = charts.surface.normals[face, 2] < 0
    chart = np.where(face >= 0, 2 * face + faces_down, -1).astype(np.int32)
    return chart, where / np.maximum(where.sum(axis=1, keepdims=True), 0.5)


def _heights(charts: Charts, fans: Ints, lies: NDArray[np.bool_]) -> Floats:
    chart, corner = np.nonzero(fans >= 0)
    height = np.empty(len(charts.fans.way))
    vertex = charts.surface.faces[chart // 2, corner]
    height[fans[chart, corner]] = charts.surface.vertices[vertex, 2]
    flat = fans[lies]
    plain = groups(len(height), np.concatenate([flat[:, :2], flat[:, 1:]]))
    highest = np.full(len(height), -np.inf)
    np.maximum.at(highest, plain, height)
    return highest[plain]


def _inside(charts: Charts, fans: Ints) -> Ints:
    inside = charts.surface.of_role(charts.part, Role.INSIDE) & (fans[:, 0] >= 0)
    return np.unique(fans[inside])


def _falls(charts: Charts, fans: Ints) -> tuple[Ints, Ints, Ints]:
    """Fans that water falls from and the lowest one where it lands, (n,) each; fans it leaves from."""
    surface = charts.surface
    drips = np.flatnonzero(charts.fans.way == Way.DRIPS)
    once = np.repeat(charts.fans.corner[drips, None], 2, axis=1).astype(np.int64)
    chart, edge = np.nonzero(charts.classes.action == Action.FALL)
    ends = np.stack([(edge + 1) % 3, (edge + 2) % 3], axis=1)
    vertex = surface.faces[chart[:, None] // 2, ends]
    points = surface.vertices[vertex]
    # Water runs over the whole edge: what rises to its lower end has a way over it, near that end.
    low = points[:, :, 2].argmin(axis=1)
    rows = np.arange(len(chart))
    along = points[rows, 1 - low] - points[rows, low]
    size = np.linalg.norm(along, axis=1, keepdims=True)
    step = np.minimum(10 * NUDGE / size, 0.5) * along
    out = charts.edges.outward[chart // 2, edge]
    over = points[rows, low] + step + NUDGE * (out + charts.normals[chart])
    start = np.concatenate([charts.fans.start[drips], over]) + surface.centre
    source = np.concatenate([drips, fans[chart, ends[rows, low]]])
    skip = np.concatenate([once, surface.corners[vertex].astype(np.int64)])
    onto, _ = landed(charts, start, skip)
    lands = (onto >= 0) & (fans[onto, 0] >= 0)
    return source[lands], _lowest_fan(charts, onto[lands]), np.unique(source[onto < 0])


def _lowest_fan(charts: Charts, chart: NDArray[np.integer]) -> Ints:
    """Fan (n,) of the lowest corner of each chart (n,)."""
    height = charts.surface.vertices[charts.surface.faces[chart // 2], 2]
    return charts.fans.of_corner[chart, height.argmin(axis=1)].astype(np.int64)


def _flooded(height: Floats, arcs: Ints, exits: Ints) -> tuple[Floats, Ints]:
    """Level (k,) of each node, and the next one on its way out (k,); arcs (n, 2) from and to."""
    order = np.argsort(arcs[:, 1], kind="stable")
    first = np.searchsorted(arcs[order, 1], np.arange(len(height) + 1))
    level, onward = np.full(len(height), np.inf), np.arange(len(height))
    if len(exits):
        _flood(height, arcs[order, 0], first, exits, level, onward)
    return level, onward


@compiled
def _flood(height, before, first, exits, level, onward):  # type: ignore[no-untyped-def]
    """Fill level and onward from the exits up, the lowest water first."""
    for node in exits:
        level[node] = height[node]
    queue = [(height[node], node) for node in exits]
    heapq.heapify(queue)
    while len(queue):
        reached, node = heapq.heappop(queue)
        if reached > level[node]:
            continue
        for k in range(first[node], first[node + 1]):
            other = before[k]
            stands = max(reached, height[other])
            if stands < level[other]:
                level[other], onward[other] = stands, node
                heapq.heappush(queue, (stands, other))
