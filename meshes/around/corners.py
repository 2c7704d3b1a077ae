"""Where two runs meet at a corner of the stack: how far each goes, and which turns round it.

return: the later piece turns round the corner over the earlier one, whose end is tucked under it (or,
folded up the slope, the other way round). slit and patch: neither turns; a patch lies over both.
bossed: the later piece runs round the corner in one with its cover, and ends upon the earlier one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from meshes.around.chains import Chain
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.upstand import SAME_HEIGHT, Carried, round_corner
from meshes.errors import require
from meshes.plan import Corner

LEAST_RETURN = 0.005  # [m] less is not turned
MOST_OF_EDGE = 0.4  # [1] no more of an edge is given to what comes round its corner
MOST_ALONE = 0.8  # [1] where nothing comes round its other corner
OFF_CORNER = 0.008  # [m] a joint on an edge lies so far from its ends
BEHIND_FOLD = 0.5  # bedding gaps from a corner to the end of an upstand that a fold goes round
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
        turned = turns(scheme, end)[0] and end.over
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


def folded_up(scheme: Scheme) -> bool:
    """Whether the folds at the corners face up the slope."""
    return scheme.detail.facing == "up-slope"


def turns(scheme: Scheme, end: End) -> tuple[bool, bool]:
    """Whether this piece turns round the corner at an end over the other, and whether under it."""
    joint = scheme.detail.joint
    if end.last:
        return False, not end.over and joint != "slit and patch"
    if joint != "return":
        return False, False
    if folded_up(scheme):
        return not end.over, False
    return end.over, not end.over
