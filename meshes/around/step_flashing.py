"""Upstands whose top edges follow the bricks: level treads turned into the joints, upright risers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, sin, tan

from meshes.around.chains import Chain
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet, Top
from meshes.around.steps import Step, step_at, steps_of
from meshes.around.turn_ins import CLEAR_OF_MITRE, Ending, end_of
from meshes.around.upstand import OFF_BEND
from meshes.errors import require
from meshes.piece import TIGHT, Named
from meshes.plan import SIDE_WITHIN, Corner, Kind
from meshes.rules import step_run
from meshes.sheet import Point
from meshes.turn_in import FALL, STOP

PAST_RISER = 0.0006  # [m] a tread's turn-in reaches so far down past its riser, to cover its lip
TO_WALL = 0.0001  # [m] a riser's edge is dressed so near to the wall that no film passes
SHORTEST = 0.060  # [m] a shorter step at a corner is left to the next one: practice, no source
LEAST_OF_RUN = 0.6  # [1] or shorter than this share of a whole step
LEAST_SHOWN = 0.010  # [m] or, over soakers, than its lap under the next and so much more
UNDER_APRON_TOP = (
    0.015  # [m] a return over an apron that is turned in as high ends so far below that
)
AS_HIGH = (0.006, 0.018)  # [m] from so far below the apron's turn-in to so far above it
ABOVE_STEPS = 0.020  # [m] the stack stands at least this far above the highest step
BEHIND_RISER = 0.003  # [m] and so far on behind the riser above it, to lie under its stop
ABOVE_UPTURN = 0.012  # [m] treads over soakers keep so far above their upturns, square to the slope


@dataclass(frozen=True, slots=True)
class Wall:
    """One face of the stack that runs up the slope, side: -1 left, +1 right; front and back: its
    corners in plan [m]."""

    front: Corner
    back: Corner
    side: int

    def at(self, y: float, off: float) -> Corner:
        """The point in plan at y that stands `off` the face [m]; below nought: within the stack."""
        (x0, y0), (x1, y1) = self.front, self.back
        return (x0 + (x1 - x0) * (y - y0) / (y1 - y0) + self.side * off, y)


Off = Callable[[float], float]
Ends = list[Corner]
Endings = tuple[Ending, Ending]


def wall_of(chain: Chain) -> Wall:
    """The face that a side's run is. Raises PieceError where it doesn't run straight up the slope."""
    front, *_, back = sorted(chain.points, key=lambda point: point[1])
    lean = abs(back[0] - front[0]) / (back[1] - front[1])
    straight = len(chain.points) == 2 and lean < sin(SIDE_WITHIN)
    rule = "cover where a side doesn't run straight up the slope"
    require(straight, "side way", "steps on such a side", rule)
    return Wall(front, back, 1 if chain.kind is Kind.RIGHT else -1)


def side_steps(scheme: Scheme, low: float, high: float, shortest: float) -> tuple[Step, ...]:
    """The steps over a side's water line from y = low to y = high [m]; shortest: as `steps_of`'s."""
    detail, pitch = scheme.detail, scheme.detail.roof.pitch
    gauge = detail.stack.brick_gauge
    square = detail.sides.upstand
    if detail.sides.way == "soakers":
        square = max(square, detail.sides.soaker_upturn + ABOVE_UPTURN)
    found = steps_of(
        scheme.crest + square / cos(pitch), pitch, gauge, low=low, high=high,
        shortest=shortest,
    )  # fmt: skip
    need = found[-1].height + ABOVE_STEPS
    high_enough = detail.stack.height > need
    rule = f"over the highest step ({need * 1000:.0f} mm)"
    require(high_enough, "stack height", f"{detail.stack.height * 1000:g} mm", rule)
    return found


def stepped_top(scheme: Scheme, chain: Chain, rim: Rim, apron: Top) -> Top:
    """The height of a stepped side's top edge. Round the front corner it ends below the apron's, where
    both would be turned into the same joint. apron: that of the apron's top edge."""
    wall, steps = wall_of(chain), steps_on(scheme, chain)
    corner = rim.at(wall.front)

    def top(x: float, y: float) -> float:
        height = step_at(steps, y).height
        round_corner = (
            wall.side * (corner[0] - x) > TIGHT and y < (steps[0].start + steps[-1].end) / 2
        )
        theirs = apron(x, y)
        if round_corner and theirs - AS_HIGH[0] <= height < theirs + AS_HIGH[1]:
            return theirs - UNDER_APRON_TOP
        return height

    return top


def stepped_side(scheme: Scheme, sheet: Sheet, chain: Chain, endings: Endings) -> list[Named]:
    """Upstand and turn-ins of a side whose cover is in one piece with its steps.

    endings: how turn-ins end at the run's first and last corner.
    """
    wall = wall_of(chain)
    front, back = sheet.rim.at(wall.front), sheet.rim.at(wall.back)
    return stair(
        wall,
        steps_on(scheme, chain),
        sheet.foot(front, back),
        sheet,
        both_ends(sheet, wall, endings),
    )


def both_ends(sheet: Sheet, wall: Wall, endings: Endings) -> tuple[Ends, Ends]:
    """`corner_end` of a side's lower and upper end. endings: at its first and last corner."""
    left = wall.side < 0
    low, high = reversed(endings) if left else endings
    return (
        corner_end(sheet, wall.front, low, at_end=left),
        corner_end(sheet, wall.back, high, at_end=not left),
    )


