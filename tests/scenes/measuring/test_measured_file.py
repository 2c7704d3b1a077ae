"""The scene file of a measuring: it holds what was measured, and marks what was not."""

from __future__ import annotations

import tomllib
from math import atan, cos, degrees
from pathlib import Path

import pytest

from scenes.measuring.answers import data_of
from scenes.measuring.rows_now import QUESTIONS
from scenes.measuring.text import measured_text
from scenes.report.assumed import measures_of
from scenes.scene import read
from tests.scenes.measuring.roofs import OLD, PLAIN, answered


@pytest.mark.parametrize("given", [PLAIN, OLD], ids=["plain", "old"])
def test_it_reads_back_to_what_was_measured(given: dict[str, str]) -> None:
    """Contract: the same detail to the last bit, and the file's own keys are those measured, no other."""
    interview = answered(given)
    text = measured_text(interview, "roof")
    assert read(text, "roof.toml", Path()).detail == interview.scene().detail
    data = tomllib.loads(text)
    rest = {key: data.pop(key) for key in ("title", "note", "weather")}
    assert rest["title"] == "roof: as it was measured"
    held = {key: value for key, value in data.items() if value != {}}
    assert held == data_of(QUESTIONS, interview.known)


def test_figures_are_those_that_were_typed() -> None:
    """Derived by hand: 23 1/4 in is 590.55 mm; 7 in 12; 3 m of slope in plan; 265 less twice 100."""
    data = tomllib.loads(measured_text(answered(OLD), "roof"))
    pitch = atan(7 / 12)
    assert data["stack"]["width_mm"] == 590.55
    assert data["sides"]["cover_mm"] == 127
    assert data["roof"]["pitch_deg"] == degrees(pitch)
    assert data["roof"]["above_mm"] == pytest.approx(3000 * cos(pitch), abs=1e-9)
    assert data["roof"]["head_lap_mm"] == 65
    assert "back_height" not in str(data)


def test_what_was_not_measured_is_a_remark() -> None:
    """Contract: a line with the usual value, marked; and the report tells the two apart."""
    text = measured_text(answered(PLAIN), "roof")
    assert "# cover_mm = 150                # not measured: down over the covering" in text
    assert "# 23 1/4" not in text
    given = {
        measure.words.partition(":")[0]
        for measure in measures_of(read(text, "roof.toml", Path()))
        if measure.given
    }
    assert given == {"pitch", "covering", "width", "depth"}


def test_a_remark_taken_away_is_a_key_again() -> None:
    """Derived: what stands behind the # is a line that can be used, for every key."""
    text = measured_text(answered(PLAIN), "roof")
    lines = [
        line[2:] if line.startswith("# ") and "# not measured: " in line else line
        for line in text.splitlines()
    ]
    full = read("\n".join(lines), "roof.toml", Path())
    assert full.detail == read(text, "roof.toml", Path()).detail


def test_what_was_typed_stands_over_it() -> None:
    """Derived: letter, question and answer, a check's too, which no key holds."""
    text = measured_text(answered(OLD), "roof")
    assert "#    A  Pitch of the rafters: 7 in 12\n" in text
    assert "#    E  Back face, covering to top: 945\n" in text
    assert "#    -  On top at the front corner: apron over side\n" in text


def test_an_odd_name_makes_no_odd_title() -> None:
    """Derived: control letters and length are the file system's affair, not the title's."""
    text = measured_text(answered(PLAIN), 'a\tb"' + "x" * 200)
    title = read(text, "odd.toml", Path()).title
    assert title.startswith('a?b"xxx')
    assert len(title) <= 120
