"""Two scenes under the same rain: what is found to differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.compare import compared
from scenes.compare_drops import FateMatrix, Fates, differ
from scenes.compare_say import comparison
from scenes.compare_words import behind, effect, headline, labels, titles
from scenes.faults.apply import with_faults
from scenes.run import run
from scenes.scene import in_weather, load
from sim.fates import Fate
from tests.scenes.compared_once import (
    DROPS,
    QUIET,
    cover_too_narrow,
    order_changed,
    sides_over_gutter,
    with_itself,
)


def test_a_scene_compared_with_itself() -> None:
    """Invariance: nothing differs, every drop falls alike and ends alike."""
    found = with_itself().found
    for key in ("parts", "keys", "faults", "laps", "leaks", "notes"):
        assert found[key] == [], key
    assert found["changed"] == {
        "drops": 0, "share_first": 0.0, "share_second": 0.0, "landed_on": [],
    }  # fmt: skip
    assert found["rain"]["alike"] == found["rain"]["released"] == DROPS
    assert found["first"] == found["second"]
    assert headline(found).startswith("Nothing differs")
    assert "No drop ends otherwise." in effect(found)


def test_both_sides_are_what_run_finds() -> None:
    """Two computations that must agree: each side's water is that of `run` with the same seed."""
    found = order_changed().found
    for side, scene in (("first", load("cottage")), ("second", sides_over_gutter())):
        alone = run(scene, drops=DROPS, seed=0, remarks=QUIET).to_dict()
        assert found[side]["water"] == alone["water"]


def test_the_fate_matrix_adds_up_to_both_runs() -> None:
    """Exact: rows count the first run's drops by fate, columns the second's; flows alike, within
    rounding."""
    both = order_changed()
    fates = [Fates.of(side.drops, side.trace.fate) for side in (both.first, both.second)]
    matrix = FateMatrix.of(*fates)
    for row in both.first.findings.water:
        assert matrix.drops[row.fate].sum() == row.drops
        assert matrix.first[row.fate].sum() == pytest.approx(row.share, rel=1e-12, abs=1e-15)
    for row in both.second.findings.water:
        assert matrix.drops[:, row.fate].sum() == row.drops
        assert matrix.second[:, row.fate].sum() == pytest.approx(row.share, rel=1e-12, abs=1e-15)
    assert matrix.drops.sum() == DROPS
    changed = both.found["changed"]
    assert changed["drops"] == len(differ(*fates)) > 0
    assert sum(row["drops"] for row in changed["landed_on"]) == changed["drops"]


def test_swapping_the_scenes_transposes_the_comparison() -> None:
    """Invariance: the matrix of the swapped pair is the transposed one; what appeared goes."""
    one, two = order_changed().found, order_changed(swapped=True).found
    turned = {(row["to"], row["from"]): (row["drops"], row["share_second"]) for row in one["fates"]}
    assert turned == {
        (row["from"], row["to"]): (row["drops"], row["share_first"]) for row in two["fates"]
    }
    assert {row["state"] for row in one["leaks"]} == {"appears"}
    assert {row["state"] for row in two["leaks"]} == {"goes"}
    assert [row["second"] for row in one["leaks"]] == [row["first"] for row in two["leaks"]]
    assert labels(one) == ("Right", "Wrong")
    assert labels(two) == ("Wrong", "Right")
    moved = {row["part"]: row["moved_mm"] for row in one["parts"]}
    assert moved == {row["part"]: row["moved_mm"] for row in two["parts"]}


@given(
    ends=st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=60),
)
@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)
def test_any_fates_add_up(ends: list[tuple[int, int]]) -> None:
    """Property: whatever the fates, the matrix holds every drop once, and its swap is its transpose."""
    pairs = np.array(ends, dtype=np.int8)
    share = np.full(len(pairs), 1 / len(pairs))
    one, two = Fates(pairs[:, 0], share), Fates(pairs[:, 1], share)
    matrix = FateMatrix.of(one, two)
    assert matrix.drops.sum() == len(pairs) == sum(row["drops"] for row in matrix.rows())
    assert np.array_equal(matrix.drops.T, FateMatrix.of(two, one).drops)
    assert matrix.changed()["drops"] == sum(a != b for a, b in ends)
    for fate in Fate:
        assert matrix.drops[fate].sum() == (pairs[:, 0] == fate).sum()


def test_another_order_sets_the_roof_out_two_bedding_gaps_lower() -> None:
    """Exact geometry: with two sheets fewer under the gutter its face, and with it the courses and the
    drops aimed at them, lie two gaps of 1 mm nearer the stack; the same rain is said to be nearly so."""
    found = order_changed().found
    assert found["rain"]["beside_mm"] == pytest.approx(2.0, abs=0.01)
    assert found["rain"]["same"]
    assert any(note.startswith("The same rain, nearly") for note in found["notes"])


