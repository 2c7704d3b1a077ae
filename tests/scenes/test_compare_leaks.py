"""Leaks and laps of two runs, paired by what and where they are. All rows are invented."""

from __future__ import annotations

from typing import Any

from scenes.compare_leaks import changed_laps, paired_leaks


def _leak(id: int, x: float, flow: float, **other: Any) -> dict[str, Any]:
    row = {
        "id": id, "way_in": "past the end of the gutter", "cause": "past an end",
        "parts": ["gutter", "side"], "point_mm": [x, 0.0, 0.0], "flow_ml_min": flow,
    }  # fmt: skip
    return row | other


def _lap(length: float, needed: float = 150.0, **other: Any) -> dict[str, Any]:
    row = {
        "upper": "apron", "lower": "covering", "where": "front", "rule": "cover", "source": "s",
        "length_mm": length, "needed_mm": needed, "ok": length >= needed,
    }  # fmt: skip
    return row | other


def test_the_nearest_leak_of_one_kind_is_the_same_leak() -> None:
    """Derived: leaks 20 mm apart are one, those at the other corner stand alone; numbers by flow."""
    first = [_leak(1, 0, 50), _leak(2, 600, 10)]
    second = [_leak(1, 20, 40), _leak(2, -600, 90)]
    rows = paired_leaks(first, second)
    assert [(row["number"], row["state"]) for row in rows] == [
        (1, "appears"), (2, "stays"), (3, "goes"),
    ]  # fmt: skip
    assert rows[1]["first"]["id"] == rows[1]["second"]["id"] == 1
    assert rows[0]["first"] is None


def test_another_cause_or_other_parts_are_another_leak() -> None:
    """Derived: the same place does not make them one; the order of the parts' names does not matter."""
    first = [_leak(1, 0, 50)]
    for other in ({"cause": "overtopped"}, {"parts": ["gutter", "stack"]}):
        states = {row["state"] for row in paired_leaks(first, [_leak(1, 0, 50, **other)])}
        assert states == {"goes", "appears"}
    (row,) = paired_leaks(first, [_leak(1, 0, 50, parts=["side", "gutter"])])
    assert row["state"] == "stays"


def test_each_leak_is_paired_once_and_swapping_swaps() -> None:
    """Invariance: every leak of both runs stands in one row; swapped, goes and appears change places."""
    first = [_leak(1, 0, 50), _leak(2, 100, 40)]
    second = [_leak(1, 90, 45)]
    rows, turned = paired_leaks(first, second), paired_leaks(second, first)
    assert sum(row["first"] is not None for row in rows) == 2
    assert sum(row["second"] is not None for row in rows) == 1
    nearest = next(row for row in rows if row["state"] == "stays")
    assert nearest["first"]["id"] == 2
    assert [(row["first"], row["second"]) for row in turned] == [
        (row["second"], row["first"]) for row in rows
    ]


def test_laps_are_told_when_length_or_verdict_changes() -> None:
    """Derived: both figures; one that only one run has stands with None; equal ones are left out."""
    side = {"upper": "side"}
    rows = changed_laps([_lap(150), _lap(80, 75, **side)], [_lap(60), _lap(80, 75, **side)])
    assert [(row["length_mm_first"], row["length_mm_second"]) for row in rows] == [(150, 60)]
    assert (rows[0]["ok_first"], rows[0]["ok_second"]) == (True, False)
    (gone,) = changed_laps([_lap(150)], [])
    assert (gone["length_mm_second"], gone["ok_second"]) == (None, None)
    (new,) = changed_laps([], [_lap(150)])
    assert new["length_mm_first"] is None
    assert changed_laps([_lap(150.0)], [_lap(150.1)]) == []


def test_two_laps_of_the_same_sheets_are_told_apart_by_their_rule() -> None:
    """Derived: their order does not matter."""
    short = _lap(34, 25, rule="at the upstand")
    assert changed_laps([_lap(165), short], [short, _lap(165)]) == []
