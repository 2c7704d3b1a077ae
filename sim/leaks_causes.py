"""Why water went in where it did: the edge that it crossed, and the leak that it belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from meshes.parts import Role
from sim.charts import Charts
from sim.laps_borders import HalfEdges, edge_kinds, pieces
from sim.laps_table import RUN_TURN
from sim.leaks_falls import fallen_past
from sim.leaks_gaps import gap_widths
from sim.leaks_places import NO_RUN, gathered, one_place
from sim.leaks_table import AT_A_CORNER, ONE_LEAK, TOP_EDGE, UPRIGHT
from sim.leaks_ways import Flags, Floats, Ints, WaysIn
from sim.nearby import nearest
from sim.places import Places, outline_of, shaft_of, sharp_corners
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
    FELL_STRAIGHT_IN = "fell straight in"
    """From the sky, past all sheets."""
    DRIVEN_UP_A_LAP = "driven up a lap"
    """Beneath the edge of a lying sheet, uphill: by the wind."""
    BLOWN_ACROSS = "blown across"
    """Beneath the edge of a lying sheet, aside from the way that it would fall: by the wind."""
    OVERTOPPED = "overtopped"
    """Out of water that stood until it spilled."""
    THROUGH_A_GAP = "through a gap"
    """Through a split, a tear or a hole in a sheet itself."""


ORDER = tuple(Cause)


@dataclass(frozen=True, slots=True, eq=False)
class Causes:
    """One row a way in. cause (n,): index in `ORDER`; came_from (n,): part that the water ran on, or
    fell straight onto; behind (n,): part that it went behind, or the one it fell past the end of; past
    (n,): it fell, with nothing over it; corner (n, 2): the two flashings at a corner, by part, -1
    elsewhere; point (n, 3) [m]: where, in the assembly's coordinates; sheet (n,): face of the part that
    it went behind there, -1 for none; inward and normal (n, 3): unit, from that part's nearest edge into
    it, and its normal there, nil without an edge near; off (n,) [m]: how far that edge is; gap (n,) [m]:
    how wide the gap in that part is that it went through, nan for none; at_off (n,): whether that is where
    it left this part, see `WaysIn.off`; leak (n,): number of the leak."""

    cause: Ints
    came_from: Ints
    behind: Ints
    past: Flags
    corner: Ints
    point: Floats
    sheet: Ints
    inward: Floats
    normal: Floats
    off: Floats
    gap: Floats
    at_off: Flags
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
    # Sheets that close on themselves have no border at all.
    bordered = np.flatnonzero(row >= 0)
    hangs = np.zeros(len(point), dtype=np.bool_)
    hangs[bordered] = borders.inward[row[bordered], 2] < -TOP_EDGE
    cause = np.full(len(point), ORDER.index(Cause.PAST_AN_END))
    cause[~past & ~upright & ~ways.fell] = ORDER.index(Cause.RAN_UNDER)
    cause[upright & hangs] = ORDER.index(Cause.OVER_A_TOP_EDGE)
    under = cause == ORDER.index(Cause.RAN_UNDER)
    cause[under & ways.aside] = ORDER.index(Cause.BLOWN_ACROSS)
    cause[under & ways.climbs] = ORDER.index(Cause.DRIVEN_UP_A_LAP)
    cause[ways.stood] = ORDER.index(Cause.OVERTOPPED)
    gap, off = _gaps(surface, borders, ways, behind, (point, row))
    point[off] = ways.off_at[off] - surface.centre
    near[off], row[off] = _nearest(borders, behind[off], point[off])
    cause[gap > 0] = ORDER.index(Cause.THROUGH_A_GAP)
    came_from[gap > 0] = behind[gap > 0]
    past[gap > 0] = False
    corner = _corners(surface, borders, point)
    corner[ways.direct] = -1
    cause[corner[:, 0] >= 0] = ORDER.index(Cause.THROUGH_A_CORNER)
    cause[ways.direct] = ORDER.index(Cause.FELL_STRAIGHT_IN)
    close = np.flatnonzero((near <= ONE_LEAK) & (row >= 0))
    run = np.full(len(point), NO_RUN)
    run[close] = borders.run[row[close]]
    key = np.column_stack([cause, came_from, behind])
    at_corner = corner[:, 0] >= 0
    key[at_corner, 1:], run[at_corner] = corner[at_corner], NO_RUN
    # What falls straight in falls past one side of the stack, on whatever lies there.
    key[ways.direct, 1:], run[ways.direct] = -1, Places.of(surface).sides(point[ways.direct])
    leak = gathered(one_place(key, run, point), key, point)
    inward, normal = np.zeros((len(point), 3)), np.zeros((len(point), 3))
    inward[close], normal[close] = borders.inward[row[close]], borders.normal[row[close]]
    return Causes(
        cause, came_from, behind, past, corner, point + surface.centre, sheet, inward, normal, near,
        np.where(cause == ORDER.index(Cause.THROUGH_A_GAP), gap, np.nan), off, leak,
    )  # fmt: skip


def _gaps(
    surface: Surface, borders: HalfEdges, ways: WaysIn, behind: Ints, at: tuple[Floats, Ints]
) -> tuple[Floats, Flags]:
    """Width (n,) [m] of the gap in the flashing `behind` (n,) that each water goes through, nan for none;
    and whether that is where it leaves this sheet, before or after the way in that was found: water is in
    the open below a gap, and in shelter above one that no sky is seen from. at: the ways in (n, 3) [m],
    recentred, and the border (n,) nearest to each."""
    point, row = at
    # What comes down a wall to a sheet's top edge was never on that sheet.
    could = (ways.off_part == behind) & ~ways.stood & ~ways.direct
    leaves = ways.off_at - surface.centre
    _, edge = _nearest(borders, behind, leaves)
    there = gap_widths(borders, np.where(could, edge, -1), leaves)
    here = gap_widths(borders, np.where(could & np.isnan(there), row, -1), point)
    return np.where(there > 0, there, here), there > 0


def _nearest(borders: HalfEdges, part: Ints, point: Floats) -> tuple[Floats, Ints]:
    """Distance (n,) [m] and row (n,) of the nearest piece of border of each part; inf and -1: none."""
    distance, row = np.full(len(part), np.inf), np.full(len(part), -1, dtype=np.int64)
    for each in np.unique(part):
        own, here = np.flatnonzero(borders.part == each), np.flatnonzero(part == each)
        if len(own):
            distance[here], found = nearest(borders.middle[own], point[here])
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
    away, _ = nearest(plan, point[:, :2])
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
    """Corners (k, 2) [m] of the shaft of the stack in plan, recentred: none where it is round."""
    shaft = shaft_of(surface)
    return sharp_corners(outline_of(shaft), RUN_TURN) if len(shaft) else np.zeros((0, 2))
