"""Soakers: between each two courses one sheet on each side, its upturn in the slot at the wall.

Courses run flatter than the roof and sheets lie under the next course's nose, so that an upturn of one
height all along would stand out of a thick covering by little at its lower end and by hardly anything at
its upper end. Upturns are therefore cut to one line along the roof, and measured over the noses, where
the step flashing comes down to.

One laid a course too early lies on the course of the one below, under that one's upper end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan, cos

import numpy as np
import shapely

from meshes.around.chains import Chain
from meshes.around.corner_closing import CLOSED_END
from meshes.around.corners import MOST_OF_EDGE
from meshes.around.lie import Lie
from meshes.around.reach import OFF_EDGE
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.skirt import sheet_of
from meshes.around.step_flashing import Wall, wall_of
from meshes.around.turned_round import check_number
from meshes.around.upstand import edge_lip
from meshes.around.ways import INNERMOST, soaker_run
from meshes.line import between, offset
from meshes.piece import Named, Piece, piece
from meshes.plan import Corner, Kind
from meshes.sheet import Point

BACK_FROM_NOSE = 0.007  # [m] a soaker's lower edge is hidden so far up from the nose over it
ABOVE_CORNER = (
    0.020  # [m] the first soaker goes under a nose at least so far above the front corner
)
EASED = (0.015, 0.002)  # [m] it comes off the apron from so far to so far below that nose
WITHIN_RETURN = 0.004  # [m] its return on the front face ends so far within the step's
LEAST_RETURN = 0.010  # [m] a narrower return is left out
RETURN_HIGH = 0.45  # [1] that return's height at its end over that at the corner
PAST_APRON = 0.005  # [m] it reaches so far past the apron's lower edge
ON_APRON = 2  # bedding gaps above the covering, over the apron
BEHIND_SOAKERS = 2  # bedding gaps off the wall: between the underlay's upturn and their innermost


@dataclass(frozen=True, slots=True)
class Soaker:
    """One soaker: it lies on course `course`, under the next, from y = low to y = high [m], its upturn
    up to y = stands, which is the stack's back corner where that is lower; fan: how much further off
    the wall its bend is at each metre of y down the slope; off: at `high`; gaps: bedding gaps above its
    course."""

    course: int
    low: float
    high: float
    stands: float
    off: float
    fan: float
    gaps: int = 1

    def off_at(self, y: float) -> float:
        """How far off the wall its bend is at y [m]."""
        return self.off + self.fan * (self.high - y)


def soakers_on(scheme: Scheme, wall: Wall) -> tuple[Soaker, ...]:
    """The soakers along one wall, from the front up; the first comes down over the apron's end.

    The one that is told to be lies on the course of the one below, and under that. Raises PieceError.
    """
    laid, number = _laid(scheme, wall), scheme.detail.sides.tucked_soaker
    if number == 0:
        return tuple(laid)
    check_number("tucked soaker", number, soakers_to_tuck(scheme, wall))
    below, own = laid[number - 2 : number]
    laid[number - 2] = replace(below, gaps=2)
    laid[number - 1] = replace(
        own, course=below.course, off=BEHIND_SOAKERS * scheme.detail.gap, fan=0.0
    )
    return tuple(laid)


def _laid(scheme: Scheme, wall: Wall) -> list[Soaker]:
    detail, courses = scheme.detail, scheme.courses
    own, long = atan(courses.slope), soaker_run(detail)
    run = detail.roof.gauge * cos(detail.roof.pitch)
    front, back = wall.front[1], wall.back[1]
    found: list[Soaker] = []
    for course in range(courses.over_gutter - 1):
        nose = courses.courses[course + 1].nose_y
        low = nose + BACK_FROM_NOSE * cos(own)
        covered = bool(found) and low > back - (long - run)
        if nose < front + ABOVE_CORNER or covered:
            continue
        high = low + long
        off, fan = INNERMOST * detail.gap, detail.gap / run
        found.append(Soaker(course, low, high, min(high, back), off, fan))
    return found


def soakers_to_tuck(scheme: Scheme, wall: Wall) -> tuple[int, ...]:
    """Numbers of the soakers, from the front up, that can be laid under the one below: clear of the
    apron's return, which stands as near to the wall, and of the upper end of the one two below."""
    laid = _laid(scheme, wall)
    clear = wall.front[1] + scheme.detail.sides.corner_return
    return tuple(
        at + 1
        for at, one in enumerate(laid)
        if at > 0 and one.low > clear and (at == 1 or laid[at - 2].high <= one.low)
    )


def lifted_over(scheme: Scheme, course: int) -> float:
    """By how much more [m] a course is lifted for a second soaker beneath it: nil for most."""
    if scheme.detail.sides.tucked_soaker == 0 or scheme.detail.sides.way != "soakers":
        return 0.0
    walls = (wall_of(chain) for chain in scheme.chains.under if chain.kind is not Kind.FRONT)
    found = {one.course for wall in walls for one in soakers_on(scheme, wall) if one.gaps > 1}
    return scheme.detail.gap / cos(atan(scheme.courses.slope)) if course - 1 in found else 0.0


def soaker_pieces(scheme: Scheme, chain: Chain) -> list[Piece]:
    """The soakers of one side, from the front up."""
    wall = wall_of(chain)
    side = "left" if wall.side < 0 else "right"
    found = []
    for number, soaker in enumerate(soakers_on(scheme, wall), start=1):
        named = _first(scheme, wall, soaker) if number == 1 else _folded(scheme, wall, soaker)
        # The first facet lies on the roof: a way square to the wall would leave its wet side to rounding.
        found.append(piece(f"{side} soaker {number}", named, wet=(0.0, 0.0, 1.0)))
    return found


