"""Lengths of bars and arms that scales are drawn with: round in the units that are spoken."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from scenes.units import FOOT, INCH
from scenes.units_text import spoken

INCHES: Final = (0.5, 1, 2, 3, 6)
FEET: Final = (1, 2, 5, 10, 20)
ROUND: Final[tuple[tuple[float, str], ...]] = (
    *((float(n * INCH), f"{n:g} in") for n in INCHES),
    *((float(n * FOOT), f"{n} ft") for n in FEET),
)
"""Lengths [m] that are round in inches and feet, and their words."""


def round_length(most: float, metric: Sequence[float]) -> tuple[float, str]:
    """The longest round length [m] up to `most` [m], or else the shortest, and its words; metric: the
    lengths [m] to choose from where millimetres are spoken, rising."""
    choice = ROUND if spoken().is_imperial else [(one, f"{one * 1000:.0f} mm") for one in metric]
    within = [one for one in choice if one[0] <= most]
    return within[-1] if within else choice[0]
