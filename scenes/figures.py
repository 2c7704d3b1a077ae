"""A number with three figures: what the printed answer and every unit share."""

from __future__ import annotations

from math import floor, log10


def figure(value: float) -> str:
    """A number with three figures, and no more decimals than that: 1234 -> `1,230`."""
    if value == 0:
        return "0"
    digits = 2 - floor(log10(abs(value)))
    return f"{round(value, digits):,.{max(digits, 0)}f}"
