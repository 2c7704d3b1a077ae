"""What lies in the way of water behind the stack: leaves in the gutter's ends, and snow.

Leaves stand for a heap that has settled in an end of the trough and packed to the upstand and to the
covering's nose: a closed body, whose top falls away along the gutter on both sides of its crest.
Snow stands for what the stack holds back of a thawing roof that is clear elsewhere: it fills the
gutter and lies up the slope behind it, all but as wide as the gutter, to the top of the roof. Neither lets
water through. Both touch what they lie on.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, tan

import numpy as np
import shapely
from manifold3d import CrossSection, FillRule, Manifold

from meshes.back_gutter import leg_line, sole_front
from meshes.errors import require
from meshes.layout import Layout
from meshes.parts import Part, Role
from meshes.spec import SIDES, Side
from meshes.turn_in import FALL
from meshes.underlay import upper_line

TOUCHING = 0.00005  # [m] debris lies so near what carries it: well under any gap that water enters
CLEAR_OF_END = 0.005  # [m] a heap stops this far within the ends of the upstand
OPEN = 0.050  # [m] of the trough that heaps leave free
FILLS = 0.020  # [m] snow stands at least this high over the sole at the stack
DRIPS = 0.05  # [1] fall of a cornice's underside to its edge, where it drips
TUCKED = 0.008  # [m] debris is pressed so far under a course's nose: short of the underlay's edge
WITHIN = 0.010  # [m] snow stops this far within the gutter's outer ends, which carry what it sheds
OVER_CORNER = 0.010  # [m] snow reaches this far past the upstand's returns, beside the stack
SHORT_OF_TOP = 0.010  # [m] what carries a heap reaches to the top of the roof, the heap less far
DEEP = 50.0  # [m] further than any roof reaches
Section = Sequence[tuple[float, float]]


def debris(layout: Layout) -> list[Part]:
    """Leaves and snow as closed parts, none when the detail has none.

    Raises PieceError for leaves higher than the upstand or longer than the trough, and for snow that
    doesn't fill the gutter or that buries the stack.
    """
    told = layout.detail.debris
    ends = SIDES if told.leaves == "both" else [side for side in SIDES if side == told.leaves]
    if ends:
        _check_leaves(layout, len(ends))
    parts = [_part(f"leaves, {side}", _heap(layout, side)) for side in ends]
    if told.snow > 0:
        parts.append(_part("snow", _snow(layout)))
    return parts


def _heap(layout: Layout, side: Side) -> Manifold:
    """A crest square to the gutter, in the middle of the heap's length, and a slope on each side."""
    told = layout.detail.debris
    front, foot = sole_front(layout)
    end, high = _half_trough(layout), told.leaves_high
    # Each slope goes on below the sole at its own pitch, so that the seat cuts it off cleanly.
    across = np.array([-told.leaves_long, 0.0, told.leaves_long])
    outline = zip(
        end - CLEAR_OF_END - told.leaves_long / 2 + across,
        foot + np.array([-high, high, -high]),
        strict=True,
    )
    back = layout.courses.top - SHORT_OF_TOP
    wedge = [(x, y, z) for x, z in outline for y in (front + TOUCHING, back)]
    heap = Manifold.hull_points(np.array(wedge)) - _seat(layout, end + told.leaves_long)
    return heap if side == "right" else heap.mirror([1.0, 0.0, 0.0])


def _snow(layout: Layout) -> Manifold:
    """Parallel to the slope on top; against the upstand, and above it against the stack's back face."""
    detail, half = layout.detail, layout.half_stack
    edge = layout.half_gutter - WITHIN
    pitch, wall = detail.roof.pitch, detail.stack.depth
    front, foot = sole_front(layout)
    thick = detail.debris.snow / cos(pitch)
    low, high = wall - detail.gutter.upstand_return - OVER_CORNER, layout.courses.top
    _check_snow(layout, thick)
    section = [(y, z) for y in (low, high) for z in (-DEEP, y * tan(pitch) + thick)]
    block = Manifold.hull_points(np.array([(x, y, z) for x in (-edge, edge) for y, z in section]))
    body = block - _seat(layout, edge + 0.1)
    body -= _before(half, wall, DEEP)
    # The upstand with its turn-in and returns, and whatever of the sides ends beside it.
    beside = max(layout.side_lines.values()) + half
    inward = max(front - wall, layout.side_lines["gutter"])
    sheets = foot + detail.gutter.upstand + inward * tan(FALL)
    return body - _before(beside, front, sheets)


