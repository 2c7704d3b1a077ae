"""The rows of a CSV of hourly weather: its columns, and what can be believed of each row."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import StringIO
from math import isfinite, nan
from pathlib import Path
from typing import Final

from meshes.errors import SceneError
from scenes.places import shown
from scenes.text_file import text_of
from scenes.weather import MOST_RAIN_MM_H
from sim.wind_inputs import MOST_GUST

LARGEST_FILE: Final = 64 * 2**20
BOUNDS: Final = {
    "wind_m_s": MOST_GUST,
    "wind_from_deg": 360.0,
    "rain_mm": MOST_RAIN_MM_H,
    "gust_m_s": MOST_GUST,
}
"""Each column of figures and the most that is believed of it; the least is 0."""
OPTIONAL: Final = "gust_m_s"
COLUMNS: Final = ("time", *BOUNDS)
QUANTITIES: Final = {
    "wind_m_s": "wind",
    "wind_from_deg": "wind_from",
    "rain_mm": "rain",
    "gust_m_s": "gust",
}
OTHER_UNITS: Final = (
    *("mph", "kmh", "km_h", "kph", "kn", "kt", "kts", "knots", "ft_s"),
    *("in", "inch", "inches", "cm", "mm_h", "rad"),
)
EARLIEST, LATEST = 1800, 2200


@dataclass(frozen=True, slots=True)
class Row:
    """One hour of a file: its line, its time, the figures that can be believed, by column, and
    what is wrong with the row ("" for nothing: then no column is missing)."""

    line: int
    time: datetime
    figures: Mapping[str, float]
    fault: str


def rows_of(path: Path) -> Iterator[Row]:
    """The hours of a CSV in order; columns as in `scenes.record`.

    Raises SceneError with one line when it isn't such a CSV or a time can't be read. A row with
    figures that can't be right comes with its fault.
    """
    file = path.name
    cells = _cells(text_of(path, file, LARGEST_FILE).removeprefix("\ufeff"), file)
    line, header = next(cells, (1, []))
    places = _places([name.strip() for name in header], f"{file}, line {line}")
    for line, row in cells:
        written = row[places["time"]] if places["time"] < len(row) else ""
        figures, fault = _figures(row, places, len(header))
        yield Row(line, _time(written, f"{file}, line {line}"), figures, fault)


def _cells(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Rows that aren't empty, each with its line's number."""
    reader = csv.reader(StringIO(text, newline=""), strict=True)
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            place = f"{file}, line {reader.line_num}"
            raise SceneError(f"{place}: isn't CSV that can be read: {error}") from error
        if any(cell.strip() for cell in row):
            yield reader.line_num, row


def _places(header: Sequence[str], place: str) -> dict[str, int]:
    """Where in a row each column stands; the optional one only where it is there."""
    if len(header) == 1 and any(mark in header[0] for mark in ";\t"):
        raise SceneError(f"{place}: columns must be separated by commas. Got {shown(header[0])}")
    for name in COLUMNS:
        if header.count(name) > 1:
            raise SceneError(f"{place}: must have one column {name}. Got {header.count(name)}")
        if name in header:
            continue
        for other in header:
            if other.startswith(QUANTITIES.get(name, "\0")) and _in_other_unit(other):
                rule = f"must have a column {name}, in that unit"
                raise SceneError(f"{place}: {rule}. Got {shown(other)}")
        if name != OPTIONAL:
            needed = ", ".join(column for column in COLUMNS if column != OPTIONAL)
            raise SceneError(f"{place}: must have the columns {needed}. Got no {name}")
    return {name: header.index(name) for name in COLUMNS if name in header}


def _in_other_unit(name: str) -> bool:
    return any(name.endswith(f"_{unit}") for unit in OTHER_UNITS)


def _time(text: str, place: str) -> datetime:
    rule = f"time must be ISO 8601 (2013-01-31T09:00Z), {EARLIEST} to {LATEST}"
    try:
        time = datetime.fromisoformat(text.strip())
    except ValueError as error:
        raise SceneError(f"{place}: {rule}. Got {shown(text)}") from error
    if not EARLIEST <= time.year <= LATEST:
        raise SceneError(f"{place}: {rule}. Got {shown(text)}")
    return time


def _figures(
    row: Sequence[str], places: Mapping[str, int], columns: int
) -> tuple[dict[str, float], str]:
    """The figures of a row that can be believed, and the first thing that is wrong with it."""
    if len(row) != columns:
        return {}, f"{len(row)} cells, not {columns}"
    figures: dict[str, float] = {}
    faults = []
    for name, most in BOUNDS.items():
        text = row[places[name]].strip() if name in places else ""
        if name == OPTIONAL and not text:
            figures[name] = nan
            continue
        if name == "wind_from_deg" and not text and figures.get("wind_m_s") == 0:
            figures[name] = 0.0
            continue
        value = _number(text)
        if not text:
            faults.append(f"{name} is empty")
        elif value is None:
            faults.append(f"{name} is {shown(text)}, not a number")
        elif not 0 <= value <= most:
            faults.append(f"{name} is {value:g}, not 0 to {most:g}")
        else:
            figures[name] = value
    if figures.get(OPTIONAL, nan) < figures.get("wind_m_s", 0.0):
        faults.append(f"{OPTIONAL} is less than wind_m_s")
    return figures, faults[0] if faults else ""


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    # Python reads 1_000 as a thousand; no weather service writes it.
    return value if isfinite(value) and "_" not in text else None
