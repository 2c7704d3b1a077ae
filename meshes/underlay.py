"""Underlay: the lower sheet turned up round the stack, and the sheet that laps over the back gutter."""

from __future__ import annotations

from itertools import pairwise
from math import atan, cos, degrees, radians, tan

import numpy as np

from meshes.back_gutter import leg_line
from meshes.courses import Courses
from meshes.errors import require
from meshes.layout import Layout
from meshes.line import Line, between
from meshes.parts import Part, Role
from meshes.piece import Named, strips, upright
from meshes.sheet import facets, triangles
from meshes.solid import Triangles, add_row_of_cells
from meshes.spec import Roof

SIDE_MARGIN = (
    0.005  # [m] the underlay stops this far short of the verges, so that no rain lands on it
)
SHORT_OF_ENDS = 0.010  # [m] the sheet over the gutter stops this far within the gutter's ends
UNDER_NOSE = 0.010  # [m] and its lower edge stays this far back under the covering's nose
EASED = radians(15)  # [rad] the tilt fillet runs out at most this much flatter than the roof
SHARE_OF_PITCH = 0.4  # and at most this share of the pitch, so that the underlay on it still falls


def underlay(layout: Layout) -> Part:
    """The lower sheet, with upturns on all four faces of the stack that turn its corners."""
    roof, gap, stack = layout.detail.roof, layout.detail.gap, layout.detail.stack
    slope, depth = tan(roof.pitch), layout.underlay_depth
    wide = layout.half_stack + roof.beside - SIDE_MARGIN
    x, front, back = layout.half_stack + gap, -gap, stack.depth + gap
    low, high = layout.courses.eaves + SIDE_MARGIN, layout.courses.top - SIDE_MARGIN

    def z(y: float) -> float:
        return y * slope - depth

    side_up = roof.underlay_sides / cos(roof.pitch)
    line = np.array([(y, z(y)) for y in (low, front, back, high)])
    named: list[Named] = []
    for left, right in ((-wide, -x), (x, wide)):
        named += strips("sheet", line, left, right)
    named += strips("sheet below", line[:2], -x, x) + strips("sheet above", line[2:], -x, x)
    for y, up in ((front, roof.underlay_front), (back, side_up)):
        named.append(
            ("upturn", [(-x, y, z(y)), (x, y, z(y)), (x, y, z(y) + up), (-x, y, z(y) + up)])
        )
    sides = [
        (front, z(front)),
        (back, z(back)),
        (back, z(back) + side_up),
        (front, z(front) + side_up),
    ]
    named += [("upturn", upright(-x, sides)), ("upturn", upright(x, sides))]
    sheet = facets(named, wet=(0.0, 0.0, 1.0))
    return Part("underlay", Role.UNDERLAY, sheet.points, triangles(sheet))


def upper_underlay(layout: Layout) -> Part:
    """The sheet from the gutter's top edge to the ridge: over the edge when dressed after the gutter."""
    half = layout.half_gutter - SHORT_OF_ENDS
    named = strips("sheet", upper_line(layout), -half, half)
    sheet = facets(named, wet=(0.0, 0.0, 1.0))
    return Part("upper underlay", Role.UNDERLAY, sheet.points, triangles(sheet))


def tilt_fillet(layout: Layout) -> Part:
    """The timber that carries the gutter's leg and the underlay between the cut courses."""
    gap, slope = layout.detail.gap, tan(layout.detail.roof.pitch)
    half = layout.half_stack + layout.detail.roof.clearance - 0.002
    upright_gap = gap / cos(atan(layout.courses.slope))
    line = upper_line(layout)
    down = (layout.underlay_gaps + 1) * upright_gap
    start = layout.courses.sole_end[0] + 0.010
    carried = between(_carried(layout, line), start, line[-2, 0])
    floor = layout.underlay_depth - 2 * gap / cos(layout.detail.roof.pitch)
    into = Triangles()
    cells = []
    for (y0, z0), (y1, z1) in pairwise(carried):
        top0, top1 = z0 - down, z1 - down
        low0, low1 = y0 * slope - floor, y1 * slope - floor
        if top1 - low1 < 0.004:
            share = (top0 - low0 - 0.004) / (top0 - low0 - (top1 - low1))
            if share < 0.01:
                break
            y1 = y0 + (y1 - y0) * share
            top1, low1 = top0 + (top1 - top0) * share, y1 * slope - floor
        cells.append(np.array([(y0, low0), (y1, low1), (y1, top1), (y0, top0)]))
    add_row_of_cells(into, cells, [-half, half], np.ones((len(cells), 1), bool))
    return Part("tilt fillet", Role.INSIDE, *into.arrays())


