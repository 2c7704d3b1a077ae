"""Inches everywhere people read: pictures, gusts, comparisons, faults, cut lists; files stay as they are."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import Result

from scenes import opengl
from scenes.gust_picture import SIZE, draw_gusts
from scenes.label_layout import Box
from scenes.picture import draw
from scenes.picture_strokes import Stroke, words_of
from scenes.scale_bar import ROUND, round_length
from scenes.stage import Stage
from scenes.stage_shown import with_field
from scenes.units import FOOT, IMPERIAL, INCH
from scenes.units_text import spoken_in
from tests.scenes.gust_found import HOURS, gusts_found
from tests.scenes.picture_house import answer, house, water
from tests.scenes.picture_words import words_on_pages
from tests.scenes.test_picture_fields import field

Run = Callable[..., Result]
METRIC_FIGURE = re.compile(r"\d\s(?:mm|m|ml|litres|m/s|km/h|l/min)\b")
FEW = ("--drops", 300, "--quiet")


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What pages have written on them, as it stands there."""
    return words_on_pages(monkeypatch)


def test_a_picture_in_inches(written: list[str], tmp_path: Path) -> None:
    """Contract: legend, scale, labels, key and foot of a picture with an amount on its surfaces."""
    if opengl.problem():
        pytest.skip("no OpenGL here")
    paths, fates = water(leaking=True)
    stage = Stage.of(house(), answer(leaking=True), paths, fates=fates, title="House")
    amounts = field(unit="mm", ticks=((0.0, "0"), (1.0, "1"), (2.0, "2 or more")))
    with spoken_in(IMPERIAL):
        draw(with_field(stage, amounts), tmp_path / "inches.png", (800, 500))
    text = "\n".join(written)
    assert not METRIC_FIGURE.findall(text)
    for words in ("In inches. Plain: none.", "0.04", "0.08 or more", "lengths in inches"):
        assert words in text, words
    assert re.search(r"Each arm: [\d/ ]+ (?:in|ft)", text)
    draw(with_field(stage, amounts), tmp_path / "mm.png", (800, 500))
    assert (tmp_path / "mm.png").read_bytes() != (tmp_path / "inches.png").read_bytes()


def test_a_section_in_inches(stackrain: Run, written: list[str]) -> None:
    """Contract; derived: 100 mm is 3 15/16 in, 3 mm 0.12 in."""
    got = stackrain(
        "picture", "cottage", "--section", "x=100", "--units", "imperial", "-o", "cut.png"
    )
    assert got.exit_code == 0, got.stderr
    text = " ".join(written)
    assert not METRIC_FIGURE.findall(text)
    assert "3 15/16 in to the right" in text
    assert "drawn 0.12 in further out" in text


def test_gusts_drawn_in_miles_an_hour(tmp_path: Path) -> None:
    """Derived: 16.4 m/s is 36.7 mph; rings at round figures; words don't run into each other."""
    found = gusts_found(hours=HOURS)
    with spoken_in(IMPERIAL):
        words = draw_gusts(found, tmp_path / "gusts.png")
    said = [text for text, _ in words]
    assert not METRIC_FIGURE.findall("\n".join(said))
    assert "36.7 mph" in said
    assert {"0", "20", "40"} <= set(said)
    assert all(box.inside(Box(0, 0, *SIZE)) for _, box in words)
    assert not any(one.overlaps(other) for (_, one), (_, other) in combinations(words, 2))


def test_bars_are_round_in_what_is_spoken() -> None:
    """Exact: the longest round length that fits."""
    metric = (0.02, 0.05, 0.1)
    assert round_length(0.07, metric) == (0.05, "50 mm")
    assert round_length(0.001, metric) == (0.02, "20 mm")
    with spoken_in(IMPERIAL):
        assert round_length(0.16, metric) == (float(6 * INCH), "6 in")
        assert round_length(0.31, metric) == (float(FOOT), "1 ft")
        assert round_length(1e-6, metric) == ROUND[0]


def test_a_keys_line_out_of_sight_says_what_it_is() -> None:
    """Contract: "the same" only stands below what it is the same as."""
    both = words_of({Stroke.BEHIND, Stroke.BEHIND_HIDDEN})
    assert list(both.values())[1] == "the same, out of sight"
    (alone,) = words_of({Stroke.BEHIND_HIDDEN}).values()
    assert alone == f"{Stroke.BEHIND.value.words}, out of sight"


@pytest.mark.parametrize(
    "asked",
    [
        ("compare", "cottage", "--fault", "side over the gutter", "--no-picture", *FEW),
        ("faults", "cottage"),
        ("cut", "cottage"),
    ],
    ids=lambda asked: asked[0],
)
def test_what_commands_say_and_what_they_write(
    stackrain: Run, asked: tuple[object, ...], tmp_path: Path
) -> None:
    """Contract: not one metric figure on the screen or on pages, and not one byte changed in the files that
    programs read."""
    writes = asked[0] == "compare"
    results = {}
    for units in ("metric", "imperial"):
        where = ("-o", units) if writes else ()
        results[units] = stackrain(*asked, *where, "--units", units)
        assert results[units].exit_code == 0, results[units].stderr
    assert METRIC_FIGURE.search(results["metric"].stdout)
    assert not METRIC_FIGURE.findall(results["imperial"].stdout)
    for file in (tmp_path / "metric").glob("*.json"):
        assert file.read_bytes() == (tmp_path / "imperial" / file.name).read_bytes()
    for file in (tmp_path / "imperial").glob("lesson.html"):
        shown = file.read_text(encoding="utf-8").partition("</style>")[2]
        assert not METRIC_FIGURE.findall(shown)
