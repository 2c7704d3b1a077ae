"""A sweep in inches: what is read follows the units, what is kept does not."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import Result
from hypothesis import given
from hypothesis import strategies as st

from scenes.label_layout import Box
from scenes.sweep.map import draw_map
from scenes.sweep.shown import Shown
from scenes.sweep.value_words import size_of, value_of, words_of
from scenes.sweep.varied import varied_of
from scenes.sweep.words import answer, headline
from scenes.units import IMPERIAL
from scenes.units_text import spoken_in
from tests.scenes.sweep.small import made_up
from tests.scenes.sweep.test_map import KINDS
from tests.scenes.sweep.test_words import shown

METRIC = re.compile(
    r"\d ?(?:mm|cm|m|m/s|mm/h|kg|m2|ml|ml/min)(?![\w/])|\[(?:mm|m/s|mm/h|m2|degrees)\]"
)
"""Figures and axes in metric units, and slopes in degrees."""


def said_on_the_map(told: Shown, folder: Path) -> list[str]:
    with spoken_in(IMPERIAL):
        return [text for text, _ in draw_map(told, folder / "map.png")]


@pytest.mark.parametrize("kind", KINDS)
def test_no_metric_figure_is_left_on_any_map(kind: str, tmp_path: Path) -> None:
    """Contract; the words stand where they did: none over another, all on the sheet."""
    with spoken_in(IMPERIAL):
        words = draw_map(KINDS[kind](), tmp_path / "map.png")
    left = [text for text, _ in words if METRIC.search(text)]
    assert not left
    page = Box(0, 0, 1200, 1000)
    assert all(box.inside(page) for _, box in words)
    for number, (first, box) in enumerate(words):
        for second, other in words[:number]:
            assert not box.overlaps(other), f"{first} | {second}"
    metric = draw_map(KINDS[kind](), tmp_path / "metric.png")
    assert any(METRIC.search(text) for text, _ in metric)


def test_the_axes_of_a_grid(tmp_path: Path) -> None:
    """Derived: 4 in are 101.6 mm; 45 degrees rise 12 in 12; 100 mm are 3.94 in, to a sixteenth 3 15/16."""
    said = said_on_the_map(KINDS["grid"](), tmp_path)
    assert "pitch [in 12]" in said
    assert "side cover [in]" in said
    assert {"12", "3 15/16", "2.95 in/h"} <= {*said, *re.findall(r"[0-9.]+ in/h", " ".join(said))}


def test_a_sampled_axis_has_round_figures_of_its_unit(tmp_path: Path) -> None:
    """Derived: 40 to 160 mm are 1.6 to 6.3 in, 20 to 45 degrees 4.4 to 12 in 12."""
    said = said_on_the_map(KINDS["sample"](), tmp_path)
    assert {"2", "3", "4", "5", "6"} <= {*said}
    assert {"6", "8", "10", "12"} <= {*said}


def test_gusts_and_sheet_metal(tmp_path: Path) -> None:
    """Derived: 75 m/s are 167.8 mph, 23.7 are 53.0; 10 square feet are 0.92903 m2."""
    grid = "sides.cover=40:160:20"
    gusts = shown(lambda c: None if c > 150 else c / 4, grid, measure="first-leak-gust")
    said = " ".join(said_on_the_map(gusts, tmp_path)).replace("\u00a0", " ")
    assert "first-leak gust [mph]" in said
    assert "53.0 mph" in said
    assert "over 167.8 mph" in said
    metal = shown(lambda c: 0.92903 if c < 50 else 2.0, grid, measure="cut-area")
    assert "sheet metal [sq ft]" in said_on_the_map(metal, tmp_path)
    with spoken_in(IMPERIAL):
        assert headline(metal).startswith("Least sheet metal, 10.0 sq ft, at side cover 1 9/16 in;")


def test_the_answer_has_no_metric_figure() -> None:
    """Contract: the headline, what was varied, the reasons; lines keep their length."""
    told = shown(lambda p, c: 0.034 * (c <= 75), "pitch=15:35:5", "sides.cover=50:150:25")
    rows = {point.number: made_up(point.number, point.values) for point in told.points}
    with spoken_in(IMPERIAL):
        said = answer(told, rows)
    assert "where side cover is 2 15/16 in or less" in " ".join(said.split())
    assert "pitch 3 1/4 to 8 3/8 in 12 (5 values)" in " ".join(said.split())
    assert not METRIC.search(said)
    assert max(len(line) for line in said.splitlines()) <= 100


def test_values_that_a_sixteenth_would_hide_read_differently() -> None:
    """Derived: 1 mm apart, a sixteenth of an inch is 1.6 mm; so do slopes half a degree apart."""
    for asked in ("sides.cover=100:110:1", "pitch=20:22:0.1", "bedding_gap_mm=0.5,0.55,0.6"):
        one = varied_of(asked)
        with spoken_in(IMPERIAL):
            words = [words_of(one, value) for value in one.values]
        assert len({*words}) == len(one.values), words


@given(
    st.floats(1, 89), st.sampled_from(["pitch=20:45", "sides.cover=40:160", "gust=1:9", "from=0:9"])
)
def test_a_size_leads_back_to_its_value(value: float, asked: str) -> None:
    """Property: in both units, and nothing is turned that has no other unit."""
    one = varied_of(asked)
    assert value_of(one, size_of(one, value)) == value
    with spoken_in(IMPERIAL):
        assert value_of(one, size_of(one, value)) == pytest.approx(value, rel=1e-12)
        assert (size_of(one, value) == value) == (asked == "from=0:9")


def test_tables_stay_as_they_are(
    stackrain: Callable[..., Result], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Contract: byte for byte, while the map and what is printed differ."""
    from scenes.sweep import pool
    from scenes.sweep.case import worked_out

    monkeypatch.setattr(pool, "in_processes", lambda cases, processes: map(worked_out, cases))
    files, said = [], []
    for units in ("metric", "imperial"):
        folder = tmp_path / units
        got = stackrain(
            "sweep", "cottage", "--measure", "cut-area", "--vary", "sides.cover=60,100,9000",
            "--units", units, "-o", folder,
        )  # fmt: skip
        assert got.exit_code == 0, got.stderr
        files.append(
            [(folder / name).read_bytes() for name in ("sweep.csv", "sweep.parquet", "map.png")]
        )
        said.append(got.stdout)
    assert files[0][:2] == files[1][:2]
    assert files[0][2] != files[1][2]
    assert METRIC.search(said[0])
    assert not METRIC.search(said[1])
