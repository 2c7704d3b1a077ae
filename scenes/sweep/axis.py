"""Where the values of a parameter stand along a side of a panel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from scenes.sweep.key import Value
from scenes.sweep.value_words import size_of, value_of, words_of
from scenes.sweep.varied import Varied

BETWEEN: Final = 8.0
"""Least room between two figures at an axis [px]."""
ROUND: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
STEPS: Final = 7


@dataclass(frozen=True, slots=True)
class Axis:
    """A parameter along a line from `begin` to `end` [px]. In columns each value of a grid has its own width,
    in their order; else values stand where their size puts them."""

    one: Varied
    begin: float
    end: float
    in_columns: bool

    @property
    def values(self) -> tuple[Value, ...]:
        """The values of a grid, numbers upward."""
        if self.one.is_counted:
            return tuple(sorted(self.one.values))
        return self.one.values

    def edges(self) -> list[float]:
        """Where the columns begin and end [px]."""
        count = len(self.values)
        return [self.begin + (self.end - self.begin) * k / count for k in range(count + 1)]

    def at(self, value: Value) -> float:
        """Where a value stands [px]: in the middle of its column, or by its size."""
        if self.in_columns:
            place = (self.values.index(value) + 0.5) / len(self.values)
        else:
            low, high = self.ends
            place = (float(value) - low) / (high - low)
        return self.begin + (self.end - self.begin) * place

    @property
    def ends(self) -> tuple[float, float]:
        """Of the values, where they stand by their size; a little more, so that no mark is on the edge."""
        low, high = self.one.ends or (float(min(self.values)), float(max(self.values)))
        room = 0.03 * (high - low) or 1.0
        return low - room, high + room

    def ticks(self, size: Callable[[str], float]) -> list[tuple[float, str]]:
        """Place [px] and figure of as many values as have room; size: of a text along the axis [px]."""
        one = self.one
        told = [(self.at(value), words_of(one, value, unit=False)) for value in self.values]
        if one.ends:
            sizes = round_steps(*(size_of(one, end) for end in one.ends))
            told = [(self.at(value_of(one, size)), f"{size:g}") for size in sizes]
        for every in range(1, len(told) + 1):
            some = told[::every]
            widths = [size(words) for _, words in some]
            if all(
                abs(b[0] - a[0]) >= (wa + wb) / 2 + BETWEEN
                for a, b, wa, wb in zip(some, some[1:], widths, widths[1:], strict=False)
            ):
                return some
        return told[:1]


def round_steps(low: float, high: float) -> list[float]:
    """Round figures between two ends, about STEPS of them."""
    from math import ceil, floor, log10

    rough = (high - low) / STEPS
    power = 10.0 ** floor(log10(rough))
    step = next(one * power for one in ROUND if one * power >= rough * (1 - 1e-9))
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [float(f"{number * step:.9g}") for number in range(first, last + 1)]
