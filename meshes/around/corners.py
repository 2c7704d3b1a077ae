"""Where two runs meet at a corner of the stack: which of them turns round it, and what closes it.

return: the later piece turns round the corner over the earlier one, whose end is tucked under it (or,
folded up the slope, the other way round). slit and patch: neither turns; a patch lies over both.
bossed: the later piece runs round the corner in one with its cover, and ends upon the earlier one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, tan

from meshes.around.chains import Chain
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import DRESSED, Sheet
from meshes.around.turn_ins import NO_STOP, Ending, Stop
from meshes.around.upstand import (
    BEFORE_WALL,
    CLEAR_OF_TOP,
    LEAST,
    SAME_HEIGHT,
    UNDER_TOP,
    Carried,
    edge_lip,
    past_corner,
    return_over,
    return_under,
    round_corner,
    shoulder,
    tight,
)
from meshes.errors import require
from meshes.piece import TIGHT, Named
from meshes.plan import Corner
from meshes.sheet import Point
from meshes.turn_in import FALL

CLOSED_END = 0.060  # [m] of a cover's free edge below a corner, dressed tight; the rest drains
DRAINS = 0.003  # [m] an edge dressed to a sheet ends so far above what lies at its foot
UNDER_PLANE = 0.0002  # [m] a turned-up end stops so far under the turn-in over it
LEAST_STOP, MOST_STOP = 0.0003, 0.006  # [m] how high turn-ins' ends are turned up
LEAST_RETURN = 0.005  # [m] less is not turned
MOST_OF_EDGE = 0.4  # [1] no more of an edge is given to what comes round its corner
MOST_ALONE = 0.8  # [1] where nothing comes round its other corner
OFF_CORNER = 0.008  # [m] a joint on an edge lies so far from its ends
BEHIND_FOLD = 0.5  # bedding gaps from a corner to the end of an upstand that a fold goes round
NEAR = 0.020  # [m] turn-ins that meet at a corner this near in height would touch
STEEP = 0.3  # [1] a joint on an edge must lie so far across, as a share of its way along it


@dataclass(frozen=True, slots=True)
class End:
    """An end of a run: where it ends on the outline, the run that it meets there, whether it lies over
    that one; on: whether it is the end anticlockwise; last: whether it is the upper end.

    tongue: of a run that ends short of a corner, the line on which it goes on beneath the other.
    """

    corner: Corner
    beside: Chain | None
    over: bool
    on: bool
    last: bool
    tongue: tuple[Corner, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """The points of the outline along which a piece stands up, and its two ends."""

    points: tuple[Corner, ...]
    ends: tuple[End, End]


def run_of(scheme: Scheme, chain: Chain, worked: float) -> Run:
    """Where the piece of a chain stands up: its own edges, or bossed round its corners.

    worked: how far past a corner a bossed piece should reach [m]. Raises PieceError.
    """
    joint = scheme.detail.joint
    rule = f"down-slope with a {joint} joint, in which nothing is folded round the corner"
    require(joint == "return" or not folded_up(scheme), "facing", "up-slope", rule)
    under = scheme.chains.under
    at = under.index(chain)
    points = list(chain.points)
    ends = []
    for step, corner, on in ((-1, chain.start, False), (1, chain.end, True)):
        last = not 0 <= at + step < len(under)
        beside = scheme.chains.back if last else under[at + step]
        over = beside is not None and scheme.layers[chain.kind] > scheme.layers[beside.kind]
        tongue: tuple[Corner, ...] = ()
        if joint == "bossed" and not last and beside is not None:
            earlier = beside if over else chain
            way = list(earlier.points if earlier.start == corner else reversed(earlier.points))
            past, tongue = _joint_on(scheme, way, worked)
            if over:
                points = points + past[1:] if on else past[:0:-1] + points
                tongue = ()
            else:
                kept = [point for point in points if point not in past]
                points = [*kept, past[-1]] if on else [past[-1], *kept]
            corner = past[-1]
        ends.append(End(corner, beside, over, on, last, tongue))
    return Run(tuple(points), (ends[0], ends[1]))


def _joint_on(
    scheme: Scheme, way: Sequence[Corner], worked: float
) -> tuple[list[Corner], tuple[Corner, ...]]:
    """Points from a corner along an outline to the joint, and from there back under the later piece."""
    marks = [0.0]
    for a, b in pairwise(way):
        marks.append(marks[-1] + hypot(b[0] - a[0], b[1] - a[1]))
    far = min(worked, MOST_OF_EDGE * marks[-1])
    for mark in marks[1:]:
        if abs(far - mark) < OFF_CORNER:
            far = mark - OFF_CORNER
    lap = min(max(scheme.detail.apron.overhang, scheme.detail.sides.corner_return), far / 2)
    past, joint = _upto(way, marks, far)
    before, end = _upto(way, marks, far - lap)
    across = abs(joint[0] - way[0][0])
    rule = (
        "return or slit and patch here: the joint of a bossed corner lies on the earlier piece's edge,"
        " which runs too steeply up the slope"
    )
    require(across > STEEP * far, "joint", "bossed", rule)
    between = [point for point in past if point not in before]
    return [*past, joint], (joint, *reversed(between), end)


def _upto(way: Sequence[Corner], marks: Sequence[float], far: float) -> tuple[list[Corner], Corner]:
    """The corners passed on the way to a point so far along it, and that point."""
    at = max(number for number, mark in enumerate(marks[:-1]) if mark < far)
    share = (far - marks[at]) / (marks[at + 1] - marks[at])
    (x0, y0), (x1, y1) = way[at], way[at + 1]
    return list(way[: at + 1]), (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)


def standing(scheme: Scheme, run: Run) -> tuple[Corner, ...]:
    """Points of the outline along which the upstand is made: a little short of a corner where the
    piece beside it is folded round its end."""
    points = list(run.points)
    for end, at in zip(run.ends, (0, -1), strict=True):
        if end.last or not end.over or not folded_up(scheme):
            continue
        short = BEHIND_FOLD * scheme.detail.gap
        a, b = (points[0], points[1]) if at == 0 else (points[-1], points[-2])
        share = short / hypot(b[0] - a[0], b[1] - a[1])
        points[at] = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
    return tuple(points)


def carried(
    scheme: Scheme,
    sheet: Sheet,
    run: Run,
    beside: Sequence[Sheet | None],
    points: tuple[Corner, ...],
) -> tuple[tuple[Corner, ...], tuple[Carried | None, Carried | None]]:
    """A run's points with those round the corners where it is higher than the sheet that it lies
    over: there it is turned in as well. Also what it is carried over."""
    over: list[Carried | None] = [None, None]
    for number, (end, other) in enumerate(zip(run.ends, beside, strict=True)):
        wide = reach_round(sheet, end.corner, scheme.detail.sides.corner_return, on=end.on)
        turned = _turns(scheme, end)[0] and end.over
        if other is not None and turned and wide > 0 and is_higher(sheet, end.corner, other):
            points = round_corner(sheet, points, wide, on=end.on)
            over[number] = Carried(other)
    return points, (over[0], over[1])


def is_higher(sheet: Sheet, corner: Corner, beside: Sheet) -> bool:
    """Whether a sheet's top edge is above that of the sheet beside it, at a corner."""
    at = sheet.rim.at(corner)
    return sheet.top(*at) > beside.top(*at) + SAME_HEIGHT


