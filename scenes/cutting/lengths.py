"""Lengths in words, in the units that are spoken: whole millimetres, or inches to a sixteenth."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from scenes.units_text import in_units, spoken


def unit_words() -> str:
    """What a bare length is in."""
    return "inches" if spoken().is_imperial else "mm"


def bare(length: float) -> str:
    """A length [m] without its unit: whole millimetres, or inches to a sixteenth."""
    if spoken().is_imperial:
        return spoken().length(length).removesuffix(" in")
    return f"{length * 1000:.0f}"


def with_unit(length: float) -> str:
    """A length [m] in whole millimetres or in inches."""
    return in_units(f"{length * 1000:.0f} mm", spoken())


def from_to(words: Sequence[str]) -> str:
    """`27`, or `27 to 29`: the least and the most of some lengths or angles in words."""
    ordered = sorted(dict.fromkeys(words), key=_value)
    return ordered[0] if len(ordered) == 1 else f"{ordered[0]} to {ordered[-1]}"


def _value(words: str) -> float:
    """`27`, `85.4` or `1 3/16` as a number."""
    return float(sum(Fraction(part) for part in words.split()))


def listed(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]
