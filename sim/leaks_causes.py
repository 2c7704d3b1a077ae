"""Why water went in where it did, and which ways in are one leak."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError, cKDTree

from meshes.parts import Role
from sim.charts import Charts
from sim.laps_borders import HalfEdges, edge_kinds, pieces
from sim.leaks_falls import fallen_past
from sim.leaks_table import AT_A_CORNER, CELL, ONE_LEAK, TOP_EDGE, UPRIGHT
from sim.leaks_ways import Flags, Floats, Ints, WaysIn
from sim.places import Places, shaft_of
from sim.surface import Surface


class Cause(StrEnum):
    """How water gets behind."""

    RAN_UNDER = "ran under"
    """Beneath the edge of a lying sheet, on what it lies on."""
    PAST_AN_END = "past an end"
    """Off or round the end of a sheet."""
    OVER_A_TOP_EDGE = "over a top edge"
    """Into the gap behind the upper edge of an upright sheet."""
    THROUGH_A_CORNER = "through a corner"
    """Through the slit between two flashings at a corner of the stack."""


ORDER = tuple(Cause)
NO_RUN = -1


@dataclass(frozen=True, slots=True, eq=False)
class Causes:
    """One row a way in. cause (n,): index in `ORDER`; came_from (n,): part that the water ran on;
    behind (n,): part that it went behind, or the one it fell past the end of; past (n,): it fell,
    with nothing over it; corner (n, 2): the two flashings at a corner, by part, -1 elsewhere; leak
    (n,): number of the leak."""

    cause: Ints
    came_from: Ints
    behind: Ints
    past: Flags
    corner: Ints
    point: Floats
    leak: Ints


def causes_of(charts: Charts, ways: WaysIn) -> Causes:
    """Read the cause of each way in off the edge that it crosses, and number the leaks."""
    surface = charts.surface
    point = ways.point - surface.centre
    ran_on = np.where(ways.direct, ways.goal, ways.chart)
    came_from = surface.face_part[ran_on // 2].astype(np.int64)
    kinds = edge_kinds(surface)
    borders, _ = pieces(kinds.free.joined(kinds.arrises))
    sheet, missed = np.where(ways.direct, -1, ways.sheet), np.full(len(point), -1, dtype=np.int64)
    falls = np.flatnonzero(ways.fell & (sheet < 0))
    point[falls], sheet[falls], missed[falls] = fallen_past(
        charts, borders, ways.point[falls], ways.landing[falls]
    )
    past = sheet < 0
    behind = np.where(past, np.where(missed >= 0, missed, came_from), surface.face_part[sheet])
    near, row = _nearest(borders, behind, point)
    upright = ~past & (np.abs(surface.normals[sheet, 2]) < UPRIGHT)
    hangs = (row >= 0) & (borders.inward[row, 2] < -TOP_EDGE)
    cause = np.full(len(point), ORDER.index(Cause.PAST_AN_END))
    cause[~past & ~upright & ~ways.fell] = ORDER.index(Cause.RAN_UNDER)
    cause[upright & hangs] = ORDER.index(Cause.OVER_A_TOP_EDGE)
    corner = _corners(surface, borders, point)
    corner[ways.direct] = -1
    cause[corner[:, 0] >= 0] = ORDER.index(Cause.THROUGH_A_CORNER)
    run = np.where((near <= ONE_LEAK) & (row >= 0), borders.run[row], -1)
    where = Places.of(surface).numbers(point)
    run = np.where(ways.direct, -2 - where, run)
    key = np.column_stack([cause, came_from, behind, ways.direct])
    at_corner = corner[:, 0] >= 0
    key[at_corner, 1:3], key[at_corner, 3:], run[at_corner] = corner[at_corner], 0, NO_RUN
    leak = _leaks(key, run, point)
    return Causes(cause, came_from, behind, past, corner, point + surface.centre, leak)


def _nearest(borders: HalfEdges, part: Ints, point: Floats) -> tuple[Floats, Ints]:
    """Distance (n,) [m] and row (n,) of the nearest piece of border of each part; inf and -1: none."""
    distance, row = np.full(len(part), np.inf), np.full(len(part), -1, dtype=np.int64)
    for each in np.unique(part):
        own, here = np.flatnonzero(borders.part == each), np.flatnonzero(part == each)
        if len(own):
            distance[here], found = cKDTree(borders.middle[own]).query(point[here])
            row[here] = own[found]
    return distance, row


def _corners(surface: Surface, borders: HalfEdges, point: Floats) -> Ints:
    """The two nearest flashings (n, 2) with borders at each point, if it is at a corner of the
    stack in plan; -1 elsewhere."""
    pair = np.full((len(point), 2), -1, dtype=np.int64)
    plan = _stack_corners(surface)
    flashings = surface.parts_with(Role.FLASHING)
    if not len(plan) or len(flashings) < 2:
        return pair
    away, _ = cKDTree(plan).query(point[:, :2])
    here = np.flatnonzero(away <= AT_A_CORNER)
    reach = np.column_stack(
        [_nearest(borders, np.full(len(here), part), point[here])[0] for part in flashings]
    )
    order = np.argsort(reach, axis=1, kind="stable")[:, :2]
    second = np.take_along_axis(reach, order[:, 1:], axis=1)[:, 0]
    meets = second <= AT_A_CORNER
    pair[here[meets]] = np.sort(np.array(flashings)[order[meets]], axis=1)
    return pair


def _stack_corners(surface: Surface) -> Floats:
    """Corners (k, 2) [m] of the shaft of the stack in plan, recentred."""
    plan = shaft_of(surface)[:, :2]
    try:
        return plan[ConvexHull(plan).vertices]
    except (QhullError, ValueError):
        return np.zeros((0, 2))


def _leaks(key: Ints, run: Ints, point: Floats) -> Ints:
    """Number of the leak (n,): ways in with one key that lie along one run of edge, or near others."""
    cell = np.floor(point / CELL).astype(np.int64)
    table, node = np.unique(np.column_stack([key, run, cell]), axis=0, return_inverse=True)
    node = node.reshape(-1)
    width = key.shape[1]
    near = cKDTree((table[:, width + 1 :] + 0.5) * CELL).query_pairs(
        ONE_LEAK, output_type="ndarray"
    )
    alike = (table[near[:, 0], :width] == table[near[:, 1], :width]).all(axis=1)
    follows = (table[1:, : width + 1] == table[:-1, : width + 1]).all(axis=1) & (
        table[1:, width] != NO_RUN
    )
    after = np.flatnonzero(follows)
    a = np.concatenate([near[alike, 0], after])
    b = np.concatenate([near[alike, 1], after + 1])
    graph = coo_array((np.ones(len(a)), (a, b)), shape=(len(table), len(table)))
    return connected_components(graph, directed=False)[1].astype(np.int64)[node]