def reach_round(sheet: Sheet, corner: Corner, asked: float, *, on: bool) -> float:
    """How far a sheet is turned round a corner [m]: not at all where that is next to nothing."""
    share = MOST_OF_EDGE if sheet.rim.ends_run_past(corner, on=on) else MOST_ALONE
    wide = min(asked, share * sheet.rim.room_past(corner, on=on))
    return wide if wide >= LEAST_RETURN else 0.0


def round_edge(
    sheet: Sheet, corner: Corner, beside: Sheet, wide: float, *, on: bool
) -> list[Named]:
    """What closes the edge of an upstand that is carried round a corner."""
    at = sheet.rim.at(past_corner(sheet, corner, wide, on=on))
    return dressed_edge(sheet, at, beside, sheet.rim.inward(corner, on=on))


def folded_up(scheme: Scheme) -> bool:
    """Whether the folds at the corners face up the slope."""
    return scheme.detail.facing == "up-slope"


def _turns(scheme: Scheme, end: End) -> tuple[bool, bool]:
    """Whether this piece turns round the corner at an end over the other, and whether under it."""
    joint = scheme.detail.joint
    if end.last:
        return False, not end.over and joint != "slit and patch"
    if joint != "return":
        return False, False
    if folded_up(scheme):
        return not end.over, False
    return end.over, not end.over


def ending(sheet: Sheet, corner: Corner, beside: Sheet | None, *, over: bool) -> Ending:
    """How a turn-in ends at a corner, by the height of the sheet beside it; over: whether it is
    turned round the corner over that one."""
    if beside is None:
        return Ending.MITRE
    at = sheet.rim.at(corner)
    higher = sheet.top(*at) - beside.top(*at)
    if over:
        return Ending.NOSE if higher < 0 else Ending.SQUARE
    if abs(higher) < SAME_HEIGHT:
        return Ending.MITRE
    return Ending.SQUARE if abs(higher) < NEAR else Ending.PAST


