"""Upstands along a run of edges, and the returns that close them at a corner."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot, tan

from meshes.around.rim import Rim
from meshes.around.sheets import DRESSED, Sheet
from meshes.around.turn_ins import nose, on_plane
from meshes.line import NARROW
from meshes.piece import Named
from meshes.plan import Corner
from meshes.sheet import Point
from meshes.turn_in import FALL

CLEAR_OF_TOP = 0.006  # [m] a return keeps this far from the turn-in of the sheet that it lies on
UNDER_TOP = (
    0.012  # [m] one that is tucked under ends this far below the turn-in of the sheet over it
)
RETURN_DROP = 0.35  # [1] fall of a return's top edge away from the corner: no source
BEFORE_WALL = 0.0006  # [m] an edge dressed to the wall stops this far before it
SAME_HEIGHT = 0.0002  # [m] tops that differ by less meet
OFF_BEND = 0.00015  # [m] a top lip without a nose begins so far from the bend: no water passes
LEAST = 0.010  # [m] a return less high than this is left off

Shoulders = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Carried:
    """What an upstand's edge round a corner is carried over: the sheet there.

    free: a point in plan up to which, from the corner, it still stands on its own cover.
    """

    over: Sheet
    free: Corner | None = None


@dataclass(frozen=True, slots=True)
class Narrow:
    """An upstand's end that stops short of the stack's corner: at `at` in plan, up to a height z [m]."""

    at: Corner
    upto: float


def upstand(
    sheet: Sheet,
    points: tuple[Corner, ...],
    shoulders: Shoulders = (None, None),
    carried: tuple[Carried | None, Carried | None] = (None, None),
    narrow: tuple[Narrow | None, Narrow | None] = (None, None),
) -> list[Named]:
    """One upright facet an edge of a run, from its foot to a straight top edge.

    shoulders: heights z [m], at the run's first and last corner, above which it ends square at the
    stack's corner and is dressed back to the wall, to leave room for the sheet that lies over it there.
    carried: what its first and its last edge are carried over, round a corner; narrow: how its ends
    stop before what they meet there.
    """
    out = sheet.out(points)
    for at, end in zip((0, -1), narrow, strict=True):
        out[at] = out[at] if end is None else end.at
    found: list[Named] = []
    for number, (a, b) in enumerate(pairwise(out)):
        foot = sheet.foot(a, b)
        if number == 0 and carried[0] is not None:
            foot = _carried_foot(sheet, carried[0], a, b, corner_last=True)
        elif number == len(out) - 2 and carried[1] is not None:
            foot = _carried_foot(sheet, carried[1], a, b, corner_last=False)
        last = _head(sheet, points[-1], b, foot[-1], (shoulders[1], narrow[1]), at_end=True)
        first = _head(sheet, points[0], a, foot[0], (shoulders[0], narrow[0]), at_end=False)
        ends = last if number == len(out) - 2 else [(*b, sheet.top(*b))]
        starts = first if number == 0 else [(*a, sheet.top(*a))]
        found.append(("upstand", [*foot, *ends, *reversed(starts)]))
        for edge, head, corner, at_end in (
            (number == len(out) - 2 and shoulders[1] is not None, last, points[-1], True),
            (number == 0 and shoulders[0] is not None, first, points[0], False),
        ):
            if edge:
                found += _wall_edge(sheet, corner, head, at_end=at_end)
    return found


def _carried_foot(
    sheet: Sheet, carried: Carried, a: Corner, b: Corner, *, corner_last: bool
) -> list[Point]:
    # Along the fall line the cover's own edge is at its foot; else it is cut to the sheet beside it.
    if abs(b[0] - a[0]) < NARROW:
        return sheet.foot(a, b)
    if carried.free is None:
        return tight(carried.over, a, b)
    far, corner = (a, b) if corner_last else (b, a)
    if hypot(far[0] - carried.free[0], far[1] - carried.free[1]) < NARROW:
        return sheet.foot(a, b)
    own, cut = sheet.foot(corner, carried.free), tight(carried.over, carried.free, far)
    return [*own, *cut] if not corner_last else [*reversed(cut), *reversed(own)]


def round_corner(
    sheet: Sheet, points: tuple[Corner, ...], reach: float, *, on: bool
) -> tuple[Corner, ...]:
    """A run with a point `reach` [m] past its last corner (on) or before its first, on the outline."""
    past = past_corner(sheet, points[-1 if on else 0], reach, on=on)
    return (*points, past) if on else (past, *points)


def past_corner(sheet: Sheet, corner: Corner, reach: float, *, on: bool) -> Corner:
    """The point of the outline `reach` [m] past a corner, anticlockwise (on) or the other way."""
    return Rim(sheet.rim.plan, 0.0).past(corner, reach, on=on)


def shoulder(sheet: Sheet, over: Sheet, corner: Corner) -> float | None:
    """Where a sheet must make room for a lower one that lies over it at a corner; None: nowhere."""
    at = sheet.rim.at(corner)
    high = over.top(*at) - UNDER_TOP
    lower = over.top(*at) < sheet.top(*at) - SAME_HEIGHT
    return high if lower else None


def _head(
    sheet: Sheet,
    corner: Corner,
    out: Corner,
    foot: Point,
    room: tuple[float | None, Narrow | None],
    *,
    at_end: bool,
) -> list[Point]:
    """The end of an upstand from below its top edge up: one point, or three with a shoulder."""
    low, narrow = room
    if narrow is not None:
        whole = sheet.rim.at(corner)
        return [(*out, narrow.upto), (*whole, narrow.upto), (*whole, sheet.top(*whole))]
    if low is None:
        return [(*out, sheet.top(*out))]
    square = sheet.rim.square(corner, at_end=at_end)
    step = max(low, foot[2] + 0.004)
    return [(*out, step), (*square, step), (*square, sheet.top(*square))]


def _wall_edge(sheet: Sheet, corner: Corner, head: list[Point], *, at_end: bool) -> list[Named]:
    x, y, top = head[2]
    inward = sheet.rim.inward(corner, on=not at_end)
    by = sheet.rim.distance - BEFORE_WALL
    wall = (x + inward[0] * by, y + inward[1] * by)
    low = max(head[1][2], sheet.underlay(x, y))
    if low > top - LEAST:
        return []
    return [("wall edge", [(x, y, low), (x, y, top), (*wall, top), (*wall, low)])]


def return_over(
    sheet: Sheet, points: tuple[Corner, ...], beside: Sheet, reach: float, *, on: bool
) -> list[Named]:
    """The upstand turned round a corner onto the next face, over the sheet there, edges dressed tight.

    reach: how far [m]; on: round the run's last corner (True), or its first.
    """
    corner = points[-1 if on else 0]
    a, b = sheet.rim.at(corner), sheet.rim.past(corner, reach, on=on)
    inward = sheet.rim.inward(corner, on=on)
    apart = sheet.rim.distance - beside.rim.distance - DRESSED
    back = _moved(b, inward, apart)
    # Along the fall line the cover's own edge is at its foot; else it is cut to the sheet beside it.
    falls = abs(b[0] - a[0]) < 1e-9
    foot = sheet.foot(a, b) if falls else tight(beside, a, b)
    # From there out to the return: a riser may lie between.
    under = tight(beside, back, b)[:-1]
    low = under[0][2]
    high, end = sheet.top(*a), sheet.top(*b)
    theirs = beside.top(*_moved(back, inward, DRESSED))
    if end < theirs - CLEAR_OF_TOP:
        start, rise = _begins(sheet, points, apart, on=on)
        end = max(min(end, start[2] - RETURN_DROP * reach), (foot[-1][2] + start[2]) / 2)
        named: list[Named] = [("return", [*foot, (*b, end), start, (*a, high)])]
        if end > foot[-1][2] + LEAST:
            named.append(("return edge", [foot[-1], (*b, end), (*back, end + rise), *under]))
        near = _moved(start[:2], inward, apart)
        top: list[Point] = [start, (*b, end), (*back, end + rise), (*near, start[2] + rise)]
        return [*named, ("return top", top)]
    named = [("return", [*foot, (*b, end), (*a, high)])]
    wall = _moved(b, inward, sheet.rim.distance - BEFORE_WALL)
    over = theirs + (beside.rim.distance - BEFORE_WALL) * tan(FALL) * (beside.turn_in > 0)
    highest = max(foot[-1][2], low)
    if over + 0.002 < end and theirs > highest:
        # Over the turn-in of the sheet that it lies on, and tight to that below.
        edge: list[Point] = [foot[-1], (*b, end), (*wall, end), (*wall, over + DRESSED)]
        edge += [(*back, theirs + DRESSED), *under]
        named.append(("return edge", edge))
    return named


def _begins(
    sheet: Sheet, points: tuple[Corner, ...], apart: float, *, on: bool
) -> tuple[Point, float]:
    """Where the top lip of a low return begins, at the turn-in's nose, and how much it rises inward."""
    corner = points[-1 if on else 0]
    a, b = sheet.rim.at(corner), sheet.rim.past(corner, 1.0, on=on)
    if sheet.turn_in <= 0:
        x, y = _moved(a, (b[0] - a[0], b[1] - a[1]), OFF_BEND)
        return (x, y, sheet.top(*a)), 0.0
    outer, _ = nose(sheet, corner, on=on)
    near = _moved(outer, sheet.rim.inward(corner, on=on), apart)
    z, further = (on_plane(sheet, points, point, at_end=on) for point in (outer, near))
    return (*outer, z), further - z


