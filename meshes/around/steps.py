"""Where the steps of a side flashing fall: level tops in the joints of the bricks."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, inf, tan

from meshes.errors import require
from meshes.rules import step_run

ON_JOINT = 1e-9  # [m] the water line so near to a joint is at it


@dataclass(frozen=True, slots=True)
class Step:
    """One level top edge [m]: y where it starts and ends up the slope, its height z; `meets` is the y
    at which the water line itself is as high."""

    start: float
    end: float
    height: float
    meets: float


def steps_of(
    water_line: float,
    pitch: float,
    brick_gauge: float,
    *,
    low: float,
    high: float,
    shortest: float = 0.0,
) -> tuple[Step, ...]:
    """The steps from y = low to y = high, each in the lowest joint that no part of it lies over.

    water_line: its height [m] at y = 0, whence it rises with the pitch [rad]; brick_gauge: height of a
    brick and a joint [m]: joints are counted from z = 0, the top of the covering at the stack's front;
    shortest: no step is shorter at either end [m], the next one beginning sooner instead.
    Whole steps are brick_gauge / tan(pitch) long. Raises PieceError when low is not below high.
    Source: exact geometry.
    """
    span = f"{(high - low) * 1000:g} mm"
    require(0 < high - low < inf, "length of steps", span, "above 0 mm")
    run = step_run(brick_gauge, pitch)

    def meets(joint: int) -> float:
        return joint * run - water_line / tan(pitch)

    ended = low + min(shortest, high - low - ON_JOINT) - ON_JOINT
    first = floor((ended + water_line / tan(pitch)) / run) + 1
    last = max(ceil((high - ON_JOINT + water_line / tan(pitch)) / run), first)
    found = []
    for joint in range(first, last + 1):
        start = low if joint == first else meets(joint - 1)
        found.append(Step(start, min(meets(joint), high), joint * brick_gauge, meets(joint)))
    if len(found) > 1 and found[-1].end - found[-1].start < shortest:
        before, end = found[-2], found[-1]
        start = max(high - shortest, before.start + ON_JOINT)
        found[-2:] = [
            Step(before.start, start, before.height, before.meets),
            Step(start, end.end, end.height, end.meets),
        ]
    return tuple(found)


def step_at(steps: tuple[Step, ...], y: float) -> Step:
    """The step over y, the first or last one past their ends."""
    return next((step for step in steps if y < step.end - ON_JOINT), steps[-1])
