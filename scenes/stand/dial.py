"""In what a slider counts where its page speaks inches: the scene's file goes on in millimetres."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan, ceil, degrees, floor, radians, tan
from typing import Final

from scenes.units import INCH, MILE_AN_HOUR

MM_AN_INCH: Final = float(INCH * 1000)
MS_A_MILE: Final = float(MILE_AN_HOUR)
FINE: Final = 1.0
"""A measure whose step is below this [mm] is small: it goes by thousandths of an inch."""

NEAR: Final = 1e-6
"""Of a step: an end this near to a whole step is one."""


@dataclass(frozen=True, slots=True)
class Dial:
    """What a slider counts on the page. unit: its words; step: of the slider, of which whole numbers of
    `finest` are shown; to, back: from the file's figure to the page's and from there back."""

    unit: str
    step: float
    finest: float
    to: Callable[[float], float]
    back: Callable[[float], float]

    def shown(self, number: float) -> float:
        """A figure of the file as the page has it, to the finest that it tells."""
        return round(round(self.to(number) / self.finest) * self.finest, 6)

    def within(self, low: float, high: float) -> tuple[float, float]:
        """The first and the last whole step of the page between two figures of the file."""
        first, last = ceil(self.to(low) / self.step - NEAR), floor(self.to(high) / self.step + NEAR)
        return round(first * self.step, 6), round(last * self.step, 6)

    def counted(self, number: float) -> float:
        """A figure of the page as the file has it."""
        return round(self.back(number), 6)


def dial_of(unit: str, step: float, *, pitch: bool) -> Dial | None:
    """How inches, feet and miles count a slider; None where they leave it as it is (angles in plan).

    unit, step: of the slider in the file's units; pitch: whether its angle is a slope.
    """
    if unit == "mm" and step < FINE:
        return _of("in", 0.005, 0.001, MM_AN_INCH)
    if unit == "mm":
        return _of("in", 0.25 if step > FINE else 0.0625, 0.0625, MM_AN_INCH)
    if unit == "mm/h":
        return _of("in/h", 0.2, 0.01, MM_AN_INCH)
    if unit == "m/s":
        return _of("mph", 1.0, 0.1, MS_A_MILE)
    return Dial("in 12", 0.25, 0.125, _rise, _angle) if unit == "degrees" and pitch else None


def _of(unit: str, step: float, finest: float, size: float) -> Dial:
    return Dial(unit, step, finest, lambda number: number / size, lambda number: number * size)


def _rise(angle: float) -> float:
    """The rise in 12 of an angle [degrees]."""
    return 12 * tan(radians(angle))


def _angle(rise: float) -> float:
    return degrees(atan(rise / 12))
