"""The map: every kind of it, its words, and that no meaning rests on colour alone."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from meshes.errors import SceneError
from scenes.label_layout import Box
from scenes.sweep.map import SIZE, draw_map
from scenes.sweep.measure import MeasureName
from scenes.sweep.shown import Shown, shown_of
from tests.scenes.sweep.small import made_up, small
from tests.scenes.sweep.test_words import shown

COVER, PITCH = "sides.cover=40:160:20", "pitch=20:45:5"
RANGES = ("pitch=20:45", "sides.cover=40:160")
KINDS = {
    "grid": lambda: shown(lambda p, c: max(0.0, 0.12 - c / 1000), PITCH, COVER),
    "fine grid": lambda: shown(lambda p, c: max(0.0, p - c / 5), "pitch=20:60:1.5", "sides.cover=40:200:30"),
    "one": lambda: shown(lambda c: max(0.0, 0.12 - c / 1000), COVER),
    "one, gusts": lambda: shown(lambda c: c / 4, COVER, measure="first-leak-gust"),
    "names": lambda: shown(lambda j: 0.1 * (j == "fin"), "joint=return,fin,bossed,slit and patch"),
    "sample": lambda: shown(lambda p, c: max(0, 0.1 - c / 1000), *RANGES, sample=40),
    "four": lambda: shown(
        lambda p, c, j, r: r * (j == "fin"), PITCH, COVER, "joint=return,fin,bossed", "rain=10,20,30"
    ),
    "two samples": lambda: shown(lambda p, c: p / 100, *RANGES, sample=2),
    "none built": lambda: refused(COVER, PITCH),
    "none cut": lambda: refused(COVER, measure="cut-area"),
}  # fmt: skip


def refused(*asked: str, measure: MeasureName = "leak") -> Shown:
    sweep, cases = small(*asked, measure=measure)
    rows = {
        n: made_up(n, values) | {"status": "refused"} for n, values in enumerate(cases, start=1)
    }
    return shown_of(sweep, rows)


def drawn(told: Shown, folder: Path) -> tuple[bytes, list[tuple[str, Box]]]:
    words = draw_map(told, folder / "map.png")
    return (folder / "map.png").read_bytes(), words


@pytest.mark.parametrize("kind", KINDS)
def test_words_do_not_overlap_and_stay_on_the_page(kind: str, tmp_path: Path) -> None:
    """Derived: the boxes are those that the letters were drawn in; the picture is not blank."""
    _, words = drawn(KINDS[kind](), tmp_path)
    page = Box(0, 0, *SIZE)
    assert all(box.inside(page) for _, box in words), [
        text for text, b in words if not b.inside(page)
    ]
    for (first, box), (second, other) in combinations(words, 2):
        assert not box.overlaps(other), f"{first} | {second}"
    with Image.open(tmp_path / "map.png") as picture:
        assert picture.size == SIZE
        pixels = np.asarray(picture.convert("RGB"))
    assert 0.01 < (pixels != 255).any(axis=2).mean() < 0.8


def test_it_says_what_it_shows(tmp_path: Path) -> None:
    """Contract: scene, weather, axes and legend with units, the headline, that it certifies nothing."""
    said = [text for text, _ in drawn(KINDS["grid"](), tmp_path)[1]]
    text = " ".join(said)
    for words in (
        "Cottage: stack", "75 mm/h of rain, no wind, 300 drops", "pitch [degrees]", "side cover [mm]",
        "8 %", "hatched: water gets in", "where it begins to leak", "side cover is 100 mm or less",
        "certifies nothing",
    ):  # fmt: skip
        assert words in text
    assert said.count("0") == 18  # six pitches, covers of 120, 140 and 160 mm; the axis has none


def test_what_leaks_differs_without_colour(tmp_path: Path) -> None:
    """Derived: in grey, a cell that leaks has the hatching's dark lines, one that is dry is of one tone."""
    (_, words) = drawn(shown(lambda p, c: 0.01 * (c < 100), PITCH, COVER), tmp_path)
    with Image.open(tmp_path / "map.png") as picture:
        grey = np.asarray(picture.convert("L")).astype(int)
    cells = [box for text, box in words if text in ("1", "0") and box.right < 820]
    assert len(cells) == 42
    for text, box in words:
        if text in ("1", "0"):
            beside = grey[
                int(box.top) - 14 : int(box.top) - 4, int(box.left) - 30 : int(box.left) + 30
            ]
            assert (np.ptp(beside) > 40) == (text == "1")


def test_same_cases_same_bytes_and_a_changed_one_shows(tmp_path: Path) -> None:
    """Derived."""
    first, _ = drawn(KINDS["one"](), tmp_path)
    assert drawn(KINDS["one"](), tmp_path)[0] == first
    other = shown(lambda c: max(0.0, 0.12 - c / 1000) * (c > 40), COVER)
    assert drawn(other, tmp_path)[0] != first


def test_a_map_that_cant_be_written_is_one_line(tmp_path: Path) -> None:
    """Contract."""
    with pytest.raises(SceneError, match="can't be written"):
        draw_map(KINDS["one"](), tmp_path / "none" / "map.png")
