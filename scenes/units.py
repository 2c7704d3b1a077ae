"""Figures in words for people: millimetres or inches, degrees or rise in 12. Files keep SI.

The factors are exact by definition: the inch, the pound, the US gallon and the mile of NIST SP 811
(from memory, not looked up).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import degrees, tan
from typing import Final, Literal

from scenes.figures import figure

INCH: Final = Fraction(254, 10_000)  # [m]
FOOT: Final = 12 * INCH
MILE_AN_HOUR: Final = 5280 * FOOT / 3600  # [m/s]
POUND: Final = Fraction(45_359_237, 100_000_000)  # [kg]
GALLON: Final = 231 * INCH**3  # [m3], the US gallon
FLUID_OUNCE: Final = GALLON / 128
HOUR, MINUTE = 3600, 60
MILLIMETRE: Final = Fraction(1, 1000)
LITRE: Final = Fraction(1, 1000)  # [m3]
SIXTEENTHS: Final = 16
EIGHTHS: Final = 8

UnitsName = Literal["metric", "imperial"]
NAMES: Final[tuple[UnitsName, ...]] = ("metric", "imperial")


@dataclass(frozen=True, slots=True)
class Units:
    """How figures are said. name: "metric" (mm, degrees) or "imperial" (inches, rise in 12)."""

    name: UnitsName

    @property
    def is_imperial(self) -> bool:
        """Whether lengths are in inches."""
        return self.name == "imperial"

    @property
    def length_unit(self) -> str:
        """What a bare length is in: "mm" or "in"."""
        return "in" if self.is_imperial else "mm"

    @property
    def small(self) -> Fraction:
        """What a bare length counts [m]: a millimetre or an inch."""
        return INCH if self.is_imperial else MILLIMETRE

    def length(self, metres: float, decimals: int | None = None) -> str:
        """A length: `590 mm`, `23 1/4 in`.

        decimals: so many of them; None: millimetres that are whole or have two at most, or inches to
        the nearest sixteenth, the fraction written out.
        """
        if decimals is not None:
            return f"{metres / self.small:.{decimals}f} {self.length_unit}"
        if self.is_imperial:
            return f"{mixed(metres / INCH, SIXTEENTHS)} in"
        return f"{_plain(metres * 1000, 2)} mm"

    def pitch(self, angle: float) -> str:
        """A pitch from 0 to below pi/2 [rad]: `40 degrees`, or to the nearest eighth, `8 1/2 in 12`."""
        if self.is_imperial:
            return f"{mixed(12 * tan(angle), EIGHTHS)} in 12"
        return f"{_plain(degrees(angle), 1)} degrees"

    def rain(self, speed: float) -> str:
        """Rain [m/s]: `75 mm/h`, `2.95 in/h`."""
        unit = "in/h" if self.is_imperial else "mm/h"
        return f"{_plain(speed * HOUR / self.small, 2)} {unit}"

    def gust(self, speed: float) -> str:
        """A gust [m/s]: `23.7 m/s`, `53.0 mph`."""
        return f"{speed / MILE_AN_HOUR:.1f} mph" if self.is_imperial else f"{speed:.1f} m/s"

    def flow(self, volume: float) -> str:
        """A flow [m3/s] to three figures: `123 ml/min`, `4.16 fl oz/min` (US fluid ounces)."""
        if self.is_imperial:
            return f"{figure(volume * MINUTE / FLUID_OUNCE)} fl oz/min"
        return f"{figure(volume * MINUTE / LITRE * 1000)} ml/min"

    def mass(self, kilograms: float) -> str:
        """A mass: `3.21 kg`, `7.08 lb`."""
        return f"{kilograms / POUND:.2f} lb" if self.is_imperial else f"{kilograms:.2f} kg"

    def area(self, square_metres: float) -> str:
        """An area: `0.451 m2`, `4.85 sq ft`."""
        if self.is_imperial:
            return f"{square_metres / FOOT**2:.2f} sq ft"
        return f"{square_metres:.3f} m2"


METRIC: Final = Units("metric")
IMPERIAL: Final = Units("imperial")


def units_of(name: UnitsName) -> Units:
    """The units of that name."""
    return {"metric": METRIC, "imperial": IMPERIAL}[name]


def mixed(value: float, parts: int) -> str:
    """A number to the nearest of so many parts of one, as a whole and a fraction: `23 1/4`, `-1/2`."""
    steps = round(value * parts)
    whole, rest = divmod(abs(steps), parts)
    sign = "-" if steps < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    fraction = f"{Fraction(rest, parts)}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


def _plain(value: float, decimals: int) -> str:
    """A number with at most so many decimals, and no noughts after them: 590.0 -> `590`."""
    words = f"{value:.{decimals}f}"
    words = words.rstrip("0").rstrip(".") if "." in words else words
    return "0" if words == "-0" else words
