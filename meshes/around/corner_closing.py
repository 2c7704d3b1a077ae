"""What closes the end of a run at a corner: returns, dressed edges, the joint of a bossed corner."""

from __future__ import annotations

from itertools import pairwise
from math import cos, tan

from meshes.around.corners import End, Run, is_higher, reach_round, turns
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import DRESSED, Sheet
from meshes.around.upstand import (
    BEFORE_WALL,
    CLEAR_OF_TOP,
    LEAST,
    UNDER_TOP,
    edge_lip,
    past_corner,
    return_over,
    return_under,
    tight,
)
from meshes.piece import TIGHT, Named
from meshes.plan import Corner
from meshes.sheet import Point
from meshes.turn_in import FALL

CLOSED_END = 0.060  # [m] of a cover's free edge below a corner, dressed tight; the rest drains
DRAINS = 0.003  # [m] an edge dressed to a sheet ends so far above what lies at its foot


def closed(
    scheme: Scheme, sheet: Sheet, run: Run, end: End, beside: Sheet | None, *, stepped: bool
) -> list[Named]:
    """What closes an end of a run beside another's sheet; stepped: one whose top edge is stepped."""
    if beside is None:
        return []
    detail = scheme.detail
    if detail.joint == "bossed" and not end.last:
        return _bossed_end(scheme, sheet, end, beside)
    over, under = turns(scheme, end)
    lip = _cover_lip(scheme, sheet, end, beside) if end.over and not end.last else []
    wide = reach_round(sheet, end.corner, detail.sides.corner_return, on=end.on)
    if wide == 0 or not (over or under):
        return lip
    if under:
        return return_under(sheet, run.points, beside, wide, on=end.on)
    if end.over and is_higher(sheet, end.corner, beside) and not stepped:
        shut = can_be_shut(scheme)
        return round_edge(sheet, end.corner, beside, wide, on=end.on, shut=shut) + lip
    if end.over:
        return return_over(sheet, run.points, beside, wide, on=end.on) + lip
    return _scoop(scheme, sheet, run, end, beside, wide)


def _cover_lip(scheme: Scheme, sheet: Sheet, end: End, beside: Sheet) -> list[Named]:
    length = CLOSED_END * cos(scheme.detail.roof.pitch)
    x, y = sheet.rim.at(end.corner)
    return edge_lip(sheet, beside, (x, y), (x, y - length))


def can_be_shut(scheme: Scheme) -> bool:
    """Whether edges can be dressed tight over the sides' turn-ins: not over those of steps, each of which
    stands a little nearer to the wall at its upper end; nor below a saddle, behind the mitre of whose
    steep turn-in water stands that must run out there."""
    saddle = scheme.back is not None and scheme.back.saddle > 0
    return scheme.detail.sides.way != "soakers" and not saddle


def round_edge(
    sheet: Sheet, corner: Corner, beside: Sheet, wide: float, *, on: bool, shut: bool
) -> list[Named]:
    """What closes the edge of an upstand that is carried round a corner. shut: as `dressed_edge` has it."""
    at = sheet.rim.at(past_corner(sheet, corner, wide, on=on))
    return dressed_edge(sheet, at, beside, sheet.rim.inward(corner, on=on), shut=shut)


def dressed_edge(
    sheet: Sheet,
    at: Corner,
    beside: Sheet,
    inward: Corner,
    low: float | None = None,
    *,
    shut: bool = False,
) -> list[Named]:
    """The free upright edge of a sheet that ends upon another's: dressed to that one's upstand, and
    where it stands higher, over that one's turn-in and to the wall.

    at: where it ends in plan, off the wall; inward: unit vector to the wall; low: height z [m] of its
    lower end, None: its foot; shut: whether it is dressed tight to the wall, to its own turn-in and over
    the other's, so that nothing the wind drives along the wall passes behind it.
    """

    def moved(by: float) -> Corner:
        return (at[0] + inward[0] * by, at[1] + inward[1] * by)

    back = moved(sheet.rim.distance - beside.rim.distance - DRESSED)
    foot = sheet.lie(at).height(*at) if low is None else low
    under = [(x, y, z + DRAINS) for x, y, z in tight(beside, back, at)[:-1]]
    under = under if low is None else [(*back, low)]
    end, theirs = sheet.top(*at), beside.top(*moved(sheet.rim.distance - beside.rim.distance))
    if end < theirs - DRESSED:
        return [("edge", [(*at, foot), (*at, end), (*back, end), *under])]
    off, clear = (TIGHT, TIGHT) if shut else (BEFORE_WALL, DRESSED)
    deep, deep_own = beside.rim.distance - off, sheet.rim.distance - off
    over = theirs + deep * tan(FALL) * (beside.turn_in > 0)
    wall = moved(deep_own)
    if over + 0.002 > end:
        return []
    high = end
    if shut and sheet.turn_in > 0:
        high += deep_own * tan(FALL) - TIGHT
    edge: list[Point] = [(*at, foot), (*at, end), (*wall, high), (*wall, max(over + clear, foot))]
    if theirs > under[0][2]:
        edge += [(*back, theirs + clear), *under]
    return [("edge", edge)]


def _bossed_end(scheme: Scheme, sheet: Sheet, end: End, beside: Sheet) -> list[Named]:
    inward = sheet.rim.inward(end.corner, on=end.on)
    at = sheet.rim.at(end.corner)
    if end.over:
        return dressed_edge(sheet, at, beside, inward) + _cover_lip(scheme, sheet, end, beside)
    found: list[Named] = []
    for a, b in pairwise(sheet.out(end.tongue)):
        tops = [min(sheet.top(*p), beside.top(*p) - UNDER_TOP) for p in (a, b)]
        found.append(("tongue", [*sheet.foot(a, b), (*b, tops[1]), (*a, tops[0])]))
    # Above the later piece's turn-in its own edge is free.
    deep = sheet.rim.distance - BEFORE_WALL
    wall = (at[0] + inward[0] * deep, at[1] + inward[1] * deep)
    low, high = beside.top(*at) + CLEAR_OF_TOP, sheet.top(*at)
    low = max(low, sheet.underlay(*at))
    if high > low + LEAST:
        found.append(("wall edge", [(*at, low), (*at, high), (*wall, high), (*wall, low)]))
    return found


def _scoop(
    scheme: Scheme, sheet: Sheet, run: Run, end: End, beside: Sheet, wide: float
) -> list[Named]:
    """The earlier piece's upstand folded round the corner over the later one's: it faces up the slope."""
    outer = Rim(scheme.plan, beside.rim.distance + scheme.detail.gap)
    lifted = beside.lie(beside.rim.at(end.corner)).lifted(TIGHT)
    over = Sheet(outer, lambda _: lifted, sheet.top, sheet.underlay, 0.0)
    a, b = sheet.rim.at(end.corner), outer.at(end.corner)
    # Up to the later cover's corner it stands on its own cover, past it on that one.
    share = (beside.rim.distance - sheet.rim.distance) / (outer.distance - sheet.rim.distance)
    share -= 0.02
    k = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
    own = sheet.lie(a)
    low = [(*a, own.height(*a)), (*k, own.lifted(TIGHT).height(*k))]
    low += [(*k, lifted.height(*k)), (*b, lifted.height(*b))]
    fold: Named = ("fold", [*low, (*b, sheet.top(*b)), (*a, sheet.top(*a))])
    return [fold, *return_over(over, run.points, beside, wide, on=end.on)]