def endings(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Ending, Ending]:
    """How a run's turn-in ends; beside: the sheets that it meets at its two ends."""
    first, last = (
        Ending.SQUARE
        if _only_meet(scheme, end)
        else ending(sheet, end.corner, other, over=end.over)
        for end, other in zip(run.ends, beside, strict=True)
    )
    return first, last


def stops(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[Stop, Stop]:
    """How a run's square turn-ins are turned up at their ends: where a piece is carried round the
    corner over them, towards its turn-in, tight where that is near; where two only meet, both."""
    ends = endings(scheme, sheet, run, beside)
    first, last = (
        _stop(scheme, sheet, end, other, ending_)
        for end, other, ending_ in zip(run.ends, beside, ends, strict=True)
    )
    return first, last


def _stop(scheme: Scheme, sheet: Sheet, end: End, beside: Sheet | None, ending_: Ending) -> Stop:
    if beside is None or end.last or ending_ is not Ending.SQUARE:
        return NO_STOP
    at = sheet.rim.at(end.corner)
    if _only_meet(scheme, end):
        at_corner = end.corner in scheme.plan.corners
        return Stop(MOST_STOP, not at_corner or abs(sheet.top(*at) - beside.top(*at)) < NEAR)
    if end.over:
        return NO_STOP
    own, theirs = (one.rim.square(end.corner, at_end=end.on) for one in (sheet, beside))
    apart = beside.top(*theirs) - sheet.top(*own) - UNDER_PLANE
    apart += (beside.rim.distance - sheet.rim.distance) * tan(FALL)
    high = min(apart, MOST_STOP) if apart > 0 else MOST_STOP
    return Stop(high, True) if high > LEAST_STOP else NO_STOP


def _only_meet(scheme: Scheme, end: End) -> bool:
    """Whether two pieces' turn-ins only meet at an end: none is turned round over the other's."""
    return end.beside is not None and not end.last and scheme.detail.joint != "return"


def shoulders(
    scheme: Scheme, sheet: Sheet, run: Run, beside: Sequence[Sheet | None]
) -> tuple[float | None, float | None]:
    """Where a run's upstand makes room at its ends for lower sheets over it; beside: as above."""
    found = []
    for end, other in zip(run.ends, beside, strict=True):
        goes_on = not end.last and (scheme.detail.joint == "bossed" or folded_up(scheme))
        free = end.over or goes_on
        found.append(None if free or other is None else shoulder(sheet, other, end.corner))
    return found[0], found[1]


def closed(
    scheme: Scheme, sheet: Sheet, run: Run, end: End, beside: Sheet | None, *, stepped: bool
) -> list[Named]:
    """What closes an end of a run beside another's sheet; stepped: one whose top edge is stepped."""
    if beside is None:
        return []
    detail = scheme.detail
    if detail.joint == "bossed" and not end.last:
        return _bossed_end(scheme, sheet, end, beside)
    over, under = _turns(scheme, end)
    lip = _cover_lip(scheme, sheet, end, beside) if end.over and not end.last else []
    wide = reach_round(sheet, end.corner, detail.sides.corner_return, on=end.on)
    if wide == 0 or not (over or under):
        return lip
    if under:
        return return_under(sheet, run.points, beside, wide, on=end.on)
    if end.over and is_higher(sheet, end.corner, beside) and not stepped:
        return round_edge(sheet, end.corner, beside, wide, on=end.on) + lip
    if end.over:
        return return_over(sheet, run.points, beside, wide, on=end.on) + lip
    return _scoop(scheme, sheet, run, end, beside, wide)


def _cover_lip(scheme: Scheme, sheet: Sheet, end: End, beside: Sheet) -> list[Named]:
    length = CLOSED_END * cos(scheme.detail.roof.pitch)
    x, y = sheet.rim.at(end.corner)
    return edge_lip(sheet, beside, (x, y), (x, y - length))


def dressed_edge(
    sheet: Sheet, at: Corner, beside: Sheet, inward: Corner, low: float | None = None
) -> list[Named]:
    """The free upright edge of a sheet that ends upon another's: dressed to that one's upstand, and
    where it stands higher, over that one's turn-in and to the wall.

    at: where it ends in plan, off the wall; inward: unit vector to the wall; low: height z [m] of its
    lower end, None: its foot.
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
    deep = beside.rim.distance - BEFORE_WALL
    over = theirs + deep * tan(FALL) * (beside.turn_in > 0)
    wall = moved(sheet.rim.distance - BEFORE_WALL)
    if over + 0.002 > end:
        return []
    edge: list[Point] = [(*at, foot), (*at, end), (*wall, end), (*wall, max(over + DRESSED, foot))]
    if theirs > under[0][2]:
        edge += [(*back, theirs + DRESSED), *under]
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
