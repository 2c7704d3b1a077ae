"""The side flashing's return onto the stack's front face, its edges dressed tight to the apron."""

from __future__ import annotations

from math import cos, radians, tan

from meshes.apron import apron_height
from meshes.layout import Layout
from meshes.line import Line, between, height, offset
from meshes.piece import TIGHT, Named, upright
from meshes.spec import Side
from meshes.turn_in import FALL, nose_x

RETURN_FALL = radians(30.0)  # of the return's top edge, away from the corner: no source
# Of the cover's inner edge [m]: closed below the corner; left open at its lower end, to drain.
CLOSED_END = 0.060
FREE_END = 0.015


def front_return(layout: Layout, side: Side, foot: Line, x: float, low: float) -> list[Named]:
    """The right side flashing's upstand turned onto the front face, in the plane y = low.

    foot: section line of the upstand's foot; x: plane of the upstand. Empty where nothing is turned.
    """
    if layout.detail.sides.corner_return <= 0:
        return []
    if layout.earlier("apron", side):
        return _over_the_apron(layout, side, x, low)
    inner = layout.half_stack - layout.detail.sides.corner_return
    # Tucked under the apron's upstand it must also stay below the apron's turn-in.
    top = min(layout.water_line(low), apron_height(layout) - 0.004)
    bottom = height(foot, low)
    corners = [(x, low, bottom), (x, low, top), (inner, low, top), (inner, low, bottom)]
    return [("front return", corners)]


def _over_the_apron(layout: Layout, side: Side, x: float, low: float) -> list[Named]:
    """The return, and the lips that close it to the apron, so that no wind blows in behind it.

    The nose of the turn-in is carried on along its top edge, which falls away from the corner: what
    runs down the apron is thrown off there. Below the corner the cover's edge is dressed down too.
    No flat sheet has the few square millimetres where the lips meet at the foot: lead is dressed out.
    """
    detail, pitch = layout.detail, layout.detail.roof.pitch
    inner = layout.half_stack - detail.sides.corner_return
    apron = offset(layout.cover_line("apron"), TIGHT)
    bottom = height(apron, low)
    begins = nose_x(layout) if detail.sides.turn_in > 0 else x
    high = layout.water_line(low)
    shoulder = high + (x - begins) * tan(FALL) / cos(pitch)
    end = max(shoulder - (begins - inner) * tan(RETURN_FALL), (shoulder + bottom) / 2)
    back = -layout.front_lines["apron"] - TIGHT
    rise = (back - low) * tan(pitch)
    corners = [(x, low, bottom), (x, low, high), (begins, low, shoulder), (inner, low, end)]
    top = [(begins, low, shoulder), (inner, low, end)]
    top += [(inner, back, end + rise), (begins, back, shoulder + rise)]
    near = [(low, end), *between(apron, low, back).tolist(), (back, end + rise)]
    free = min(max(layout.apron_edge + FREE_END, low - CLOSED_END * cos(pitch)), low - 0.005)
    below = between(layout.cover_line(side), free, low)
    tight = between(apron, free, low)
    return [
        ("front return", [*corners, (inner, low, bottom)]),
        ("return top lip", top),
        ("return inner lip", upright(inner, near)),
        ("cover lip", upright(x, [*below.tolist(), *reversed(tight.tolist())])),
    ]
