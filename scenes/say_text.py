"""Figures, counts and wrapped lines, as the printed answer has them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import ceil, log10
from textwrap import wrap

from scenes.figures import figure as figure
from scenes.units import EIGHTHS, INCH, mixed
from scenes.units_text import in_units, spoken

WIDTH = 96
TIES = re.compile(
    r" (?=(?:%|mm/h|mm|ml/min|litres?|m/s|km/h|Pa|hours?|±)(?![^\W_]))|(?<=±) "
    r"|(?<=[0-9]) (?=(?:[0-9]+/[0-9]+|in|in/h|mph|sq ft)\b)|(?<= in) (?=12\b)"
)
"""Spaces at which no line may end."""


def share_words(share: float, error: float) -> str:
    """A share and its standard error [unitless] in percent: `1.24 % ± 0.08 %`. Small errors get more
    decimals, so that no error but nought reads as nought."""
    digits = min(max(2, ceil(-log10(100 * error))), 4) if error > 0 else 2
    return f"{100 * share:.{digits}f} % ± {100 * error:.{digits}f} %"


def place_words(point: Sequence[float]) -> str:
    """A point (3,) [mm] in whole millimetres, `(1, 0, 150)`, or in inches to an eighth where they are
    spoken, `(0, 0, 5 7/8)`."""
    if spoken().is_imperial:
        return f"({', '.join(mixed(value / 1000 / INCH, EIGHTHS) for value in point)})"
    return f"({', '.join(str(round(value)) for value in point)})"


def count(number: int, noun: str) -> str:
    """A number 0 or more with its noun: `1 lap`, `2 laps`."""
    return f"{number} {noun}" if number == 1 else f"{number:,} {noun}s"


def hung(mark: str, text: str) -> list[str]:
    """Text wrapped behind a mark, its further lines under its first."""
    first, rest = f"  {mark:>2}  ", " " * 6
    return wrapped(text, initial_indent=first, subsequent_indent=rest)


def wrapped(text: str, **indents: str) -> list[str]:
    """Text wrapped, in the units that are spoken; no figure is parted from its unit."""
    said = in_units(text, spoken(), space="\u00a0")
    lines = wrap(TIES.sub("\u00a0", said), WIDTH, **indents)  # type: ignore[arg-type]
    return [line.replace("\u00a0", " ") for line in lines]
