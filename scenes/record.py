"""A record of hourly weather, read from a CSV.

One header line, commas between columns, a point in decimals, one line an hour. Other columns are
left alone.

    time            ISO 8601, rising in whole hours: 2013-01-31T09:00Z. Without a zone, any clock
                    that is never put back
    wind_m_s        mean wind of the hour, 0 to 75 [m/s]
    wind_from_deg   compass bearing that it comes from, 0 north, 90 east, 0 to 360; may be empty
                    where there is no wind
    rain_mm         rain of the hour, 0 to 500 [mm]
    gust_m_s        (may be left out, or empty) greatest gust of the hour, up to 75 [m/s], not less
                    than the mean wind

An hour of which a figure can't be right is left out, counted and named; hours that the file lacks
are counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from scenes.record_rows import BOUNDS, Row, rows_of

NAMED: Final = 3
"""Hours left out that a remark names before it says that there are more."""
USABLE: Final = 0.5
"""Share of hours that must have a line, and of lines that must be of use: practice."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An hour left out: its line in the file, why, and whether it is known to have had rain."""

    line: int
    why: str
    wet: bool


@dataclass(frozen=True, slots=True, eq=False)
class Record:
    """Hours of weather: arrays (n,), n >= 1, that can't be written to.

    time datetime64[s], UTC where the file gives a zone; wind and gust [m/s], gust NaN where there
    is none on record; from_deg, compass bearing that wind comes from, 0 to under 360 [degrees], 0
    where there is no wind; rain [mm] in the hour; file: its name. left_out: the hours of no use;
    missing_hours: those between the first line and the last that have no line.
    """

    file: str
    time: NDArray[np.datetime64]
    wind: NDArray[np.float64]
    from_deg: NDArray[np.float64]
    rain: NDArray[np.float64]
    gust: NDArray[np.float64]
    left_out: tuple[LeftOut, ...] = ()
    missing_hours: int = 0

    def __post_init__(self) -> None:
        n = len(self.time)
        require(n >= 1, "hours of a record", n, "at least 1", SceneError)
        for name in ("time", "wind", "from_deg", "rain", "gust"):
            values = getattr(self, name)
            require(
                values.shape == (n,), f"{name} of a record", values.shape, f"({n},)", SceneError
            )
            if name != "time":
                # A gust may be NaN: none on record.
                wrong = values < 0 if name == "gust" else ~((values >= 0) & np.isfinite(values))
                rule = "0 or more in every hour"
                require(not wrong.any(), f"{name} of a record", values[wrong][:1], rule, SceneError)
            values.setflags(write=False)

    def __len__(self) -> int:
        return len(self.time)

    def remarks(self) -> list[str]:
        """What the record doesn't say, one line each: hours left out, and hours it lacks."""
        lines = []
        if self.left_out:
            wet = sum(row.wet for row in self.left_out)
            rainy = f", {wet} of them with rain" if wet else ""
            named = "; ".join(f"line {row.line}: {row.why}" for row in self.left_out[:NAMED])
            more = "; ..." if len(self.left_out) > NAMED else ""
            count = _hours(len(self.left_out))
            lines.append(f"{self.file}: {count} left out{rainy} ({named}{more})")
        if self.missing_hours:
            lines.append(f"{self.file}: {_hours(self.missing_hours)} missing between its lines")
        return lines


def read_record(path: Path) -> Record:
    """Read a CSV of hourly weather (its columns: see the top of this file).

    Raises SceneError with one line, `file, line N: ...` where a line is to blame: not a CSV, a
    column missing or in another unit, times that don't rise in whole hours, no hours, fewer than
    half of the hours there, more than half of them of no use.
    """
    file = path.name
    rows = list(rows_of(path))
    if not rows:
        raise SceneError(f"{file}: must hold at least one hour below its header. Got none")
    missing = _missing(rows, file)
    kept = [row for row in rows if not row.fault]
    bad = [row for row in rows if row.fault]
    if len(kept) < USABLE * len(rows):
        rule = "must have figures that can be right in at least half of its lines"
        first = f"line {bad[0].line}: {bad[0].fault}"
        raise SceneError(f"{file}: {rule}. Got {len(kept)} of {len(rows)} ({first})")
    wind, bearing, rain, gust = np.array([[row.figures[name] for name in BOUNDS] for row in kept]).T
    return Record(
        file=file,
        time=np.array([_plain(row.time) for row in kept], dtype="datetime64[s]"),
        wind=wind.copy(),
        from_deg=bearing % 360.0,
        rain=rain.copy(),
        gust=gust.copy(),
        left_out=tuple(
            LeftOut(row.line, row.fault, row.figures.get("rain_mm", 0) > 0) for row in bad
        ),
        missing_hours=missing,
    )


def _missing(rows: list[Row], file: str) -> int:
    """Hours between the first line and the last that have no line; times must rise."""
    missing = 0
    for before, row in pairwise(rows):
        place = f"{file}, line {row.line}"
        if (before.time.tzinfo is None) != (row.time.tzinfo is None):
            rule = "time must have a zone on all lines or on none"
            raise SceneError(f"{place}: {rule}. Got {row.time.isoformat()}")
        hours = (row.time - before.time).total_seconds() / 3600
        if hours < 1 or hours != int(hours):
            rule = "time must be 1 h after the line before, or a greater whole number of hours"
            raise SceneError(f"{place}: {rule}. Got {hours:.4g} h after")
        missing += int(hours) - 1
    if len(rows) < USABLE * (len(rows) + missing):
        rule = "must have a line for at least half of the hours from its first to its last"
        raise SceneError(f"{file}: {rule}. Got {len(rows):,} of {len(rows) + missing:,}")
    return missing


def _plain(time: datetime) -> datetime:
    return time.astimezone(UTC).replace(tzinfo=None) if time.tzinfo else time


def _hours(count: int) -> str:
    return "1 hour" if count == 1 else f"{count:,} hours"