def test_rain_on_another_roof_is_not_called_the_same() -> None:
    """Derived: roofs of other breadth are aimed at otherwise; one line says so."""
    found = compared(load("cottage"), load("turned"), drops=300, seed=0, remarks=QUIET).found
    assert not found["rain"]["same"]
    assert any(note.startswith("Not the same rain") for note in found["notes"])
    assert {"front apron", "back gutter"} <= {
        row["part"] for row in found["parts"] if row["how"] == "gone"
    }
    assert labels(found) == ("First", "Second")


def test_drops_fall_alike_where_the_roof_is_the_same() -> None:
    """Derived from how rain is aimed (sim.rain.rain): a narrower cover leaves the covering as it is, so
    every drop falls along the same line, whether it meets the cover or the tiles."""
    rain = cover_too_narrow().found["rain"]
    assert rain["alike"] == rain["released"] == DROPS
    assert rain["beside_mm"] == 0


def test_drops_in_wind_are_followed_along_their_own_lines() -> None:
    """Derived: what a slanting drop meets first may lie 50 mm and more before its fellow's place, on the
    same line: the lines, worked out here from each drop's own size, agree to a millimetre or so (in wind
    the triangles, by which rain is aimed, are cut along the covers)."""
    right = in_weather(load("terrace"), case_name="driving", from_deg=90.0)
    wrong = with_faults(right, ["cover too narrow@left=90"])
    both = compared(right, wrong, drops=800, seed=3, remarks=QUIET)
    rain, one, two = both.found["rain"], both.first.drops, both.second.drops
    assert rain["alike"] + rain["otherwise"] + rain["landed_in_one_only"] == 800
    assert rain["beside_mm"] < 2
    assert rain["landed_in_one_only"] < 8
    _, a, b = np.intersect1d(one.drop, two.drop, return_indices=True)
    assert np.linalg.norm(one.points[a] - two.points[b], axis=1).max() > 0.003


def test_a_second_scenes_own_weather_is_left_aside() -> None:
    """The issue: the same rain on both; the second's own is said to be left aside."""
    gale = in_weather(sides_over_gutter(), case_name="driving", from_deg=90.0)
    found = compared(load("cottage"), gale, drops=DROPS, seed=0, remarks=QUIET).found
    usual = order_changed().found
    assert found["weather"] == usual["weather"]
    assert found["second"]["water"] == usual["second"]["water"]
    assert any("left aside" in note and "23.7 m/s" in note for note in found["notes"])
    assert not any("left aside" in note for note in usual["notes"])


def test_a_changed_key_is_named_with_both_values() -> None:
    """Derived: the order is the only key of the two files that differs, usual values included."""
    (row,) = order_changed().found["keys"]
    assert row == {
        "key": "order",
        "first": "apron, left, right, gutter, underlay",
        "second": "apron, gutter, left, right, underlay",
    }


def test_a_fault_is_told_in_its_own_words() -> None:
    """Derived: a cover cut 90 mm narrower leaves 60 of the 150 mm; only that side's part differs."""
    found = cover_too_narrow().found
    (fault,) = found["faults"]
    assert fault["asked"] == "cover too narrow@left=90"
    assert fault["done_wrong"].rstrip(".") in headline(found)
    assert titles(found)[1] == "cover too narrow, left, 90 mm"
    assert labels(found) == ("Right", "Wrong")
    (part,) = found["parts"]
    assert part["part"] == "left side flashing"
    assert part["moved_mm"] == pytest.approx(90, abs=0.1)
    short = [lap for lap in found["laps"] if lap["ok_second"] is False]
    assert [(lap["length_mm_first"], lap["length_mm_second"]) for lap in short] == [
        (pytest.approx(150, abs=0.5), pytest.approx(60, abs=0.5))
    ]
    assert all(lap["ok_first"] for lap in short)


def test_the_answer_begins_with_what_it_does_and_fits_the_line() -> None:
    """Derived: title, then the sentence with the shares of both; no line over 100 letters."""
    found = order_changed().found
    lines = comparison(found).splitlines()
    text = " ".join(lines[3:9])
    share, _ = behind(found["second"])
    assert "order: apron, gutter, left, right, underlay instead of" in text
    assert f"{100 * share:.3g} % of the rain" in text
    assert max(len(line) for line in lines[2:]) <= 100
    for row in found["leaks"]:
        assert row["second"]["way_in"] in " ".join(" ".join(lines).split())


def test_faults_stay_where_they_are_asked() -> None:
    """Derived: the same detail with and without a fault's name in the scene differ by the parts alone:
    the name itself changes no result (sim sees only triangles)."""
    wrong = with_faults(load("terrace"), ["cover too narrow@left=90"])
    assert wrong.detail == load("terrace").detail
    alike = compared(wrong, replace(wrong, title="x"), drops=300, seed=0, remarks=QUIET).found
    assert alike["parts"] == []
    assert alike["changed"]["drops"] == 0
