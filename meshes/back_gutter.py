"""Back gutter: turn-in, upstand, sole, up-slope leg and welt; its ends turned down over the sides."""

from __future__ import annotations

from math import atan, cos, sin, tan

import numpy as np

from meshes.layout import Layout
from meshes.line import Line, between, height
from meshes.piece import Named, Piece, mirrored, piece, strips, upright
from meshes.spec import SIDES, Side
from meshes.turn_in import PAST_CORNER, level_turn_in

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
        named.append(level_turn_in(inner, y, wall, top, detail.gutter.turn_in, -1.0, past=past))
    names = ("sole", "leg", "welt edge", "welt")
    for name, strip in zip(names, strips("", leg_line(layout), -edge, edge), strict=False):
        named.append((name, strip[1]))
    if turned_down:
        for side in SIDES:
            ends = _front_end(layout, end, edge, y, foot) + _outer_end(layout, edge, y)
            if detail.gutter.upstand_return > 0 and _return_is_free(layout, side, y, foot):
                ends += _upstand_return(layout, side, end, y, foot, top)
            named += mirrored(ends) if side == "left" else ends
    return piece("back gutter", named, wet=(0.0, 1.0, 0.0))


def _upstand_return(
    layout: Layout, side: Side, end: float, y: float, foot: float, top: float
) -> list[Named]:
    """The upstand carried round the corner onto the stack's side, its edge dressed to the wall.

    Outside the side flashing it closes the corner down to the end lap. No flat sheet has this and the
    end drop both: it is soldered or welded on.
    """
    gap = layout.detail.gap
    back = y - layout.front_lines["gutter"] - layout.detail.gutter.upstand_return
    wall, low = layout.half_stack + 0.5 * gap, max(foot, layout.water_line(back) + 0.008)
    bottom = [(back, foot), (y, foot)]
    if layout.earlier(side, "gutter"):
        bottom = between(layout.cover_line("gutter"), back, y).tolist()
    found: list[Named] = [("upstand return", upright(end, [*bottom, (y, top), (back, top)]))]
    if low < top - 0.010:
        edge = [(end, back, low), (end, back, top), (wall, back, top), (wall, back, low)]
        found.append(("return edge", edge))
    return found


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
    low = y + gap
    tip = (foot - front * fall - lift) / (slope - fall)

    def sole(at: float) -> float:
        return foot + (at - front) * fall

    if tip <= low + LEAST_END:
        return []
    rows = [(low, sole(low)), (tip, sole(tip)), (low, low * slope + lift)]
    return [("outer end", upright(edge, rows))]
