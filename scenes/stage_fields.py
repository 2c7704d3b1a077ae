"""Amounts on surfaces as every view shows them: flow, film, head, wetness, laps. No renderer is known
here."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import ceil, floor, log10
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require

if TYPE_CHECKING:
    from scenes.run import Result
    from scenes.scene import Weather

Floats = NDArray[np.float64]

FIELDS: Final = ("flow", "film", "head", "wetness", "laps")
"""What can be shown, by the names that the command line has for them."""


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """One amount on surfaces, and how it is shown.

    name: of FIELDS; label, unit: for the legend; low, high: ends of the scale, in the unit, what lies
    beyond them is shown as they are; ticks: values and their text, low to high; log: whether equal
    steps of the scale are equal ratios. triangles (m, 3, 3) [m], in the assembly's coordinates, with
    values (m,) in the unit; faces that have no value are not among them, and `note` says what that means.
    part (m,): which of `parts`, names in dressing order, each triangle is of; least_counts: whether the
    least value of a piece is the telling one, and not the greatest.
    """

    name: str
    label: str
    unit: str
    low: float
    high: float
    ticks: tuple[tuple[float, str], ...]
    log: bool
    triangles: Floats
    values: Floats
    note: str
    parts: tuple[str, ...]
    part: NDArray[np.int32]
    least_counts: bool = False

    def __post_init__(self) -> None:
        count = len(self.values)
        fits = self.triangles.shape == (count, 3, 3) and self.part.shape == (count,)
        require(fits, "triangles", self.triangles.shape, f"{count} of three corners", SceneError)
        finite = bool(np.isfinite(self.values).all() and np.isfinite(self.triangles).all())
        require(finite, f"values of {self.name}", "NaN or infinity", "finite", SceneError)
        rising = self.low < self.high and (self.low > 0 or not self.log)
        span = f"{self.low} to {self.high}"
        require(rising, f"scale of {self.name}", span, "rising, above 0 if ratios", SceneError)

    def place(self, values: ArrayLike) -> Floats:
        """Where values of any shape stand on the scale, 0 (low) to 1 (high)."""
        given = np.clip(np.asarray(values, dtype=np.float64), self.low, self.high)
        if self.log:
            return np.asarray(np.log(given / self.low) / np.log(self.high / self.low))
        return np.asarray((given - self.low) / (self.high - self.low))

    def figure(self, value: float) -> str:
        """A value in words for people: two figures that mean something, and the unit."""
        return f"{figure(value)} {self.unit}"

    def of(self, names: Sequence[str]) -> Field:
        """The same field on some parts only."""
        wanted = np.array([name in names for name in self.parts])
        return self.kept(wanted[self.part])

    def kept(self, rows: NDArray[np.bool_]) -> Field:
        """The same field on some of its triangles (m,)."""
        return replace(
            self, triangles=self.triangles[rows], values=self.values[rows], part=self.part[rows]
        )


def fields_of(result: Result, names: Sequence[str] = FIELDS) -> tuple[Field, ...]:
    """Those of some fields that a result's weather and parts give, in the order of `names`. Raises
    SceneError for an unknown name."""
    made = []
    for name in names:
        require(name in FIELDS, "field", name, "one of " + ", ".join(FIELDS), SceneError)
        with suppress(SceneError):
            made.append(field_of(result, name))
    return tuple(made)


def check_field(name: str, weather: Weather) -> None:
    """Raise SceneError for an unknown field, and for one that this weather can't give."""
    require(name in FIELDS, "field", name, "one of " + ", ".join(FIELDS), SceneError)
    if name == "head" and weather.gust == 0.0:
        raise SceneError("The head needs a wind: take a weather that has one. Got still air")


def field_of(result: Result, name: str) -> Field:
    """One field of a result. Raises SceneError for an unknown name, for the head in still air, and
    where there is nothing to show: no water, no lap."""
    check_field(name, result.scene.weather)
    if name == "head":
        from scenes.field_head import head_field

        return head_field(result)
    if name == "laps":
        from scenes.field_laps import laps_field

        return laps_field(result)
    from scenes.field_water import water_field

    return water_field(result, name)


def figure(value: float) -> str:
    """Two figures that mean something: 0.034, 1.2, 0.5, 87, 1200."""
    if value == 0:
        return "0"
    rounded = round(value, 1 - floor(log10(abs(value))))
    places = max(0, 1 - floor(log10(abs(rounded))))
    text = f"{rounded:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text


def even_scale(most: float) -> tuple[float, float, tuple[tuple[float, str], ...]]:
    """Ends and ticks of a scale of equal steps from 0 to at least `most`, above 0."""
    power = 10.0 ** floor(log10(most / 5))
    step = next(power * unit for unit in (1, 2, 5, 10) if 5 * power * unit >= most * (1 - 1e-9))
    count = ceil(most / step - 1e-9)
    return 0.0, count * step, tuple((k * step, figure(k * step)) for k in range(count + 1))


def ratio_scale(
    values: Floats, *, decades: int
) -> tuple[float, float, tuple[tuple[float, str], ...]]:
    """Ends and ticks of a scale of equal ratios over so many decades. It ends at 1, 2 or 5 times a power of
    ten above all but a hundredth of the values (m,), above 0."""
    most = float(np.quantile(values, 0.99))
    power = 10.0 ** floor(log10(most))
    high = next(power * unit for unit in (1, 2, 5, 10) if power * unit >= most * (1 - 1e-9))
    ticks = [high / 10**down for down in range(decades, -1, -1)]
    texts = [figure(tick) for tick in ticks]
    texts[0], texts[-1] = f"{texts[0]} or less", f"{texts[-1]} or more"
    return ticks[0], high, tuple(zip(ticks, texts, strict=True))
