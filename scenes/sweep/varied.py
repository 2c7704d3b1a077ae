"""One parameter and the values that it takes: KEY=FROM:TO:STEP, KEY=FROM:TO or KEY=a,b,c."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from math import floor
from typing import Final

from meshes.errors import SceneError
from scenes.places import shown
from scenes.sweep.key import Key, Value, key_named

MOST_VALUES: Final = 1000
WITHIN: Final = Decimal("1e-9")
"""Of a step: TO this near to a whole step is reached."""
DIGITS: Final = 4
"""Figures of a sampled value of a range without steps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """A parameter and what it takes. values: of a list or a range with steps; ends: of a range without
    steps, which only a sample can take, else (); text: as it was asked for."""

    key: Key
    values: tuple[Value, ...]
    ends: tuple[float, ...]
    text: str

    @property
    def is_counted(self) -> bool:
        """Whether all its values are numbers, so that it can be an axis."""
        return self.key.is_number and not any(isinstance(value, str) for value in self.values)

    def at(self, place: float) -> Value:
        """The value at a place from 0 up to 1: every value has an equal part of the way."""
        if not self.ends:
            return self.values[min(int(place * len(self.values)), len(self.values) - 1)]
        low, high = self.ends
        return float(f"{low + place * (high - low):.{DIGITS}g}")


def varied_of(text: str) -> Varied:
    """A parameter as --vary gives it. Raises SceneError with one line."""
    head, equals, tail = text.partition("=")
    rule = "KEY=FROM:TO:STEP or KEY=a,b,c"
    if not equals or not head.strip() or not tail.strip() or not text.isprintable():
        raise SceneError(f"--vary must be {rule}. Got {shown(text)}")
    key = key_named(head)
    if ":" not in tail:
        values = tuple(key.value_of(part) for part in tail.split(","))
        _not_too_many(key, len(values))
        for number, value in enumerate(values):
            if value in values[:number]:
                raise SceneError(f"--vary {key.name}: {value} stands there twice")
        return Varied(key=key, values=values, ends=(), text=text)
    if not key.is_number:
        raise SceneError(f"--vary {key.name}: takes names, so no range. Got {shown(tail)}")
    figures = [_figure(key, part) for part in tail.split(":")]
    if len(figures) not in (2, 3):
        raise SceneError(f"--vary {key.name}: a range is FROM:TO:STEP. Got {shown(tail)}")
    low, high, *steps = figures
    if low >= high:
        raise SceneError(f"--vary {key.name}: FROM must be below TO. Got {shown(tail)}")
    if not steps:
        return Varied(key=key, values=(), ends=(float(low), float(high)), text=text)
    if steps[0] <= 0:
        raise SceneError(f"--vary {key.name}: STEP must be above 0. Got {shown(tail)}")
    count = floor((high - low) / steps[0] + WITHIN) + 1
    _not_too_many(key, count)
    # In decimals, so that 0.5 and five steps of 0.1 make 1 and not 0.9999999999999999.
    values = tuple(key.value_of(str(low + step * steps[0])) for step in range(count))
    return Varied(key=key, values=values, ends=(), text=text)


def _figure(key: Key, text: str) -> Decimal:
    try:
        figure = Decimal(text.strip())
        if figure.is_finite() and abs(figure) <= 10**6 and abs(figure.as_tuple().exponent) <= 12:  # type: ignore[arg-type]
            return figure
    except InvalidOperation:
        pass
    raise SceneError(f"--vary {key.name}: a range is of numbers, FROM:TO:STEP. Got {shown(text)}")


def _not_too_many(key: Key, count: int) -> None:
    if count > MOST_VALUES:
        raise SceneError(f"--vary {key.name}: at most {MOST_VALUES:,} values. Got {count:,}")
