"""Level creases: how far it is from each of their ends to the nearest outlet."""

from __future__ import annotations

import heapq
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.classes import Action
from sim.fans import Fans, Way
from sim.surface import Surface


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

    ways: dict[int, list[tuple[int, float, int, int]]] = {}
    for k in range(len(chart)):
        for node, end, place in ((head[k], tail[k], second[k]), (tail[k], head[k], first[k])):
            there = (int(node), float(length[k]), int(chart[k]), int(place))
            ways.setdefault(int(end), []).append(there)
    distance, way_on = _from_outlets(ways, fans.way)

    way, to, place = fans.way.copy(), fans.chart.copy(), fans.place.copy()
    for node, (onto, corner) in way_on.items():
        way[node], to[node], place[node] = Way.SLIDES, onto, corner
    reach = np.array(
        [
            (distance.get(int(a), np.inf), distance.get(int(b), np.inf), size)
            for a, b, size in zip(head, tail, length, strict=True)
        ]
    ).reshape(-1, 3)
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


def _from_outlets(
    ways: dict[int, list[tuple[int, float, int, int]]], way: NDArray[np.uint8]
) -> tuple[dict[int, float], dict[int, tuple[int, int]]]:
    """Shortest distance of each node to an outlet, and the crease (chart, corner) that leads there.

    ways: for each node that is reached, the nodes it can be reached from, with the length, chart
    and end corner of the crease between.
    """
    distance = {node: 0.0 for node in ways if way[node] != Way.STAYS}
    way_on: dict[int, tuple[int, int]] = {}
    queue = [(0.0, node) for node in sorted(distance)]
    while queue:
        far, node = heapq.heappop(queue)
        if far > distance[node]:
            continue
        for before, length, chart, corner in ways.get(node, ()):
            if far + length < distance.get(before, np.inf):
                distance[before] = far + length
                way_on[before] = (chart, corner)
                heapq.heappush(queue, (far + length, before))
    return distance, way_on
