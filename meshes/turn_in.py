"""The turn-in: the leg of a piece that enters the stack's chase and falls outward."""

from __future__ import annotations

from math import cos, radians, tan

from meshes.layout import Layout
from meshes.piece import Named

FALL = radians(5.0)  # outward fall of a turn-in: common practice, no source
BELOW = 0.003  # [m] how far a chase opens below the turn-in's bend, square to it
STOP = 0.005  # [m] height of the stop at a sloping turn-in's lower end: clears the chase's roof
CLEAR_OF_MITRE = 0.0008  # [m] a level turn-in's mitre stands this far within the sides' mitres
PAST_CORNER = 0.0005  # [m] its ends reach this far round the corners, clear of the sides' turn-ins
# Whatever the bedding gap: a turn-in whose cut across the stack's front face is shorter than what
# counts as a contact leaves a crack in the corner.
OFF_CORNER = 0.0002  # [m] the nose of a sloping turn-in lies this far off the stack's corner
BEFORE_CORNER = 0.00055  # [m] and its mitre begins this far before the stack's front face


def level_turn_in(
    half: float,
    line: float,
    wall: float,
    height: float,
    depth: float,
    inward: float,
    *,
    past: float,
    round_to: tuple[float, float] = (0.0, 0.0),
) -> Named:
    """Turn-in of an apron or a back gutter: level along its bend, mitred at the stack's corners.

    half: half the stack's width; line: y of the bend; wall: y of the stack's face; height: z of the
    bend; inward: +1 when the stack lies up the slope; past: how far its ends reach round the stack's
    corners, so that nothing runs down past them; 0: they stop short; round_to: distance from the
    stack's middle of the bend of a `side_turn_in` that goes on from its left and from its right end,
    0 where there is none [m].
    """

    def at(x: float, y: float) -> tuple[float, float, float]:
        return (x, y, height + abs(y - line) * tan(FALL))

    def end(bend: float) -> list[tuple[float, float]]:
        if bend > 0:
            reach = abs(wall - line) + depth
            return [(bend, line), (bend - reach, line + inward * reach)]
        rows = [(half, line), (half - CLEAR_OF_MITRE, wall)]
        if past > 0:
            rows[1:] = [(half + past, wall - inward * past), (half + past, wall)]
        return [*rows, (half - CLEAR_OF_MITRE - depth, wall + inward * depth)]

    left, right = (end(bend) for bend in round_to)
    corners = [at(x, y) for x, y in right] + [at(-x, y) for x, y in reversed(left)]
    return ("turn-in", corners)


def side_turn_in(bend: float, line: float, reach: float, height: float, stop: float) -> Named:
    """A back gutter's turn-in where it goes on round the right corner, down to y = stop.

    bend: x of the bend at the top of the upstand's return; line: y of the upstand's own bend;
    reach: how far it goes in from each bend, in plan; height: z of both bends [m].
    """
    top = height + reach * tan(FALL)
    inner = bend - reach
    corners = [(bend, stop, height), (bend, line, height), (inner, line - reach, top)]
    if line - reach > stop:
        corners.append((inner, stop, top))
    else:
        short = line - stop
        corners[2] = (bend - short, stop, height + short * tan(FALL))
    return ("turn-in", corners)


def nose_x(layout: Layout) -> float:
    """x [m] from which on the right side's turn-in lies in front of the stack: just off its corner."""
    return layout.half_stack + OFF_CORNER


def sloping_turn_in(
    layout: Layout, x: float, low: float, high: float, *, past: float = 0.0
) -> list[Named]:
    """Turn-in of the right side flashing along its sloping bend at `x`, from y = low to y = high.

    past: how far its lower end reaches beyond the bend's end, over the fold of a fin [m].

    Its lower end runs past the stack's corner in open air, so that what runs down it falls in front of
    the apron; inside the chase that end is mitred, clear of the apron's turn-in, and turned up as a stop.
    """
    detail, gap = layout.detail, layout.detail.gap
    pitch = detail.roof.pitch
    half = layout.half_stack
    reach = x - (half - detail.sides.turn_in)

    def at(px: float, y: float, up: float = 0.0) -> tuple[float, float, float]:
        lift = ((x - px) * tan(FALL) + up) / cos(pitch)
        return (px, y, layout.water_line(y) + lift)

    outside, stop, inner = nose_x(layout), -BEFORE_CORNER, x - reach
    mitred = stop + (outside - inner) * 1.05
    back = min(detail.stack.depth + 0.5 * gap, high)
    nose = [at(outside, low - past)]
    if past > 0:
        nose += [at(x - 0.2 * gap, low - past), at(x - 0.2 * gap, low)]
    found: list[Named] = [
        (
            "turn-in",
            [
                at(x, low),
                at(x, back),
                at(inner, back),
                at(inner, mitred),
                at(outside, stop),
                *nose,
            ],
        ),
        (
            "stop",
            [
                at(outside, stop),
                at(inner, mitred),
                at(inner, mitred, STOP),
                at(outside, stop, STOP),
            ],
        ),
    ]
    return found
