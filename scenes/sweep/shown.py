"""What map and answer tell of a sweep: every case as a point with a figure, and whether water gets in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from scenes.sweep.asked import Sweep
from scenes.sweep.case import DONE, FAILED, REFUSED, Row
from scenes.sweep.cases import Values
from scenes.sweep.measure import MEASURES, MeasureName
from scenes.sweep.varied import Varied
from scenes.units import FOOT, MILE_AN_HOUR
from scenes.units_text import spoken
from scenes.weather import CASES
from sim.wind_inputs import MOST_GUST

Told = tuple[float, str, str]
DECIMALS: Final[Mapping[MeasureName, Told]] = {
    "leak": (100.0, ".2g", "%"),
    "first-leak-gust": (1.0, ".1f", "m/s"),
    "cut-area": (1.0, ".2f", "m2"),
}
"""By which factor, with which digits and in which unit a figure is told."""
IMPERIAL_DECIMALS: Final[Mapping[MeasureName, Told]] = {
    **DECIMALS,
    "first-leak-gust": (float(1 / MILE_AN_HOUR), ".1f", "mph"),
    "cut-area": (float(1 / FOOT**2), ".1f", "sq ft"),
}

GALE: Final = "driving"
"""The weather case whose gust a detail should stand, where the scene has none."""


@dataclass(frozen=True, slots=True)
class Point:
    """A case. figure: what the measure tells of it, None where it tells nothing; wet: whether water gets in,
    None where nobody asked or knows."""

    number: int
    values: Values
    status: str
    figure: float | None
    wet: bool | None


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A sweep and its points, in the order of their numbers. limit: the gust [m/s] that a detail should
    stand, for the measure of gusts; limit_words: whose it is."""

    sweep: Sweep
    points: tuple[Point, ...]
    limit: float
    limit_words: str

    @property
    def measure(self) -> MeasureName:
        """What was measured."""
        return self.sweep.measure

    @property
    def varied(self) -> tuple[Varied, ...]:
        """The parameters."""
        return self.sweep.varied

    @property
    def done(self) -> tuple[Point, ...]:
        """The points that were worked out."""
        return tuple(point for point in self.points if point.status == DONE)

    def count(self, status: str) -> int:
        """Points of that status."""
        return sum(point.status == status for point in self.points)

    @property
    def refused(self) -> int:
        """Cases that can't be built."""
        return self.count(REFUSED)

    @property
    def failed(self) -> int:
        """Cases that ended with a defect of ours."""
        return self.count(FAILED)

    def figure_words(self, figure: float | None, *, unit: bool = True) -> str:
        """A figure of the measure for people: `3.4 %`, `16.4 m/s`, `1.15 m2`; None of a gust: `over 75`."""
        factor, digits, name = self.told
        if figure is None:
            words = f"over {factor * MOST_GUST:.4g}"
        elif figure == 0.0:
            words = "0"
        else:
            words = f"{factor * figure:{digits}}"
            words = f"{float(words):g}" if "e" in words else words
        return f"{words} {name}" if unit else words

    @property
    def told(self) -> Told:
        """How figures of the measure are told, in the units that are spoken."""
        return (IMPERIAL_DECIMALS if spoken().is_imperial else DECIMALS)[self.measure]


def shown_of(sweep: Sweep, rows: Mapping[int, Row]) -> Shown:
    """What is told of a sweep with all its rows; rows: by number."""
    own = sweep.scene_as_it_is().weather.gust
    gale = next(case for case in CASES if case.name == GALE)
    limit, words = (
        (own, "the weather's gust") if own > 0 else (gale.gust_m_s, f'weather case "{gale.name}"')
    )
    first = MEASURES[sweep.measure].columns[0].name
    points = []
    for number in sorted(rows):
        row = rows[number]
        figure = row["figures"].get(first)
        wet = _wet(sweep.measure, figure, limit) if row["status"] == DONE else None
        points.append(Point(number, tuple(row["values"]), row["status"], figure, wet))
    return Shown(sweep, tuple(points), limit, words)


def _wet(measure: MeasureName, figure: float | None, limit: float) -> bool | None:
    """Whether water gets in: at all, or by the gust that the detail should stand."""
    if measure == "cut-area":
        return None
    if measure == "leak":
        return bool(figure)
    return figure is not None and figure <= limit
