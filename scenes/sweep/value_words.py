"""A parameter's value as people read it, in the units that are spoken; tables and what is asked keep SI."""

from __future__ import annotations

from math import atan, degrees, radians, tan
from typing import Final

from scenes.sweep.key import Value
from scenes.sweep.varied import Varied
from scenes.units import IMPERIAL, INCH, MILE_AN_HOUR, MILLIMETRE
from scenes.units_keys import PITCH, counted
from scenes.units_text import in_units, spoken

IN_TWELVE: Final = "in 12"
OTHERS: Final = {
    "mm": ("in", float(MILLIMETRE / INCH)), "mm/h": ("in/h", float(MILLIMETRE / INCH)),
    "m/s": ("mph", float(1 / MILE_AN_HOUR)),
}  # fmt: skip
"""By a key's unit: what it is said in where that is imperial, and how many of those it is."""
FINEST: Final = 6
"""Most decimals that are tried to tell two values of a parameter apart."""


def unit_words(one: Varied) -> str:
    """What a parameter's figures count: `mm`, `in`, `in 12` of a pitch, `degrees`, or ""."""
    if not spoken().is_imperial:
        return one.key.unit
    return IN_TWELVE if _is_pitch(one) else OTHERS.get(one.key.unit, (one.key.unit,))[0]


def words_of(one: Varied, value: Value, *, unit: bool = True) -> str:
    """A value of a parameter for people: `40 degrees`, `5 7/8 in`, `slates`. In inches values that differ
    read differently: where a sixteenth would hide it, in decimals."""
    if not one.key.is_number or isinstance(value, str):
        return str(value).lower() if isinstance(value, bool) else str(value)
    decimals = _decimals(one) if spoken().is_imperial else None
    figure = _figure(one, value) if decimals is None else f"{size_of(one, value):.{decimals}f}"
    return counted(figure, unit_words(one)) if unit else figure


def size_of(one: Varied, value: float) -> float:
    """A value as a number of `unit_words`."""
    if not spoken().is_imperial:
        return value
    if _is_pitch(one):
        return 12 * tan(radians(value))
    return value * OTHERS.get(one.key.unit, ("", 1.0))[1]


def value_of(one: Varied, size: float) -> float:
    """The value whose `size_of` that is."""
    if not spoken().is_imperial:
        return size
    if _is_pitch(one):
        return degrees(atan(size / 12))
    return size / OTHERS.get(one.key.unit, ("", 1.0))[1]


def _is_pitch(one: Varied) -> bool:
    return one.key.name.endswith(PITCH)


def _figure(one: Varied, value: float) -> str:
    """A value without its unit, as it is usually said."""
    if not spoken().is_imperial:
        return f"{value:g}"
    if _is_pitch(one):
        return IMPERIAL.pitch(radians(value)).removesuffix(f" {IN_TWELVE}")
    return (
        in_units(f"{value:g} {one.key.unit}", spoken()).removesuffix(f" {unit_words(one)}").rstrip()
    )


def _decimals(one: Varied) -> int | None:
    """With how many decimals a parameter's values read differently; None where they do as they are usually
    said."""
    numbers = [value for value in one.values if not isinstance(value, str)]
    if len({_figure(one, value) for value in numbers}) == len(numbers):
        return None
    sizes = [size_of(one, value) for value in numbers]
    for decimals in range(1, FINEST):
        if len({f"{size:.{decimals}f}" for size in sizes}) == len(sizes):
            return decimals
    return FINEST
