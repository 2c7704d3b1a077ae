"""The picture of the gusts: what it shows, where, and that its words can be read."""

from __future__ import annotations

import warnings
from itertools import combinations
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
import pytest
from PIL import Image

from meshes.errors import SceneError
from scenes.gust_picture import MIDDLE, SIZE, draw_gusts
from scenes.label_layout import Box
from tests.scenes.gust_found import APRON, HOURS, USUAL, gusts_found

CROWDED = gusts_found(
    [0.0, 0.0, 74.9, 0.1] * 4,
    title="A $5 stack \u4e2d " + "with a long name " * 12,
    hours=HOURS | {"by_direction": [1234, 0] * 8, "wet": 8760, "let_in": 8760},
)
CASES = {
    "usual": gusts_found(hours=HOURS),
    "stands all": gusts_found([None] * 16),
    "all alike": gusts_found([16.4] * 16),
    "no wind needed": gusts_found([0.0] * 16, hours=HOURS),
    "crowded": CROWDED,
}


def drawn(found: dict[str, Any], folder: Path) -> tuple[bytes, list[tuple[str, Box]]]:
    words = draw_gusts(found, folder / "gusts.png")
    return (folder / "gusts.png").read_bytes(), words


@pytest.mark.parametrize("case", CASES)
def test_words_do_not_overlap_and_stay_on_the_page(case: str, tmp_path: Path) -> None:
    """Derived: the boxes are those that the letters were drawn in."""
    _, words = drawn(CASES[case], tmp_path)
    page = Box(0, 0, *SIZE)
    assert all(box.inside(page) for _, box in words)
    for (first, box), (second, other) in combinations(words, 2):
        assert not box.overlaps(other), f"{first} | {second}"


def test_the_picture_is_there_and_says_what_was_found(tmp_path: Path) -> None:
    """Derived: 1200 by 1000 pixels, each gust in both units, the lowest by word, no date inside."""
    _, words = drawn(CASES["usual"], tmp_path)
    with Image.open(tmp_path / "gusts.png") as picture:
        assert picture.size == SIZE
        assert not set(picture.info) - {"dpi"}
        pixels = np.asarray(picture.convert("RGB"))
    assert 0.03 < (pixels != 255).any(axis=2).mean() < 0.6
    said = [text for text, _ in words]
    for gust in USUAL:
        if gust is not None:
            assert f"{gust} m/s" in said
            assert f"{3.6 * gust:.0f} km/h" in said
    assert said.count("over 75 m/s") == USUAL.count(None)
    assert said.count("LOWEST") == 1
    assert "stands every gust up to 75 m/s" in said
    assert "= 59 km/h" in said
    assert "EN 12208 step: 150 Pa" in said


def test_same_findings_same_bytes_and_a_changed_gust_shows(tmp_path: Path) -> None:
    """Derived: a gust from the left, 17.4 m/s, turned into 17.5 and into none."""
    first, _ = drawn(gusts_found(), tmp_path)
    assert drawn(gusts_found(), tmp_path)[0] == first
    for gust in (17.5, None):
        changed = [*USUAL[:12], gust, *USUAL[13:]]
        assert drawn(gusts_found(changed), tmp_path)[0] != first


def test_the_users_own_plotting_settings_change_nothing(tmp_path: Path) -> None:
    """Derived: a user's settings are left as they were, and not followed."""
    first, _ = drawn(gusts_found(), tmp_path)
    with matplotlib.rc_context({"axes.facecolor": "black", "lines.antialiased": False}):
        assert drawn(gusts_found(), tmp_path)[0] == first
        assert matplotlib.rcParams["axes.facecolor"] == "black"


@pytest.mark.parametrize(("number", "across", "down"), [(0, 0, 1), (4, 1, 0), (10, -1, -1)])
def test_the_eaves_are_at_the_bottom_and_the_right_on_the_right(
    number: int, across: int, down: int, tmp_path: Path
) -> None:
    """Derived: as one stands before the roof and looks up the slope."""
    gusts = [30.0] * 16
    gusts[number] = 10.0
    _, words = drawn(gusts_found(gusts), tmp_path)
    (box,) = (box for text, box in words if text == "LOWEST")
    x, y = (box.left + box.right) / 2 - MIDDLE[0], (box.top + box.bottom) / 2 - MIDDLE[1]
    assert [int(np.sign(round(x / 60))), int(np.sign(round(y / 60)))] == [across, down]


def test_hours_have_a_bar_for_each_direction_that_let_water_in(tmp_path: Path) -> None:
    """Derived: six directions with hours, each with its number; without a record none of it."""
    with_hours = [text for text, _ in drawn(gusts_found(hours=HOURS), tmp_path)[1]]
    without = [text for text, _ in drawn(gusts_found(), tmp_path)[1]]
    assert "34 of 574 hours with rain, by the wind's side" in with_hours
    assert {"1", "4", "12", "5", "8", "2"} <= set(with_hours)
    assert not any("hours" in text.lower() for text in without)


def test_ways_in_without_room_are_counted(tmp_path: Path) -> None:
    """Derived: sixteen different ways, of which the last have no room."""
    found = gusts_found([20.0 + number for number in range(16)], hours=HOURS)
    for number, row in enumerate(found["directions"]):
        row["path"] = APRON | {"way_in": f"under the edge of a flashing with number {number}"}
    said = [text for text, _ in drawn(found, tmp_path)[1]]
    (more,) = (text for text in said if text.startswith("and "))
    told = sum(text.startswith("under the edge of a flashing") for text in said)
    assert more == f"and {16 - told} more: see the printed table"
    assert told >= 3


def test_a_letter_that_the_font_lacks_is_no_cause_for_a_warning(tmp_path: Path) -> None:
    """Derived: a title in another script, with a sign that means formula elsewhere."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        words = draw_gusts(CROWDED, tmp_path / "gusts.png")
    assert words[0][0].startswith("A $5 stack \u4e2d with")


def test_a_file_that_cannot_be_written_gets_one_line(tmp_path: Path) -> None:
    """Derived: the folder does not exist."""
    with pytest.raises(SceneError, match=r"gusts\.png can't be written: No such file"):
        draw_gusts(gusts_found(), tmp_path / "nowhere" / "gusts.png")
