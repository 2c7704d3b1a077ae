"""What the window says of a thing is what findings.json holds of it."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from scenes.exploded import shifts
from scenes.run import stage_of
from scenes.window.figures import MOST_LAPS, Figures, Told, area, lap_told, part_named, piece_laps
from scenes.window.shown import Picked
from scenes.window.water import ways_of
from sim.fates import Fate
from tests.scenes.picture_house import house
from tests.scenes.window.leaking import leaking


def _told(kind: str, number: int) -> Told:
    return _once().of(Picked(kind, number))


@cache
def _once() -> Figures:
    return _figures()


def _figures() -> Figures:
    result = leaking()
    stage = stage_of(result)
    return Figures(result, stage, {way.number: way.time[-1] for way in ways_of(result, stage)})


def test_a_leak_is_told_as_the_findings_have_it() -> None:
    """Derived: number, way in, share, flow, cause, place and reason, all from the same row."""
    rows = leaking().to_dict()["leaks"]
    assert rows
    for row in rows:
        told = _told("leak", row["id"])
        words = " ".join(told.rows)
        assert told.heading == f"Leak {row['id']} of {len(rows)}"
        assert row["way_in"][1:] in told.rows[0]
        assert f"{100 * row['share']:.2f} %" in words
        assert f"{row['flow_ml_min']:.3g}"[:2] in words
        assert row["cause"] in words
        assert row["why"] in told.rows
        assert ("gets inside" in words) == (row["severity"] == "inside")
        assert "Cure" not in words


def test_a_cure_is_told_where_it_is_known() -> None:
    """Derived: only then."""
    figures = _figures()
    leaks = [row | {"cure": "Turn it round."} for row in figures.found["leaks"]]
    figures.found = figures.found | {"leaks": leaks}
    assert figures.of(Picked("leak", 1)).rows[-1] == "Cure: Turn it round."


def test_a_lap_is_told_as_the_findings_have_it() -> None:
    """Derived: every length in whole millimetres, whether it is long enough, its gust, and the rule of
    one that isn't."""
    rows = leaking().to_dict()["laps"]
    assert not all(row["ok"] for row in rows)
    for row in rows:
        told = _told("lap", row["id"])
        words = " ".join(told.rows)
        for key in ("length_mm", "rise_mm", "width_mm", "needed_mm"):
            assert f"{row[key]:.0f} mm" in words
        assert f"{row['first_leak_gust_m_s']:.1f} m/s" in words
        assert ("Long enough" in words) == row["ok"]
        assert ("too short" in words) == (not row["ok"])
        assert (row["source"] in words) == (not row["ok"])
        assert ("stays wet" in words) == row["stays_wet"]


def test_a_lap_that_stays_wet_says_how_far() -> None:
    """Exact."""
    row = leaking().to_dict()["laps"][0] | {"stays_wet": True, "capillary_reach_mm": 12.4}
    assert lap_told(row).rows[-1] == "It stays wet: water is drawn 12 mm up into it."


def test_a_path_tells_its_drop() -> None:
    """Derived: number, fate, leak, flow, parts in the order of the path, and the time it takes."""
    result = leaking()
    names = [part.name for part in result.assembly]
    for number in (0, len(result.rows) - 1):
        row = result.rows[number]
        told = _told("path", number)
        words = " ".join(told.rows)
        assert told.heading == f"Drop {result.drops.drop[row]:,}"
        leak = result.leak_of[number]
        assert (f"leak {leak}." in words) == (leak > 0)
        assert ("Shed" in words) == (result.trace.fate[row] == Fate.SHED)
        listed = told.rows[2].removeprefix("It ran on: ").rstrip(".").split(", then ")
        assert listed[0] == names[result.charts.part[result.drops.chart[row]]]
        touched = {n for k, n in enumerate(names) if result.trace.touched(k)[row]}
        assert set(listed) == touched
        assert all(one != two for one, two in pairwise(listed))


def test_a_piece_tells_its_turn_its_sheet_and_its_laps() -> None:
    """Derived: the turn in the dressing order, and each lap that names it, the short ones first."""
    result = leaking()
    stage = stage_of(result)
    laps = result.to_dict()["laps"]
    turns = shifts(result.assembly)
    for place, piece in enumerate(stage.pieces):
        told = _told("piece", place)
        words = " ".join(told.rows)
        assert told.heading.startswith(f"{piece.letter}: ")
        assert ("dressed" in words) == (piece.name in turns)
        own = [lap for lap in laps if piece.name in (lap["upper"], lap["lower"])]
        lines = [row for row in told.rows if row.startswith(("Over ", "Under "))]
        assert len(lines) == min(len(own), MOST_LAPS)
        short = [row.endswith("too short.") for row in lines]
        assert short == sorted(short, reverse=True)
        assert ("No lap" in words) == (not own)


def test_many_laps_are_cut_short() -> None:
    """Exact: six, and how many more there are."""
    lap = {
        "upper": "a",
        "lower": "b",
        "where": "front",
        "ok": True,
        "length_mm": 9.0,
        "needed_mm": 8.0,
    }
    rows = piece_laps("b", [lap | {"id": number} for number in range(9)])
    assert rows[0] == "Under a, front: 9 of 8 mm."
    assert rows[-1] == "And 3 more laps."
    assert len(rows) == MOST_LAPS + 1


def test_area_of_a_sheet() -> None:
    """Exact: the house's inside plane is 2 by 2.5 m."""
    assert area(part_named(house(), "inside")) == pytest.approx(5.0)
    assert np.isfinite([area(part) for part in house()]).all()
