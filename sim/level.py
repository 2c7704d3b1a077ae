"""Level creases: how far it is from each of their ends to an outlet, and the way there."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import heapq
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.classes import Action
from sim.compiled import compiled
from sim.edges import Edges
from sim.fans import Fans, Way
from sim.surface import Surface
from sim.tables import CREASES

STAYS = int(Way.STAYS)


@dataclass(frozen=True, slots=True, eq=False)
class LevelCreases:
    """Level creases of the charts, each as one row for each side that water comes to it from.

    row (2m, 3) int32: row of a chart's edge, -1 where it is no level crease; table (r, 8): of each row
    from corner i + 1 on how far to an outlet without coming back, the same from corner i + 2 (inf:
    there is none), the crease's own length [m], its chart, and for both of its runs (2k along row k to
    corner i + 1, 2k + 1 to corner i + 2) which corner that is and which run follows, -1: none, it is
    an outlet; start (k, 2) int32: of each fan from which runs lead to outlets the one to the nearest,
    and that to the nearest by another crease, -1: none.
    """

    row: NDArray[np.int32]
    table: NDArray[np.float64]
    start: NDArray[np.int32]


def level_creases(
    surface: Surface,
    edges: Edges,
    action: NDArray[np.uint8],
    fans: Fans,
    down: NDArray[np.float64],
) -> tuple[LevelCreases, Fans]:
    """Measure along level creases to their outlets, and send stayed corners there.

    An outlet is a corner from which water has a way on, or drips. Distances are measured along the
    creases, round their turns, so that more or fewer triangles change nothing. A crease with no
    outlet, a closed ring too, keeps reach = inf and holds its water. Where more than two meet, water
    that comes along one goes on to the outlet nearest by another.
    """
    chart, edge = np.nonzero(action == Action.LEVEL)
    rows = np.arange(len(chart))
    row = np.full(action.shape, -1, dtype=np.int32)
    row[chart, edge] = rows
    other = _other_side(edges, row, chart, edge)
    # Of the two sides of a crease the one that faces up more carries what comes along it.
    facing = surface.normals[chart // 2] @ down * np.where(chart % 2 == 0, 1.0, -1.0)
    carries = (other < 0) | (facing < facing[other]) | ((facing == facing[other]) & (rows < other))
    carrier = np.where(carries, rows, other)
    ends = surface.vertices[surface.faces[chart // 2]]
    first, second = (edge + 1) % 3, (edge + 2) % 3
    length = np.linalg.norm(ends[rows, second] - ends[rows, first], axis=1)
    # Run 2k leads from the tail of row k to its head, at corner i + 1; run 2k + 1 the other way.
    to = np.stack([fans.of_corner[chart, first], fans.of_corner[chart, second]], axis=1)

    start, far = ways_out(np.flatnonzero(carrier == rows), to, length, fans.way != STAYS)
    outlet = fans.way[to] != STAYS
    back = start[to, 0] // 2 == carrier[:, None]
    following = np.where(outlet, -1, np.where(back, start[to, 1], start[to, 0]))
    onward = np.where(outlet, 0.0, np.where(back, far[to, 1], far[to, 0]))
    table = np.column_stack([onward, length, chart, first, second, following])
    way = np.where(start[:, 0] >= 0, Way.LEVEL, fans.way).astype(fans.way.dtype)
    return LevelCreases(row, table.reshape(-1, CREASES), start), replace(fans, way=way)


def no_level_creases(
    surface: Surface,
    edges: Edges,
    action: NDArray[np.uint8],
    fans: Fans,
    down: NDArray[np.float64],
) -> tuple[LevelCreases, Fans]:
    """As `level_creases`, but what comes to a level crease stays there."""
    del surface, edges, down
    level = action == Action.LEVEL
    row = np.full(action.shape, -1, dtype=np.int32)
    row[level] = 0
    held = np.array([[np.inf, np.inf, 1.0, 0.0, 0.0, 0.0, -1.0, -1.0]])
    return LevelCreases(row, held, np.full((len(fans.way), 2), -1, np.int32)), fans


def _other_side(
    edges: Edges,
    row: NDArray[np.int32],
    chart: NDArray[np.integer],
    edge: NDArray[np.integer],
) -> NDArray[np.int64]:
    """The row of the same crease on its other side, -1 where no water comes from there."""
    across = edges.neighbour[chart, edge].astype(np.int64)
    near, far = edges.near[chart, edge].astype(np.int64), edges.far[chart, edge].astype(np.int64)
    return np.where(across >= 0, row[across, 3 - near - far], -1).astype(np.int64)


@compiled
def ways_out(rows, to, length, outlet):
    """From each node (k, 2) the run to the nearest outlet and that to the nearest by another crease (-1:
    none), and how far they are [m] (inf). No way comes by a node twice: where creases close a ring, some
    longer ones may be missed. Outlets have none.

    rows (c,): the creases, one row each; to (r, 2): nodes that run 2k along row k and run 2k + 1, its
    reverse, lead to; length (r,), above nought; outlet (k,): which nodes are.
    """
    start, far = np.full((len(outlet), 2), -1, np.int32), np.full((len(outlet), 2), np.inf)
    runs = 2 * len(to)
    first = np.full(len(outlet), -1, np.int64)
    after = np.full(runs, -1, np.int64)
    degree = np.zeros(len(outlet), np.int64)
    # Where the way onward from a run next comes by a node where more than two creases meet.
    branch = np.full(runs, -1, np.int64)
    queue = [(np.inf, np.int64(-1))]
    # For each node the runs that end there, the first one first.
    for at in range(len(rows) - 1, -1, -1):
        for side in (1, 0):
            run = 2 * rows[at] + side
            node = to[rows[at], side]
            after[run] = first[node]
            first[node] = run
            degree[node] += 1
            if outlet[node]:
                heapq.heappush(queue, (length[rows[at]], np.int64(run)))
    while len(queue) > 0:
        size, run = heapq.heappop(queue)
        if run < 0:
            break
        node = np.int64(to[run // 2, 1 - run % 2])
        if outlet[node]:
            continue
        if start[node, 0] < 0:
            rank = 0
        elif start[node, 1] < 0 and not _comes_back(branch, run, np.int64(start[node, 0])):
            rank = 1
        else:
            continue
        start[node, rank], far[node, rank] = run, size
        # Water that comes along any other crease goes the nearest way; what comes along that, the other.
        avoid = run if rank == 0 else start[node, 0]
        before = first[node]
        while before >= 0:
            if (before // 2 == avoid // 2) == (rank == 1):
                branch[before] = run if degree[node] > 2 else branch[run]
                heapq.heappush(queue, (size + length[before // 2], before))
            before = after[before]
    return start, far


@compiled
def _comes_back(branch, run, nearest):
    """Whether a run's way onward comes round to the run `nearest` from the same node."""
    at = branch[run]
    while at >= 0:
        if at == nearest:
            return True
        at = branch[at]
    return False
