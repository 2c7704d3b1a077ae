"""The sheet behind a stack: up the stack's back, over sole or saddle, and under the covering."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan, cos, hypot, sin

import numpy as np
import shapely

from meshes.around.back_ends import ends_of, hole, lip, lowest
from meshes.around.chains import level_edge
from meshes.around.corner_closing import can_be_shut, round_edge
from meshes.around.corner_ends import ending
from meshes.around.lie import Lie
from meshes.around.outer_ends import outer_end
from meshes.around.rim import FAR, Rim
from meshes.around.saddle import ABOVE_NOSES, Saddle
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.skirt import top_above
from meshes.around.turn_ins import turn_in
from meshes.around.upstand import (
    Carried,
    return_over,
    return_under,
    round_corner,
    shoulder,
    upstand,
)
from meshes.line import NARROW
from meshes.piece import Named, Piece, piece
from meshes.plan import Corner, Kind
from meshes.sheet import Point

PAST_SIDES = 0.010  # [m] it reaches so far past the sides' covers


def back_sheet(scheme: Scheme) -> Sheet:
    """Rim, lie and top of the sheet behind the stack."""
    shape, chain = scheme.back, scheme.chains.back
    assert shape is not None
    assert chain is not None
    rim = Rim(scheme.plan, scheme.stand_off(scheme.layers[Kind.BACK]))
    points = back_points(scheme)
    level, along = level_edge(chain), scheme.behind()
    base: Lie | Saddle = along
    if level is not None and shape.saddle > 0:
        ends = sorted((rim.at(level[0]), rim.at(level[1])))
        base = _saddle(scheme, along, ends, (ends[0][0] + ends[1][0]) / 2)

    # What it lies over at its ends must end below it.
    gap = scheme.detail.gap / cos(scheme.detail.roof.pitch)
    least = gap + max(top_above(scheme, run.kind) for run in scheme.chains.under)
    heights = []
    for point in points:
        x, y = rim.at(point)
        # Over the sheets beside it, which stand nearer to the wall, where the roof may be higher.
        over = scheme.nose_plane(max(y, point[1])) + least
        heights.append((x, y, max(base.height(x, y) + scheme.detail.gutter.upstand, over)))

    def top(x: float, y: float) -> float:
        return _along(heights, x, y)

    deep = scheme.detail.gutter.turn_in
    return Sheet(rim, lambda _: base, top, lambda _, y: scheme.underlay_top(y), deep)


def _saddle(scheme: Scheme, base: Lie, ends: Sequence[Corner], middle: float) -> Saddle:
    """The saddle between the ends of a level upstand, its valleys just above the noses."""
    assert scheme.back is not None
    lift = scheme.layers[Kind.BACK] * scheme.detail.gap / cos(scheme.detail.roof.pitch)
    lift += scheme.crest + ABOVE_NOSES
    face = ends[0][1]
    low = scheme.nose_plane(face) + lift
    top = face + scheme.back.saddle / scheme.slope
    peak = (middle, top, low + scheme.back.saddle)
    return Saddle(base, (ends[0][0], face, low), (ends[1][0], face, low), peak)


def back_points(scheme: Scheme) -> tuple[Corner, ...]:
    """The run's corners, with one in the middle of a level edge that a saddle's ridge leans on."""
    chain = scheme.chains.back
    assert chain is not None
    assert scheme.back is not None
    level = level_edge(chain)
    if level is None or scheme.back.saddle == 0:
        return chain.points
    at = chain.points.index(level[0])
    middle = ((level[0][0] + level[1][0]) / 2, (level[0][1] + level[1][1]) / 2)
    return (*chain.points[: at + 1], middle, *chain.points[at + 1 :])


def back_piece(scheme: Scheme, sheet: Sheet) -> Piece:
    """The piece behind the stack."""
    chain, gutter = scheme.chains.back, scheme.detail.gutter
    assert chain is not None
    points = back_points(scheme)
    ends = ends_of(scheme, sheet)
    low = [None if end.over else shoulder(sheet, end.beside, end.corner) for end in ends]
    carried: list[Carried | None] = [None, None]
    for number, end in enumerate(ends):
        if end.over and end.wide > 0 and not gutter.two_part:
            points = round_corner(sheet, points, end.wide, on=end.on)
            carried[number] = Carried(end.beside, end.own_upto)
    named = upstand(sheet, points, (low[0], low[1]), (carried[0], carried[1]))
    if gutter.turn_in > 0 and not gutter.two_part:
        first, last = (ending(sheet, end.corner, end.beside, over=end.over) for end in ends)
        named += turn_in(sheet, points, gutter.turn_in, (first, last))
    for end in ends:
        if not end.over:
            if end.wide > 0:
                named += return_under(sheet, points, end.beside, end.wide, on=end.on)
            continue
        if end.wide > 0 and gutter.two_part:
            named += return_over(sheet, points, end.beside, end.wide, on=end.on)
        elif end.wide > 0:
            shut = can_be_shut(scheme)
            named += round_edge(sheet, end.corner, end.beside, end.wide, on=end.on, shut=shut)
        named += lip(scheme, sheet, end)
    named += _covers(scheme, sheet)
    left, right = x_span(scheme)
    for end in ends:
        named += outer_end(scheme, sheet, end, left if end.on else right)
    named += _welt(scheme, sheet)
    x, y = sheet.rim.inward(chain.start, on=True)
    return piece(name_of(scheme), named, wet=(-x, -y, 0.0))


def name_of(scheme: Scheme) -> str:
    """What the piece behind the stack is called, by its shape."""
    assert scheme.back is not None
    if scheme.back.saddle > 0:
        return "saddle flashing"
    return "back flashing" if scheme.back.level_face is None else "back gutter"


def _covers(scheme: Scheme, sheet: Sheet) -> list[Named]:
    region = back_region(scheme, sheet)
    found: list[Named] = []
    middle = _middle(scheme, sheet)
    left, right = x_span(scheme)
    for x0, x1 in ((left, middle), (middle, right)):
        half = region.intersection(shapely.box(x0, -FAR, x1, FAR))
        found += sheet.lie(((x0 + x1) / 2, 0.0)).drape("sheet", half)
    return found


def x_span(scheme: Scheme) -> tuple[float, float]:
    """Left and right edges of the sheet [m]: past the sides' covers, or as told, within the roof."""
    gutter, plan = scheme.detail.gutter, scheme.plan
    left, right = scheme.outer[0] - PAST_SIDES, scheme.outer[1] + PAST_SIDES
    if gutter.beyond_stack is not None:
        left, right = plan.left - gutter.beyond_stack, plan.right + gutter.beyond_stack
    return max(left, scheme.x_span[0] + 0.001), min(right, scheme.x_span[1] - 0.001)