def return_under(
    sheet: Sheet, points: tuple[Corner, ...], over: Sheet, reach: float, *, on: bool
) -> list[Named]:
    """The upstand turned round a corner, behind the sheet that lies over it there."""
    corner = points[-1 if on else 0]
    a, b = sheet.rim.at(corner), sheet.rim.past(corner, reach, on=on)
    foot = sheet.lie(a).height(*a)
    rise = max(sheet.lie(b).height(*b) - foot, 0.0)
    under = min(over.top(*a), over.top(*b)) - UNDER_TOP
    tops = [min(sheet.top(*p), under) for p in (a, b)]
    if min(tops[0] - foot, tops[1] - foot - rise) < LEAST:
        return []
    return [("return", [(*a, foot), (*b, foot + rise), (*b, tops[1]), (*a, tops[0])])]


def edge_lip(sheet: Sheet, beside: Sheet, start: Corner, end: Corner) -> list[Named]:
    """The free edge of a cover down the slope from `start` to `end` in plan, dressed tight to the
    sheet below it."""
    above = sheet.foot(end, start)
    below = tight(beside, end, start)
    return [("cover lip", [*above, *reversed(below)])]


def tight(beside: Sheet, a: Corner, b: Corner) -> list[Point]:
    """A line from a to b in plan, dressed tight to a sheet below."""
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    return beside.lie(middle).lifted(DRESSED).foot(a, b)


def _moved(point: Corner, way: Corner, by: float) -> Corner:
    return (point[0] + way[0] * by, point[1] + way[1] * by)