def steps_on(scheme: Scheme, chain: Chain) -> tuple[Step, ...]:
    """The steps of a side, from corner to corner of its sheet."""
    wall, sides = wall_of(chain), scheme.detail.sides
    rim = Rim(scheme.plan, scheme.stand_off(scheme.layers[chain.kind]))
    run = step_run(scheme.detail.stack.brick_gauge, scheme.detail.roof.pitch)
    shortest = min(SHORTEST, LEAST_OF_RUN * run)
    if sides.way == "soakers":
        shortest = max(shortest, sides.step_lap + LEAST_SHOWN)
    return side_steps(scheme, rim.at(wall.front)[1], rim.at(wall.back)[1], shortest)


def end_steps(scheme: Scheme, chain: Chain) -> tuple[Corner, ...]:
    """A side's run with a point on its first step and one on its last: those run on level there."""
    wall, steps = wall_of(chain), steps_on(scheme, chain)
    low, high = steps[0], steps[-1]
    inner = [wall.at((max(low.start, wall.front[1]) + low.end) / 2, 0.0)]
    inner.append(wall.at((high.start + min(high.end, wall.back[1])) / 2, 0.0))
    if inner[1][1] - inner[0][1] < SHORTEST / 10:
        return chain.points
    points = (wall.front, *inner, wall.back)
    return points if chain.kind is Kind.RIGHT else points[::-1]


def corner_end(sheet: Sheet, corner: Corner, ending: Ending, *, at_end: bool) -> Ends:
    """How a tread ends at a corner of the stack, in plan: from the bend to inside the wall.

    at_end: whether the face ends there, going anticlockwise, or starts.
    """
    rim = sheet.rim
    inner = Rim(rim.plan, -sheet.turn_in).shifted(corner, CLEAR_OF_MITRE, at_end=at_end)
    return [*reversed(end_of(sheet, corner, ending, at_end)), inner]


def tread(
    wall: Wall, step: Step, off: Off, depth: float, ends: tuple[Ends | None, Ends | None]
) -> list[Named]:
    """A step's turn-in, level along the bend and falling outward.

    off: how far the sheet stands off the wall at y [m]; ends: how it ends at a corner of the stack
    (`corner_end`), lower end first; None where it ends at a riser: it reaches a little past that.
    """

    def at(point: Corner) -> Point:
        x, y = point
        stand = wall.side * (x - wall.at(y, 0.0)[0])
        return (x, y, step.height + (off(y) - stand) * tan(FALL))

    low, high = step.start, step.end
    first, last = ends
    if first is None:
        stand, nose = off(low) - OFF_BEND, low - PAST_RISER
        first = [wall.at(low, off(low)), wall.at(low, stand)]
        first += [wall.at(nose, stand), wall.at(nose, -depth)]
    if last is None:
        stand, behind = off(high) - 2 * TIGHT, high + BEHIND_RISER
        last = [wall.at(high, off(high)), wall.at(high, stand)]
        last += [wall.at(behind, stand), wall.at(behind, -depth)]
    bends = [wall.at(end[0][1], off(end[0][1])) for end in (first, last)]
    corners = [*reversed(first[1:]), *bends, *last[1:]]
    return [("turn-in", [at(point) for point in corners])]


def riser_lip(
    wall: Wall,
    y: float,
    off: float,
    top: float,
    under: tuple[float, float],
    depth: float,
    *,
    foot: float | None = None,
) -> Named:
    """The edge below a riser at y, dressed to the wall above the tread there, and with a stop on that
    tread into the joint.

    off: stand-off of the sheet [m]; top: height of its own tread; under: stand-off and height of
    the tread that it stands over; depth: of that in the wall; foot: where the sheet's edge itself
    begins, if below that tread: there it is dressed to the sheet of that tread.
    """
    stand, height = under

    def on_tread(at: float, up: float) -> Point:
        return (*wall.at(y, at), height + up + TIGHT + max(stand - at, 0.0) * tan(FALL))

    def under_own(at: float) -> Point:
        return (*wall.at(y, at), top - OFF_BEND + (off - at) * tan(FALL))

    corners = [under_own(off), under_own(TO_WALL)]
    if depth > 0:
        corners += [on_tread(TO_WALL, STOP), on_tread(-depth, STOP), on_tread(-depth, 0.0)]
    else:
        corners.append(on_tread(TO_WALL, 0.0))
    if foot is not None:
        corners.append(on_tread(stand + TIGHT, 0.0))
        corners += [(*wall.at(y, at), foot) for at in (stand + TIGHT, off)]
    else:
        corners.append(on_tread(off, 0.0))
    return ("riser lip", corners)


def stair(
    wall: Wall, steps: Sequence[Step], foot: Sequence[Point], sheet: Sheet, ends: tuple[Ends, Ends]
) -> list[Named]:
    """One upright sheet under all steps, with their turn-ins.

    foot: its lower edge, from the front up; ends: of its turn-ins at the stack's corners, the lower
    first.
    """
    off, depth = sheet.rim.distance, sheet.turn_in
    named: list[Named] = [("upstand", [*foot, *_stairs(wall, steps, off)])]
    for number, step in enumerate(steps):
        if depth > 0:
            at = (
                ends[0] if number == 0 else None,
                ends[1] if number == len(steps) - 1 else None,
            )
            named += tread(wall, step, lambda _: off, depth, at)
    named += [
        riser_lip(wall, above.start, off, above.height, (off, below.height), depth)
        for below, above in pairwise(steps)
    ]
    return named


def _stairs(wall: Wall, steps: Sequence[Step], off: float) -> list[Point]:
    """The top edge, from the back down, with points where the lips on the risers begin and end."""
    found: list[Point] = []
    for below, above in reversed(list(pairwise((None, *steps)))):
        assert above is not None
        at = wall.at(above.start, off)
        found += [(*wall.at(above.end, off), above.height), (*at, above.height)]
        if below is not None:
            found += [(*at, above.height - OFF_BEND), (*at, below.height + TIGHT)]
    return found