def _before(half: float, back: float, top: float) -> Manifold:
    """The room of something upright that ends at y = back and z = top, and what touches it [m]."""
    size = [2 * (half + TOUCHING), DEEP, DEEP + top + TOUCHING]
    return Manifold.cube(size).translate([-half - TOUCHING, back + TOUCHING - DEEP, -DEEP])


def _seat(layout: Layout, half: float) -> Manifold:
    """Everything below what debris lies on: sole, leg, underlay and the covering above them.

    Under each nose room is left for debris to work in, so that no slit stays between them.
    """
    front, foot = sole_front(layout)
    courses = layout.courses
    cornice = np.array([(front - 1.0, foot - DRIPS), (front, foot)])
    lines = [cornice, leg_line(layout), upper_line(layout)]
    bodies = []
    for index in range(courses.over_gutter, len(courses.courses)):
        course = courses.courses[index]
        ys = (course.nose_y, course.nose_y + TUCKED, course.head_y)
        nose, *top = ((y, courses.top_of(index, y)) for y in ys)
        lines.append(np.array(top))
        body = [nose, top[0], *((y, z - course.depth) for y, z in (top[0], nose))]
        bodies.append(shapely.Polygon(body))
    below = [
        shapely.Polygon([(y0, z0), (y1, z1), (y1, -DEEP), (y0, -DEEP)])
        for line in lines
        for (y0, z0), (y1, z1) in pairwise(line)
        if y0 != y1
    ]
    whole = shapely.union_all(below + bodies).buffer(TOUCHING, join_style="mitre")
    return _across(list(whole.exterior.coords)[:-1], -half, half)


def _across(section: Section, left: float, right: float) -> Manifold:
    """A section (y, z), carried across the slope from x = left to x = right [m]."""
    solid = CrossSection([np.array(section)], FillRule.NonZero).extrude(right - left)
    return solid.transform(np.array([[0, 0, 1, left], [1, 0, 0, 0], [0, 1, 0, 0]], dtype=float))


def _part(name: str, body: Manifold) -> Part:
    largest = max(body.decompose(), key=lambda piece: piece.volume())
    mesh = largest.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    return Part(name, Role.DEBRIS, vertices, np.asarray(mesh.tri_verts))


def _half_trough(layout: Layout) -> float:
    """Half the length [m] of the trough: between the ends of the back gutter's upstand."""
    return min(layout.half_stack + layout.side_lines["gutter"], layout.half_gutter)


def _check_leaves(layout: Layout, ends: int) -> None:
    told, upstand = layout.detail.debris, layout.detail.gutter.upstand
    high, long = told.leaves_high, told.leaves_long
    rule = f"at most the back gutter's upstand ({upstand * 1000:g} mm)"
    require(high <= upstand, "leaves high", f"{high * 1000:g} mm", rule)
    most = (2 * _half_trough(layout) - OPEN) / ends
    rule = f"at most {most * 1000:.0f} mm here, so that {OPEN * 1000:.0f} mm of gutter stay free"
    require(long <= most, "leaves long", f"{long * 1000:g} mm", rule)


def _check_snow(layout: Layout, thick: float) -> None:
    detail = layout.detail
    pitch, wall, height = detail.roof.pitch, detail.stack.depth, detail.stack.height
    front, foot = sole_front(layout)
    got = f"{detail.debris.snow * 1000:g} mm"
    need = foot + FILLS - front * tan(pitch)
    rule = f"over {need * cos(pitch) * 1000:.0f} mm here, to fill the gutter to the stack"
    require(thick > need, "snow", got, rule)
    room = height - wall * tan(pitch)
    rule = f"under {room * cos(pitch) * 1000:.0f} mm here, below the stack's capping"
    require(thick < room, "snow", got, rule)
