"""Soakers: between each two courses one sheet on each side, its upturn in the slot at the wall."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos

import numpy as np
import shapely

from meshes.around.chains import Chain
from meshes.around.corners import CLOSED_END
from meshes.around.lie import Lie
from meshes.around.reach import OFF_EDGE
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.skirt import sheet_of
from meshes.around.step_flashing import Wall, wall_of
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
PAST_APRON = 0.005  # [m] it reaches so far past the apron's lower edge
ON_APRON = 2  # bedding gaps above the covering, over the apron


@dataclass(frozen=True, slots=True)
class Soaker:
    """One soaker: it lies on course `course`, under the next, from y = low to y = high [m], its upturn
    up to y = stands, which is the stack's back corner where that is lower; fan: how much further off
    the wall its bend is at each metre of y down the slope; off: at `high`."""

    course: int
    low: float
    high: float
    stands: float
    off: float
    fan: float

    def off_at(self, y: float) -> float:
        """How far off the wall its bend is at y [m]."""
        return self.off + self.fan * (self.high - y)


def soakers_on(scheme: Scheme, wall: Wall) -> tuple[Soaker, ...]:
    """The soakers along one wall, from the front up; the first comes down over the apron's end."""
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
    return tuple(found)


def soaker_pieces(scheme: Scheme, chain: Chain) -> list[Piece]:
    """The soakers of one side, from the front up."""
    wall = wall_of(chain)
    side = "left" if wall.side < 0 else "right"
    found = []
    for number, soaker in enumerate(soakers_on(scheme, wall), start=1):
        named = _first(scheme, wall, soaker) if number == 1 else _folded(scheme, wall, soaker)
        found.append(piece(f"{side} soaker {number}", named, wet=(float(wall.side), 0.0, 0.0)))
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
    gap, slope = scheme.detail.gap, scheme.courses.slope
    return scheme.courses.top_of(soaker.course, y) + gap / cos(atan(slope))


def _folded(scheme: Scheme, wall: Wall, soaker: Soaker) -> list[Named]:
    def at(y: float, off: float) -> Point:
        return (*wall.at(y, off), _height(scheme, soaker, y))

    low, high = soaker.low, soaker.high
    a, b, end = (at(y, soaker.off_at(y)) for y in (low, soaker.stands, high))
    out = INNERMOST * scheme.detail.gap + scheme.detail.sides.soaker_width
    tops = (_risen(scheme, a, b), _top_end(scheme, soaker, a, b))
    return [("sheet", [a, end, at(high, out), at(low, out)]), ("upturn", [a, b, tops[1], tops[0]])]


def _first(scheme: Scheme, wall: Wall, soaker: Soaker) -> list[Named]:
    detail, lie = scheme.detail, first_lie(scheme, soaker)
    corner = inner_edge(scheme, wall, soaker)
    stands, end = (wall.at(y, soaker.off_at(y)) for y in (soaker.stands, soaker.high))
    # In the open it is a cover, and as wide as one.
    out = INNERMOST * detail.gap + max(detail.sides.soaker_width, detail.sides.cover)
    past = detail.apron.cover + scheme.stand_off(scheme.layers[Kind.FRONT]) + PAST_APRON
    low = max(wall.front[1] - past * cos(detail.roof.pitch), scheme.y_span[0] + OFF_EDGE)
    region = shapely.Polygon(
        [corner, end, wall.at(soaker.high, out), wall.at(low, out), (corner[0], low)]
    )
    foot = lie.foot(corner, stands)
    bend = ((*corner, _height(scheme, soaker, corner[1])), foot[-1])
    along = _risen(scheme, *bend)
    over = (*corner, bend[0][2] + _plumb(scheme, bend[0], along))
    named: list[Named] = lie.drape("sheet", region)
    named.append(("upturn", [*foot, _top_end(scheme, soaker, *bend), over]))
    apron = sheet_of(scheme, Kind.FRONT)
    sheet = Sheet(apron.rim, lambda _: lie, apron.top, apron.underlay, 0.0)
    end = (corner[0], corner[1] - CLOSED_END * cos(detail.roof.pitch))
    return named + edge_lip(sheet, apron, corner, end)


def _risen(scheme: Scheme, start: Point, end: Point) -> Point:
    """`start` moved up the wall by the upturn, square to the bend."""
    bend = np.array(end) - start
    bend /= np.linalg.norm(bend)
    up = np.array([0.0, 0.0, 1.0]) - bend[2] * bend
    x, y, z = start + up / np.linalg.norm(up) * scheme.detail.sides.soaker_upturn
    return (float(x), float(y), float(z))


def _top_end(scheme: Scheme, soaker: Soaker, start: Point, end: Point) -> Point:
    """The upturn's upper end: square, or upright at the stack's back corner."""
    square = _risen(scheme, start, end)
    up = (square[0] - start[0], square[1] - start[1], square[2] - start[2])
    if soaker.stands == soaker.high:
        return (end[0] + up[0], end[1] + up[1], end[2] + up[2])
    return (end[0], end[1], end[2] + _plumb(scheme, start, square))


def _plumb(scheme: Scheme, start: Point, square: Point) -> float:
    """Upright height of an upturn that rises square to its bend."""
    return scheme.detail.sides.soaker_upturn**2 / (square[2] - start[2])