def back_region(scheme: Scheme, sheet: Sheet) -> shapely.Geometry:
    """The sheet in plan, without the stack and what lies straight down the slope of it."""
    chain = scheme.chains.back
    assert chain is not None
    left, right = x_span(scheme)
    middle, top = _middle(scheme, sheet), top_edge(scheme)
    parts = [
        shapely.box(left, lowest(scheme, chain.end), middle, top),
        shapely.box(middle, lowest(scheme, chain.start), right, top),
    ]
    return shapely.unary_union(parts).difference(hole(sheet, ends_of(scheme, sheet)))


def top_edge(scheme: Scheme) -> float:
    """y [m] of the sheet's upper edge, under the covering."""
    assert scheme.back is not None
    courses = scheme.courses
    nose = courses.courses[courses.over_gutter].nose_y
    return nose + scheme.back.leg * cos(atan(courses.slope))


def _middle(scheme: Scheme, sheet: Sheet) -> float:
    chain = scheme.chains.back
    assert chain is not None
    level = level_edge(chain)
    if level is not None:
        return (sheet.rim.at(level[0])[0] + sheet.rim.at(level[1])[0]) / 2
    return sheet.rim.at(max(chain.points, key=lambda point: point[1]))[0]


def _along(heights: Sequence[Point], x: float, y: float) -> float:
    """Height over the nearest point of a line, told by its corners."""
    best = (float("inf"), 0.0)
    for (x0, y0, z0), (x1, y1, z1) in pairwise(heights):
        dx, dy = x1 - x0, y1 - y0
        share = min(max(((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy), 0.0), 1.0)
        off = hypot(x0 + dx * share - x, y0 + dy * share - y)
        best = min(best, (off, z0 + (z1 - z0) * share))
    return best[1]


def _welt(scheme: Scheme, sheet: Sheet) -> list[Named]:
    """The upper edge turned back over itself."""
    welt, gap = scheme.detail.gutter.welt, scheme.detail.gap
    if welt <= 0:
        return []
    own = atan(scheme.courses.slope)
    left, right = x_span(scheme)
    y = top_edge(scheme)
    middle = _middle(scheme, sheet)
    inner = [float(x) for x in scheme.wave[:, 0] if left + NARROW < x < right - NARROW]
    up = np.array([0.0, -sin(own), cos(own)]) * gap
    back = np.array([0.0, -cos(own), -sin(own)]) * welt
    found: list[Named] = []
    for x0, x1 in pairwise(sorted({left, middle, right, *inner})):
        a, b = (np.array([x, y, sheet.lie((x, y)).height(x, y)]) for x in (x0, x1))
        for name, base, way in (("welt edge", (a, b), up), ("welt", (a + up, b + up), back)):
            corners = [base[0], base[1], base[1] + way, base[0] + way]
            found.append((name, [(float(p[0]), float(p[1]), float(p[2])) for p in corners]))
    return found
