"""Front apron: turn-in, upstand and cover on the covering below the stack."""

from __future__ import annotations

from math import cos, tan

from meshes.fin import Fin, apron_fin, fin_above
from meshes.layout import Layout
from meshes.line import between, height
from meshes.piece import TIGHT, Named, Piece, mirrored, piece, strips
from meshes.spec import SIDES, Side
from meshes.turn_in import BEFORE_CORNER, FALL, PAST_CORNER, STOP, level_turn_in, nose_x

UNDER_WATER_LINE = 0.012  # [m] the apron's return ends this far below the side's turn-in

FIN_CLEAR = 0.00016
"""A finned upstand stays so far off the sides' turn-ins [m]: just apart, since where a drop left sheets
that touch there hung on how finely they were cut."""


def apron_height(layout: Layout) -> float:
    """Height z [m] of the apron's turn-in bend: its upstand above the foot."""
    line = -layout.front_lines["apron"]
    return height(layout.cover_line("apron"), line) + layout.detail.apron.upstand


def apron(layout: Layout) -> Piece:
    """The apron of a rectangular stack, with fins or with returns under the side flashings.

    Above those, the upstand's ends are dressed back to the wall.
    """
    detail = layout.detail
    line = -layout.front_lines["apron"]
    # Wider than the stack, up to the noses of the sides' turn-ins: what runs down the stack's corner comes
    # down in front, not between them.
    half = nose_x(layout) - (FIN_CLEAR if detail.joint == "fin" else TIGHT)
    x = layout.half_stack + layout.side_lines["apron"]
    section = layout.cover_line("apron")
    cover = between(section, layout.apron_edge, line)
    foot, top = float(cover[-1, 1]), apron_height(layout)
    fin = Fin.of(layout) if detail.joint == "fin" else None
    left, right = (
        fin.top(line, fin_above(layout, side)) if fin else _return_height(layout) for side in SIDES
    )
    corners = [(-x, line, foot), (x, line, foot), (x, line, right), (half, line, right)]
    corners += [(half, line, top), (-half, line, top), (-half, line, left), (-x, line, left)]
    named: list[Named] = [("upstand", corners)]
    if detail.apron.turn_in > 0:
        past = _past_corner(layout, line, top)
        named.append(level_turn_in(half, line, 0.0, top, detail.apron.turn_in, 1.0, past=past))
    edge = x if fin else layout.half_apron
    named += strips("cover", cover, -edge, edge)
    for side, shoulder in zip(SIDES, (left, right), strict=True):
        ends = apron_fin(layout, fin, x, side) if fin else _return(layout, side, x, foot, shoulder)
        ends += _wall_edge(layout, side, half, line, shoulder, top)
        named += mirrored(ends) if side == "left" else ends
    return piece("front apron", named, wet=(0.0, -1.0, 0.0), foot=cover if fin else None)


def _past_corner(layout: Layout, line: float, top: float) -> float:
    """How far the turn-in reaches round the corners: not where a side's turn-in or its stop is."""
    low, high = layout.water_line(line) - 0.002, layout.water_line(0.013) + 0.002
    high += (0.01 * tan(FALL) + STOP) / cos(layout.detail.roof.pitch)
    return 0.0 if low < top < high else PAST_CORNER


def _wall_edge(
    layout: Layout, side: Side, half: float, line: float, shoulder: float, top: float
) -> list[Named]:
    """The upstand's end dressed back to the wall, above whatever stands behind or within it."""
    roof = layout.detail.roof
    # At the mitre of the side's turn-in, whatever the bedding gap.
    wall = -BEFORE_CORNER - (FIN_CLEAR if layout.detail.joint == "fin" else TIGHT)
    low = max(shoulder, roof.underlay_front - layout.underlay_depth + 0.003)
    # Over a fin it ends above the side's turn-in, that what runs down it comes down on that, not behind.
    if layout.detail.joint == "fin" or not layout.earlier("apron", side):
        low = max(low, layout.water_line(line) + 0.004)
    if low > top - 0.010:
        return []
    return [
        ("wall edge", [(half, line, low), (half, line, top), (half, wall, top), (half, wall, low)])
    ]


def _return_height(layout: Layout) -> float:
    line = -layout.front_lines["apron"]
    return min(layout.water_line(line) - UNDER_WATER_LINE, apron_height(layout) - 0.010)


def _return(layout: Layout, side: Side, x: float, foot: float, shoulder: float) -> list[Named]:
    """The apron's upstand turned round the corner onto the stack's side, cut along the slope."""
    line, slope = -layout.front_lines["apron"], tan(layout.detail.roof.pitch)
    wide = min(layout.detail.apron.overhang, layout.detail.sides.corner_return)
    wide = min(wide, (shoulder - foot - 0.010) / slope)
    if wide <= 0.005 or not layout.earlier("apron", side):
        return []
    back = line + wide
    return [
        (
            "return",
            [
                (x, line, foot),
                (x, line, shoulder),
                (x, back, shoulder),
                (x, back, foot + wide * slope),
            ],
        )
    ]
