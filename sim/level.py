"""Level creases: how far it is from each of their ends to the nearest outlet."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import heapq
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.classes import Action
from sim.compiled import compiled
from sim.fans import Fans, Way
from sim.surface import Surface

STAYS = int(Way.STAYS)


@dataclass(frozen=True, slots=True, eq=False)
class LevelCreases:
    """Level creases of the charts.

    row (2m, 3) int32: row of a chart's edge in `reach`, -1 where it is no level crease; reach (k,
    3) [m]: distance to the nearest outlet from corner i + 1, from corner i + 2 (inf: none), and the
    crease's own length.
    """

    row: NDArray[np.int32]
    reach: NDArray[np.float64]


def level_creases(
    surface: Surface, action: NDArray[np.uint8], fans: Fans, down: NDArray[np.float64]
) -> tuple[LevelCreases, Fans]:
    """Measure along level creases to their outlets, and send stayed corners there.

    An outlet is a corner from which water has a way on, or drips. Distances are measured along the
    crease, round its turns, so that more or fewer triangles change nothing. A crease with no
    outlet, a closed ring too, keeps reach = inf and holds its water.
    """
    chart, edge = np.nonzero(action == Action.LEVEL)
    # Of the two sides of a crease the one that faces up more comes first, and so carries the water.
    facing = surface.normals[chart // 2] @ down * np.where(chart % 2 == 0, 1.0, -1.0)
    order = np.argsort(facing, kind="stable")
    chart, edge = chart[order], edge[order]
    row = np.full(action.shape, -1, dtype=np.int32)
    row[chart, edge] = np.arange(len(chart))
    ends = surface.vertices[surface.faces[chart // 2]]
    rows = np.arange(len(chart))
    first, second = (edge + 1) % 3, (edge + 2) % 3
    length = np.linalg.norm(ends[rows, second] - ends[rows, first], axis=1)
    head, tail = fans.of_corner[chart, first], fans.of_corner[chart, second]

    count = len(fans.way)
    distance = np.full(count, np.inf)
    way_on = np.full(count, -1, dtype=np.int64)
    _from_outlets(head, tail, length, np.asarray(fans.way), distance, way_on)

    way, to, place = fans.way.copy(), fans.chart.copy(), fans.place.copy()
    node = np.flatnonzero(way_on >= 0)
    crease, forth = way_on[node] // 2, way_on[node] % 2 == 1
    way[node], to[node] = Way.SLIDES, chart[crease]
    place[node] = np.where(forth, second[crease], first[crease])
    reach = np.column_stack([distance[head], distance[tail], length]).reshape(-1, 3)
    return LevelCreases(row, reach), replace(fans, way=way, chart=to, place=place)


def no_level_creases(
    surface: Surface, action: NDArray[np.uint8], fans: Fans, down: NDArray[np.float64]
) -> tuple[LevelCreases, Fans]:
    """As `level_creases`, but what comes to a level crease stays there."""
    del surface, down
    level = action == Action.LEVEL
    row = np.full(action.shape, -1, dtype=np.int32)
    row[level] = 0
    return LevelCreases(row, np.array([[np.inf, np.inf, 1.0]])), fans


@compiled
def _from_outlets(head, tail, length, way, distance, way_on):
    """Fill in the shortest distance of each node (k,) to an outlet, and the crease that leads there:
    twice its row, and 1 more where it is run from head to tail; -1 where there is none to take.

    head, tail (n,): nodes at the ends of the creases; way (k,): of the nodes.
    """
    count = len(head)
    first = np.full(len(way), -1, np.int64)
    after = np.full(2 * count, -1, np.int64)
    # For each node the creases that end there, the first one first.
    for k in range(count - 1, -1, -1):
        for side in (1, 0):
            end = tail[k] if side else head[k]
            after[2 * k + side] = first[end]
            first[end] = 2 * k + side
    queue = [(np.inf, np.int64(-1))]
    for node in range(len(way)):
        if first[node] >= 0 and way[node] != STAYS:
            distance[node] = 0.0
            heapq.heappush(queue, (0.0, np.int64(node)))
    while len(queue) > 0:
        far, node = heapq.heappop(queue)
        if node < 0:
            break
        if far > distance[node]:
            continue
        at = first[node]
        while at >= 0:
            k, side = at // 2, at % 2
            before = head[k] if side else tail[k]
            if far + length[k] < distance[before]:
                distance[before] = far + length[k]
                way_on[before] = at
                heapq.heappush(queue, (far + length[k], np.int64(before)))
            at = after[at]
