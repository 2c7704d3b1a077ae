"""A sheet beside a stack, as what joins it at a corner must know it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from meshes.around.lie import Lie
from meshes.around.rim import Rim
from meshes.around.saddle import Saddle
from meshes.plan import Corner
from meshes.sheet import Point

DRESSED = 0.00005  # [m] an edge dressed tight lies so near the sheet below it: no water passes

Top = Callable[[float, float], float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """rim: the line of its upstand; lie: what it lies on at a place in plan; top: height z [m] of its
    upstand's top edge; underlay: height of the underlay's upturn behind it; turn_in: how deep [m]."""

    rim: Rim
    lie: Callable[[Corner], Lie | Saddle]
    top: Top
    underlay: Top
    turn_in: float

    def out(self, points: Sequence[Corner]) -> list[Corner]:
        """Points of the outline moved out to the upstand."""
        return [self.rim.at(point) for point in points]

    def foot(self, a: Corner, b: Corner) -> list[Point]:
        """The foot of the upstand from a to b in plan."""
        return self.lie(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)).foot(a, b)
