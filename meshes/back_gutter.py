"""Back gutter: turn-in, upstand, sole, up-slope leg and welt; its ends turned down over the sides."""

from __future__ import annotations

from math import atan, cos, sin, tan

import numpy as np

from meshes.layout import Layout
from meshes.line import Line, between, height
from meshes.piece import TIGHT, Named, Piece, mirrored, piece, strips, upright
from meshes.spec import SIDES, Side
from meshes.turn_in import FALL, PAST_CORNER, level_turn_in, side_turn_in

END_SLIT = 2e-5  # [m] between the front end and the outer end, dressed against each other
LEAST_END = 0.010  # [m] an end shorter than this past the stack can't be turned down


def sole_front(layout: Layout) -> tuple[float, float]:
    """(y, z) [m] of the bend between the sole and the upstand."""
    gutter = layout.detail.gutter
    y, z = layout.courses.sole_end
    return y - gutter.sole * cos(gutter.sole_fall), z - gutter.sole * sin(gutter.sole_fall)


def leg_line(layout: Layout) -> Line:
    """Section (y, z) [m] of sole, leg and welt, from the upstand's foot to the welt's free edge."""
    gutter, gap = layout.detail.gutter, layout.detail.gap
    courses = layout.courses
    own = atan(courses.slope)
    y, z = courses.sole_end
    nose = courses.courses[courses.over_gutter].nose_y
    top = nose + layout.gutter_leg * cos(own)
    rows = [sole_front(layout), (y, z), (top, z + (top - y) * courses.slope)]
    if gutter.welt > 0:
        up = np.array([-sin(own), cos(own)]) * gap
        folded = np.array(rows[-1]) + up
        rows.append((float(folded[0]), float(folded[1])))
        back = folded - np.array([cos(own), sin(own)]) * gutter.welt
        rows.append((float(back[0]), float(back[1])))
    return np.array(rows)


def back_gutter(layout: Layout) -> Piece:
    """The back gutter of a rectangular stack, as wide as the layout says."""
    detail = layout.detail
    y, foot = sole_front(layout)
    half, edge = layout.half_stack, layout.half_gutter
    end = half + layout.side_lines["gutter"]
    turned_down = edge - end > LEAST_END
    shoulder = min(end, edge)
    inner = min(half, edge)
    top = foot + detail.gutter.upstand
    returns = [
        side
        for side in SIDES
        if turned_down
        and detail.gutter.upstand_return > 0
        and _return_is_free(layout, side, y, foot)
    ]
    named: list[Named] = [
        (
            "upstand",
            [(-shoulder, y, foot), (shoulder, y, foot), (shoulder, y, top), (-shoulder, y, top)],
        )
    ]
    if detail.gutter.turn_in > 0:
        wall = detail.stack.depth
        # Snow lies tight round the stack's corners.
        past = 0.0 if detail.debris.snow > 0 else PAST_CORNER
        left, right = (end if side in returns else 0.0 for side in SIDES)
        named.append(
            level_turn_in(
                inner, y, wall, top, detail.gutter.turn_in, -1.0, past=past, round_to=(left, right)
            )
        )
    names = ("sole", "leg", "welt edge", "welt")
    for name, strip in zip(names, strips("", leg_line(layout), -edge, edge), strict=False):
        named.append((name, strip[1]))
    if turned_down:
        for side in SIDES:
            ends = _front_end(layout, end, edge, y, foot) + _outer_end(layout, edge, y)
            if side in returns:
                ends += _upstand_return(layout, side, end, y, foot, top)
            named += mirrored(ends) if side == "left" else ends
    return piece("back gutter", named, wet=(0.0, 1.0, 0.0))


def _upstand_return(
    layout: Layout, side: Side, end: float, y: float, foot: float, top: float
) -> list[Named]:
    """The upstand carried round the corner onto the stack's side, its edge dressed to the wall and its
    turn-in carried on with it.

    Outside the side flashing it closes the corner down to the end lap. No flat sheet has this and the
    end drop both: it is soldered or welded on.
    """
    detail = layout.detail
    front = layout.front_lines["gutter"]
    back = y - front - detail.gutter.upstand_return
    bottom = [(back, foot), (y, foot)]
    if layout.earlier(side, "gutter"):
        bottom = between(layout.cover_line("gutter"), back, y).tolist()
    found: list[Named] = [("upstand return", upright(end, [*bottom, (y, top), (back, top)]))]
    wall = layout.half_stack + TIGHT
    lift = (end - wall) * tan(FALL) if detail.gutter.turn_in > 0 else 0.0
    low = [(end, foot), (wall, foot)]
    if layout.earlier(side, "gutter"):
        low = _over_the_side(layout, side, end, wall, back)
    if low[0][1] < top - 0.010:
        rows = [*low, (wall, top + lift), (end, top)]
        found.append(("return edge", [(x, back, z) for x, z in rows]))
    if detail.gutter.turn_in > 0:
        found.append(side_turn_in(end, y, front + detail.gutter.turn_in, top, back))
    return found


def _over_the_side(
    layout: Layout, side: Side, end: float, wall: float, y: float
) -> list[tuple[float, float]]:
    """(x, z) [m] of the return's edge where it is cut to the side's turn-in: outside, and at the wall."""
    bend = layout.half_stack + layout.side_lines[side]
    fall = tan(FALL) if layout.detail.sides.turn_in > 0 else 0.0
    foot = layout.water_line(y) + TIGHT
    return [(x, foot + (bend - x) * fall / cos(layout.detail.roof.pitch)) for x in (end, wall)]


def _return_is_free(layout: Layout, side: Side, y: float, foot: float) -> bool:
    """Whether the return stands clear of the side flashings' turn-ins, or outside them."""
    return layout.earlier(side, "gutter") or foot > layout.water_line(y) + 0.010


def _front_end(layout: Layout, end: float, edge: float, y: float, foot: float) -> list[Named]:
    """The sole's front edge past the stack, turned down upright and laid on the side flashing."""
    line = layout.cover_line("gutter")
    run = layout.gutter_lap * cos(layout.detail.roof.pitch)
    lap = between(line, y - run, y)
    drop = height(lap, y)
    named: list[Named] = [
        ("end drop", [(end, y, foot), (edge, y, foot), (edge, y, drop), (end, y, drop)])
    ]
    return named + strips("end lap", lap, end, edge)


def _outer_end(layout: Layout, edge: float, y: float) -> list[Named]:
    """The sole's outer edge, turned down to just above the covering."""
    gap, slope = layout.detail.gap, tan(layout.detail.roof.pitch)
    fall = tan(layout.detail.gutter.sole_fall)
    front, foot = sole_front(layout)
    lift = 3 * gap / cos(layout.detail.roof.pitch)
    low = y + END_SLIT
    tip = (foot - front * fall - lift) / (slope - fall)

    def sole(at: float) -> float:
        return foot + (at - front) * fall

    if tip <= low + LEAST_END:
        return []
    rows = [(low, sole(low)), (tip, sole(tip)), (low, low * slope + lift)]
    return [("outer end", upright(edge, rows))]