def first_lie(scheme: Scheme, soaker: Soaker) -> Lie:
    """What the first soaker lies along: over the apron's end, then on its course."""
    gap, courses = scheme.detail.gap, scheme.courses
    nose = courses.courses[soaker.course + 1].nose_y
    dressed = offset(courses.weather_line(), ON_APRON * gap)
    rows = between(dressed, courses.eaves + 0.001, nose - EASED[0])
    on_course = [(y, _height(scheme, soaker, y)) for y in (nose - EASED[1], soaker.high + 0.01)]
    table = np.vstack([rows, on_course])
    return Lie(table, scheme.wave, np.zeros(len(table)))


def inner_edge(scheme: Scheme, wall: Wall, soaker: Soaker) -> Corner:
    """Where the first soaker's bend meets the front corner of the stack, in plan; its edge runs
    straight down the slope from there."""
    y = wall.front[1]
    for _ in range(3):
        y = Rim(scheme.plan, soaker.off_at(y)).at(wall.front)[1]
    return wall.at(y, soaker.off_at(y))


def _height(scheme: Scheme, soaker: Soaker, y: float) -> float:
    lifted, slope = soaker.gaps * scheme.detail.gap, scheme.courses.slope
    return scheme.courses.top_of(soaker.course, y) + lifted / cos(atan(slope))


def _folded(scheme: Scheme, wall: Wall, soaker: Soaker) -> list[Named]:
    def at(y: float, off: float) -> Point:
        return (*wall.at(y, off), _height(scheme, soaker, y))

    low, high = soaker.low, soaker.high
    a, b, end = (at(y, soaker.off_at(y)) for y in (low, soaker.stands, high))
    out = soaker.off_at(low) + scheme.detail.sides.soaker_width
    tops = (_square_end(scheme, wall, soaker, a), _top_end(scheme, wall, soaker, b))
    return [("sheet", [a, end, at(high, out), at(low, out)]), ("upturn", [a, b, tops[1], tops[0]])]


def _first(scheme: Scheme, wall: Wall, soaker: Soaker) -> list[Named]:
    detail, lie = scheme.detail, first_lie(scheme, soaker)
    corner = inner_edge(scheme, wall, soaker)
    stands, end = (wall.at(y, soaker.off_at(y)) for y in (soaker.stands, soaker.high))
    # In the open it is a cover, and as wide as one.
    out = soaker.off_at(corner[1]) + max(detail.sides.soaker_width, detail.sides.cover)
    past = detail.apron.cover + scheme.stand_off(scheme.layers[Kind.FRONT]) + PAST_APRON
    low = max(wall.front[1] - past * cos(detail.roof.pitch), scheme.y_span[0] + OFF_EDGE)
    region = shapely.Polygon(
        [corner, end, wall.at(soaker.high, out), wall.at(low, out), (corner[0], low)]
    )
    foot = lie.foot(corner, stands)
    over = (*corner, upturn_top(scheme, corner[1]))
    named: list[Named] = lie.drape("sheet", region)
    named.append(("upturn", [*foot, _top_end(scheme, wall, soaker, foot[-1]), over]))
    apron = sheet_of(scheme, Kind.FRONT)
    sheet = Sheet(apron.rim, lambda _: lie, apron.top, apron.underlay, 0.0)
    named += _return(scheme, wall, soaker, foot[0], over)
    end = (corner[0], corner[1] - CLOSED_END * cos(detail.roof.pitch))
    return named + edge_lip(sheet, apron, corner, end)


def _return(scheme: Scheme, wall: Wall, soaker: Soaker, foot: Point, over: Point) -> list[Named]:
    """The first upturn turned round the front corner, over the apron's upstand and under the step's
    return there; none where that is narrow. foot, over: of the upturn at the corner."""
    rim, on = Rim(scheme.plan, soaker.off_at(foot[1])), wall.side < 0
    room = MOST_OF_EDGE * rim.room_past(wall.front, on=on)
    wide = min(scheme.detail.sides.corner_return, room) - WITHIN_RETURN
    if wide < LEAST_RETURN:
        return []
    end = rim.past(wall.front, wide, on=on)
    on_apron = sheet_of(scheme, Kind.FRONT).lie(end).lifted(scheme.detail.gap)
    below = on_apron.foot((foot[0], foot[1]), end)[1:]
    top = (*end, below[-1][2] + RETURN_HIGH * (over[2] - foot[2]))
    return [("return", [foot, *below, top, over])]


def upturn_top(scheme: Scheme, y: float) -> float:
    """Height z [m] of the upturns' top edges over y: along the roof, so far over its noses."""
    roof, sides = scheme.detail.roof, scheme.detail.sides
    return scheme.nose_plane(y) + sides.soaker_upturn / cos(roof.pitch)


def _square_end(scheme: Scheme, wall: Wall, soaker: Soaker, end: Point) -> Point:
    """Where an upturn's end that is cut square to its bend, at `end`, meets its top edge."""
    _, y, z = end
    own, steep = scheme.courses.slope, scheme.slope
    # Down the slope by `back` the end rises by back / own, and the top edge falls by steep x back.
    back = (upturn_top(scheme, y) - z) / (1 / own + steep)
    return (*wall.at(y - back, soaker.off_at(y - back)), upturn_top(scheme, y - back))


def _top_end(scheme: Scheme, wall: Wall, soaker: Soaker, end: Point) -> Point:
    """The upturn's upper end: square, or upright at the stack's back corner."""
    if soaker.stands == soaker.high:
        return _square_end(scheme, wall, soaker, end)
    return (end[0], end[1], upturn_top(scheme, end[1]))
