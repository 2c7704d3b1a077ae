"""The turn-in: the leg of a piece that enters the stack's chase and falls outward."""

from __future__ import annotations

from math import cos, radians, tan

from meshes.layout import Layout
from meshes.piece import Named

FALL = radians(5.0)  # outward fall of a turn-in: common practice, no source
BELOW = 0.003  # [m] how far a chase opens below the turn-in's bend, square to it
STOP = 0.005  # [m] height of the stop at the lower end of a sloping turn-in: clears the chase's roof


def level_turn_in(
    half: float, line: float, wall: float, height: float, depth: float, inward: float
) -> Named:
    """Turn-in of an apron or a back gutter: level along its bend, x from -half to half.

    line: y of the bend; wall: y of the stack's face; inward: +1 when the stack lies up the slope [m].
    """
    reach = abs(wall - line) + depth
    y, z = line + inward * reach, height + reach * tan(FALL)
    return (
        "turn-in",
        [(-half, line, height), (half, line, height), (half, y, z), (-half, y, z)],
    )


def sloping_turn_in(layout: Layout, x: float, low: float, high: float) -> list[Named]:
    """Turn-in of the right side flashing along its sloping bend at `x`, from y = low to y = high.

    Its lower end runs past the stack's corner in open air, so that what runs down it falls in front of
    the apron; inside the chase that end is turned up as a stop.
    """
    detail, gap = layout.detail, layout.detail.gap
    pitch = detail.roof.pitch
    half = layout.half_stack
    reach = x - (half - detail.sides.turn_in)

    def at(px: float, y: float, up: float = 0.0) -> tuple[float, float, float]:
        lift = ((x - px) * tan(FALL) + up) / cos(pitch)
        return (px, y, layout.water_line(y) + lift)

    outside, stop, inner = half + 0.2 * gap, -0.5 * gap, x - reach
    back = min(detail.stack.depth + 0.5 * gap, high)
    found: list[Named] = [
        (
            "turn-in",
            [
                at(x, low), at(x, back), at(inner, back), at(inner, stop), at(outside, stop),
                at(outside, low),
            ],
        ),
        (
            "stop",
            [at(outside, stop), at(inner, stop), at(inner, stop, STOP), at(outside, stop, STOP)],
        ),
    ]
    return found
