"""Corners: the ring of charts round each corner on one side, and where water goes from there."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from sim.classes import Action, Classes
from sim.compiled import compiled
from sim.edges import TURN, Edges
from sim.surface import Surface
from sim.tolerances import FLAT, NUDGE, STANDOFF, TIE


class Way(IntEnum):
    """Where water goes from a corner."""

    STAYS = 0
    """No way down: a pit, or an inner point of a level crease."""
    RUNS = 1
    """Into a chart of the fan."""
    SLIDES = 2
    """Along a crease."""
    DRIPS = 3
    """It falls."""
    LEVEL = 4
    """Along one of two level creases (`sim.level`)."""


STAYS, RUNS, SLIDES, DRIPS = (int(way) for way in (Way.STAYS, Way.RUNS, Way.SLIDES, Way.DRIPS))
SLIDE_FIRST, SLIDE_SECOND = int(Action.SLIDE_FIRST), int(Action.SLIDE_SECOND)


@dataclass(frozen=True, slots=True, eq=False)
class Fans:
    """Rings of charts round corners, one ring for each connected patch of air.

    of_corner (2m, 3) int32: the fan of each corner of each chart, -1 for no side; way (k,) uint8 of
    `Way`; chart (k,) int32 and place (k,) int8: where it leads: into `chart` from its corner
    `place`, or along an edge of `chart` to its corner `place`; start (k, 3) [m] and corner (k,)
    int32: for DRIPS, where the fall begins and the matched corner whose faces it leaves behind.
    """

    of_corner: NDArray[np.int32]
    way: NDArray[np.uint8]
    chart: NDArray[np.int32]
    place: NDArray[np.int8]
    start: NDArray[np.float64]
    corner: NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """All fans of a surface, whatever drives its water; each member of a fan follows the one before.

    of_corner (2m, 3) int32: the fan of each corner of each chart; fan, chart, corner and leave (p,):
    fan of each member, its chart, which corner of that, and the edge by which the ring goes on;
    start (k, 3) [m]: where a drip from each fan begins; vertex (k,) int32: its matched corner; airy
    (k,): whether the way down from it is air.
    """

    of_corner: NDArray[np.int32]
    fan: NDArray[np.int32]
    chart: NDArray[np.int32]
    corner: NDArray[np.int8]
    leave: NDArray[np.int8]
    start: NDArray[np.float64]
    vertex: NDArray[np.int32]
    airy: NDArray[np.bool_]

    @staticmethod
    def of(surface: Surface, edges: Edges, down: NDArray[np.float64]) -> Rings:
        """Walk round every corner; water falls along the unit vector `down` (3,)."""
        of_corner, chart, corner, leave = _walk_round(edges.neighbour, edges.near, edges.far)
        fan = of_corner[chart, corner]
        first = np.searchsorted(fan, np.arange(int(fan.max()) + 1))
        start, vertex = _drip_starts(surface, edges, fan, chart, corner, first, down)
        airy = _open_below(
            len(start), fan, chart, corner, leave, surface.vertices, surface.faces, surface.normals,
            edges.neighbour, edges.air, down,
        )  # fmt: skip
        return Rings(of_corner, fan, chart, corner, leave, start, vertex, airy)


def fans_of(
    surface: Surface, edges: Edges, rings: Rings, classes: Classes, down: NDArray[np.float64]
) -> Fans:
    """Decide each fan by steepest way down.

    Candidates are charts whose drive points into them from the corner (its size counts) and creases
    that fall away from it (their slope counts). Equal ones: the side that faces up, then the one
    that leads to greater y, then x. With none, water drips if the way down from the corner is air.
    """
    way, to, place = _decide(
        rings.fan, rings.chart, rings.corner, rings.leave, rings.airy, surface.vertices,
        surface.faces, surface.normals, classes.direction, classes.slope, classes.push,
        classes.crease, classes.action, edges.neighbour, edges.near, edges.far, down,
    )  # fmt: skip
    return Fans(rings.of_corner, way, to, place, rings.start, rings.vertex)


@compiled
def _walk_round(neighbour, near, far):
    """Fan of each corner, and the members of all fans in order: chart, corner, edge left by."""
    charts = len(neighbour)
    of_corner = np.full((charts, 3), -1, np.int32)
    chart = np.empty(charts * 3, np.int32)
    corner = np.empty(charts * 3, np.int8)
    leave = np.empty(charts * 3, np.int8)
    fans, members = 0, 0
    for c0 in range(charts):
        for j0 in range(3):
            if neighbour[c0, 0] < 0 or of_corner[c0, j0] >= 0:
                continue
            c, j, e = c0, j0, (j0 + 1) % 3
            while of_corner[c, j] < 0:
                of_corner[c, j] = fans
                chart[members], corner[members], leave[members] = c, j, e
                members += 1
                a, b = near[c, e], far[c, e]
                into = 3 - a - b
                j = a if (e + 1) % 3 == j else b
                c = neighbour[c, e]
                e = 3 - j - into
            fans += 1
    return of_corner, chart[:members].copy(), corner[:members].copy(), leave[:members].copy()


@compiled
def _open_below(count, fan, chart, corner, leave, vertices, faces, normals, neighbour, air, down):
    """Whether the way down from the corner of each fan is air: asked at the edge that lies nearest to
    it. Members of a fan follow each other."""
    airy = np.zeros(count, np.bool_)
    stop = 0
    for k in range(count):
        start = stop
        while stop < len(fan) and fan[stop] == k:
            stop += 1
        lowest, drips, wraps = -2.0, False, False
        for i in range(start, stop):
            c, j, e = np.int64(chart[i]), np.int64(corner[i]), np.int64(leave[i])
            f = c >> 1
            a, b = faces[f, j], faces[f, 3 - j - e]
            x = vertices[b, 0] - vertices[a, 0]
            y = vertices[b, 1] - vertices[a, 1]
            z = vertices[b, 2] - vertices[a, 2]
            size = np.sqrt(x * x + y * y + z * z)
            fall = (x * down[0] + y * down[1] + z * down[2]) / size
            wraps = wraps or air[c, e] > TURN - FLAT
            opens = _rise(normals, down, c) + _rise(normals, down, np.int64(neighbour[c, e])) < -TIE
            if fall > lowest + TIE:
                lowest, drips = fall, opens
            elif fall > lowest - TIE:
                drips = drips and opens
        airy[k] = drips or wraps
    return airy


@compiled
def _decide(
    fan, chart, corner, leave, airy, vertices, faces, normals, direction, slope, push, crease, action,
    neighbour, near, far, down,
):  # fmt: skip
    """Way, chart and place of each fan. Members of a fan follow each other."""
    count = len(airy)
    way = np.zeros(count, np.uint8)
    to = np.full(count, -1, np.int32)
    place = np.zeros(count, np.int8)
    stop = 0
    for k in range(count):
        start = stop
        while stop < len(fan) and fan[stop] == k:
            stop += 1
        best = (-1.0, 0.0, 0.0, 0.0)
        for i in range(start, stop):
            c, j, e = np.int64(chart[i]), np.int64(corner[i]), np.int64(leave[i])
            # The edge left by lies opposite the corner after this one, or before it.
            end = 3 - j - e
            if slope[c] > 0.0 and push[c, e] <= 0.0 and push[c, end] <= 0.0:
                trial = (slope[c], _rise(normals, down, c), direction[c, 1], direction[c, 0])
                if _better(trial, best):
                    best = trial
                    way[k], to[k], place[k] = RUNS, c, j
            ahead = e == j + 1 or e == j - 2
            drives = -crease[c, e] if ahead else crease[c, e]
            if drives <= 0.0:
                continue
            n, over = np.int64(neighbour[c, e]), 3 - near[c, e] - far[c, e]
            for side in range(2):
                slides = action[c, e] if side == 0 else action[n, over]
                if slides in (SLIDE_FIRST, SLIDE_SECOND):
                    f = c >> 1
                    a, b = faces[f, j], faces[f, end]
                    x = vertices[b, 0] - vertices[a, 0]
                    y = vertices[b, 1] - vertices[a, 1]
                    z = vertices[b, 2] - vertices[a, 2]
                    size = np.sqrt(x * x + y * y + z * z)
                    rise = _rise(normals, down, c if side == 0 else n)
                    trial = (drives, rise, y / size, x / size)
                    if _better(trial, best):
                        best = trial
                        way[k], to[k], place[k] = SLIDES, c, end
                        if side == 1:
                            to[k], place[k] = n, near[c, e] if ahead else far[c, e]
        if way[k] == STAYS and airy[k]:
            way[k] = DRIPS
    return way, to, place


@compiled
def _rise(normals, down, chart):
    """How much a chart faces up, against the drive: -1 to 1."""
    f = chart >> 1
    lean = normals[f, 0] * down[0] + normals[f, 1] * down[1] + normals[f, 2] * down[2]
    return lean if chart & 1 else -lean


@compiled
def _better(trial, best):
    """Whether four figures beat four others, the first that differs by more than TIE deciding."""
    for k in range(4):
        if trial[k] > best[k] + TIE:
            return True
        if trial[k] < best[k] - TIE:
            return False
    return False


def _drip_starts(
    surface: Surface,
    edges: Edges,
    fan: NDArray[np.integer],
    chart: NDArray[np.integer],
    corner: NDArray[np.integer],
    first: NDArray[np.integer],
    down: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Where a drip from each fan begins: a stand-off above its upper charts, nudged out level."""
    face = chart // 2
    normal = surface.normals[face] * np.where(chart % 2 == 0, 1.0, -1.0)[:, None]
    upper = normal @ down < -FLAT
    some = np.logical_or.reduceat(upper, first)[fan]
    lift = np.add.reduceat(normal * np.where(some, upper, True)[:, None], first)
    # The outward normals of the two edges at a corner add up to the way out of its wedge.
    out = edges.outward[face, (corner + 1) % 3] + edges.outward[face, (corner + 2) % 3]
    out = np.add.reduceat(out, first)
    out = out - (out @ down)[:, None] * down
    vertex = surface.faces[face, corner][first]
    start = surface.vertices[vertex] + STANDOFF * _unit(lift) + NUDGE * _unit(out)
    return start, surface.corners[vertex]


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    size = np.linalg.norm(vectors, axis=1, keepdims=True)
    return np.where(size > FLAT, vectors / np.where(size > FLAT, size, 1.0), 0.0)
