"""Side flashing: turn-in, upstand to the water line, cover; returns round the stack's corners, or a fin."""

from __future__ import annotations

from math import tan

import numpy as np

from meshes.back_gutter import sole_front
from meshes.fin import Fin, fin_start, fold_over, side_fin
from meshes.front_return import front_return
from meshes.layout import Layout
from meshes.line import Line, between, height
from meshes.piece import Named, Piece, mirrored, piece, strips, upright
from meshes.spec import Side
from meshes.turn_in import sloping_turn_in

CLEAR_OF_SOLE = 0.008  # [m] upright room kept between the cover's top edge and the gutter's sole


def side_flashing(layout: Layout, side: Side) -> Piece:
    """The left or right side flashing of a rectangular stack."""
    line = layout.cover_line(side)
    named, foot = _right_hand(layout, side, line)
    if side == "left":
        named = mirrored(named)
    outward = (-1.0, 0.0, 0.0) if side == "left" else (1.0, 0.0, 0.0)
    return piece(f"{side} side flashing", named, wet=outward, foot=foot)


def _right_hand(layout: Layout, side: Side, line: Line) -> tuple[list[Named], Line]:
    """Facets of this side's piece, drawn at the right of the stack, and the foot of its upstand."""
    detail, gap = layout.detail, layout.detail.gap
    x, own = layout.side_lines[side] + layout.half_stack, layout.front_lines[side]
    fin = detail.joint == "fin"
    under_gutter = layout.earlier(side, "gutter")
    low = fin_start(layout) if fin else -own
    gutter_face = detail.stack.depth + layout.front_lines["gutter"]
    if under_gutter:
        high = detail.stack.depth + own
        top = max(_top_under_sole(layout, line), high + gap)
    else:
        high = top = gutter_face - gap
    start = layout.apron_edge
    cover = between(line, start, top, (low, high))
    foot = between(line, start if fin else low, high, (low,))
    upstand = _upstand(layout, foot, low, high)
    if fin:
        shape = Fin.of(layout)
        upstand += side_fin(layout, shape, side)
        named = [("upstand", upright(x, upstand))]
        if layout.earlier("apron", side):
            named += fold_over(shape, layout, side, x, toward=-1)
    else:
        named = [("upstand", upright(x, upstand))]
        named += front_return(layout, side, foot, x, low)
    if under_gutter:
        named += _back_return(layout, foot, x, high)
    if detail.sides.turn_in > 0:
        if fin:
            named += sloping_turn_in(layout, x, low, high, past=gap)
        else:
            tucked = layout.earlier(side, "apron")
            named += sloping_turn_in(layout, x, low + (0.2 * gap if tucked else 0.0), high)
    named += strips("cover", cover, x, x + detail.sides.cover)
    return named, foot


def _upstand(layout: Layout, foot: Line, low: float, high: float) -> list[tuple[float, float]]:
    rows = [(float(y), float(z)) for y, z in foot]
    rows += [(high, layout.water_line(high)), (low, layout.water_line(low))]
    return rows


def _back_return(layout: Layout, foot: Line, x: float, high: float) -> list[Named]:
    """Cut along the bend of the cover, it rises from the corner as the roof does."""
    bottom, top = height(foot, high), layout.water_line(high)
    pitch = layout.detail.roof.pitch
    most = (top - bottom - 0.010) / tan(pitch)
    reach = min(layout.detail.sides.corner_return + x - layout.half_stack, most)
    if reach <= x - layout.half_stack:
        return []
    inner = x - reach
    rise = reach * tan(pitch)
    corners = [(x, high, bottom), (x, high, top), (inner, high, top), (inner, high, bottom + rise)]
    return [("back return", corners)]


def _top_under_sole(layout: Layout, line: Line) -> float:
    """y of the cover's top edge: as far under the gutter's sole as its upright room allows."""
    end, _ = layout.courses.sole_end
    face, foot = sole_front(layout)
    fall = tan(layout.detail.gutter.sole_fall)
    tried = np.linspace(face, end, 200)
    room = np.array([foot + (y - face) * fall - height(line, float(y)) for y in tried])
    enough = tried[np.minimum.accumulate(room) > CLEAR_OF_SOLE]
    return float(enough[-1]) if len(enough) else float(face)