def inside(layout: Layout) -> Part:
    """A level plane in the loft below the stack's opening."""
    low, high = -0.25, layout.detail.stack.depth + 0.6
    half = layout.half_stack + 0.3
    z = inside_height(layout)
    corners = [(-half, low, z), (half, low, z), (half, high, z), (-half, high, z)]
    return Part("inside", Role.INSIDE, np.array(corners), np.array([(0, 1, 2), (0, 2, 3)]))


def inside_height(layout: Layout) -> float:
    """Height z [m] of the plane in the loft."""
    return -0.25 * tan(layout.detail.roof.pitch) - layout.underlay_depth - 0.05


def _carried(layout: Layout, line: Line) -> Line:
    """The upper sheet's section carried on down parallel to the courses, to the gutter's sole."""
    y = layout.courses.sole_end[0]
    z = line[0, 1] + (y - line[0, 0]) * layout.courses.slope
    return np.vstack([[y, z], line[1:]])


def upper_line(layout: Layout) -> Line:
    """Section (y, z) of the upper sheet: along the gutter's leg, down off the fillet, on up the roof."""
    return eased_line(
        layout.detail.roof,
        layout.courses,
        layout.detail.gap,
        edge_y=float(leg_line(layout)[2, 0]),
        lap=layout.underlay_lap,
        gaps=layout.underlay_gaps,
        depth=layout.underlay_depth,
    )


def eased_line(
    roof: Roof,
    courses: Courses,
    gap: float,
    *,
    edge_y: float,
    lap: float,
    gaps: int,
    depth: float,
) -> Line:
    """Section (y, z) [m] of a sheet that laps down over another's top edge, then eases down to the
    underlay and runs on up the roof. Its first leg lies on the course below.

    edge_y: y of that edge; lap: how far the sheet laps over it, along the course; gaps: bedding gaps
    between the course and the sheet; depth: upright depth of the underlay below the noses' plane.
    Raises PieceError where the course is so flat that the sheet meets the underlay too soon.
    """
    own = atan(courses.slope)
    upright_gap = gap / cos(own)
    low = edge_y - lap * cos(own)
    nose = courses.courses[courses.over_gutter].nose_y
    if edge_y > nose + UNDER_NOSE:
        low = max(low, nose + UNDER_NOSE)
    head = courses.courses[courses.over_gutter - 1].head_y
    turn = max(edge_y, min(head, courses.top - 0.2)) + 0.020

    def along(y: float) -> float:
        return courses.top_of(courses.over_gutter - 1, y) + gaps * upright_gap

    ease = tan(roof.pitch - min(EASED, SHARE_OF_PITCH * roof.pitch))
    ease = min(ease, courses.slope)
    slope, drop = tan(roof.pitch), depth - gap / cos(roof.pitch)
    z = along(turn)
    meet = (z + drop - turn * ease) / (slope - ease)
    got = f"{degrees(roof.pitch):.1f} degrees"
    rule = "steeper with such courses: what goes up under them would run into the underlay"
    require(meet > turn + 0.001, "pitch", got, rule)
    top = courses.top - SIDE_MARGIN
    rows = [(low, along(low)), (turn, z)]
    if meet < top - 0.01:
        rows += [(meet, meet * slope - drop), (top, top * slope - drop)]
    else:
        rows += [(top, z + (top - turn) * ease)]
    return np.array(rows)
