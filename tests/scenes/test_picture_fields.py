"""Amounts, see-through coverings and perspective in the picture itself."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from meshes.parts import Role
from scenes import colours, opengl
from scenes.assemble import assemble
from scenes.cli import cli
from scenes.cli_picture import FIELDS as ASKED
from scenes.cli_picture import VIEWS as NAMED
from scenes.label_layout import Box
from scenes.picture import PANEL, draw
from scenes.picture_field import ticks_of
from scenes.picture_page import Page
from scenes.scene import load
from scenes.stage import Stage
from scenes.stage_camera import SQUARE_ON, VIEWS
from scenes.stage_fields import FIELDS, Field
from scenes.stage_shown import see_through, with_field
from tests.scenes.picture_house import answer, house, water

SIZE = (1000, 625)


def stage() -> Stage:
    paths, fates = water(leaking=True)
    return Stage.of(house(), answer(leaking=True), paths, fates=fates, title="House")


def field(**changes: Any) -> Field:
    """Height above the eaves on the covering and the stack, invented: 0 to 2 in steps of the scale."""
    parts = tuple(part.name for part in house())
    rows = [(part.vertices[part.faces], n) for n, part in enumerate(house()) if n < 2]
    triangles = np.concatenate([row for row, _ in rows])
    values = np.clip(triangles[:, :, 2].mean(axis=1) + 1.0, 0, 2)
    given: dict[str, Any] = {
        "name": "film", "label": "Height", "unit": "m", "low": 0.0, "high": 2.0,
        "ticks": ((0.0, "0"), (1.0, "1"), (2.0, "2 or more")), "log": False, "triangles": triangles,
        "values": values, "note": "Plain: none.", "parts": parts,
        "part": np.concatenate([np.full(len(row), n) for row, n in rows]).astype(np.int32),
    }  # fmt: skip
    return Field(**given | changes)


def drawn(one: Stage, file: Path, **options: Any) -> tuple[np.ndarray, list[Box]] | None:
    """The picture (height, width, 3) and its label boxes, which don't overlap; None without OpenGL."""
    if opengl.problem():
        return None
    boxes = draw(one, file, SIZE, **options)
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
    return np.asarray(Image.open(file).convert("RGB")).astype(int), boxes


def view_of(picture: np.ndarray) -> np.ndarray:
    return picture[:, : SIZE[0] - round(PANEL * SIZE[1] / 1000)]


def near(picture: np.ndarray, colour: Any, by: int = 6) -> int:
    """How many pixels show a colour."""
    return int((np.abs(picture - np.array(colour)).max(axis=-1) <= by).sum())


def test_an_amount_is_drawn_in_the_colours_of_its_bar(tmp_path: Path) -> None:
    """Derived: no light falls on an amount, so the covering shows the ramp's own colours, and the bar all of
    them; pieces without it are plain, and the water that stays outside is left out."""
    made = drawn(with_field(stage(), field()), tmp_path / "field.png")
    if made:
        picture, _ = made
        view, panel = view_of(picture), picture[:, -round(PANEL * SIZE[1] / 1000) :]
        for place in (0.3, 0.5, 0.7):
            colour = colours.on_the_ramp(np.array([place]))[0]
            assert near(view, colour, 12) > 100, place
        for stop in colours.RAMP:
            assert near(panel, stop, 12) > 3, stop
        assert near(view, colours.WATER) < near(
            view_of(drawn(stage(), tmp_path / "p.png")[0]), colours.WATER
        )
        for tint in colours.SHEET_TINTS[:4]:
            assert near(view, tint) < 20


def test_the_greatest_value_of_a_piece_stands_at_its_place(tmp_path: Path) -> None:
    """Derived: labels of the two pieces that carry the amount are longer by their figures; the others and
    the number of labels are the same. Another field gives another picture, the same one the same bytes."""
    files = [tmp_path / f"{n}.png" for n in range(3)]
    one, two, three = (
        drawn(with_field(stage(), f), file)
        for f, file in zip((field(), field(), field(least_counts=True)), files, strict=True)
    )
    plain = drawn(stage(), tmp_path / "plain.png")
    if one and two and three and plain:
        assert files[0].read_bytes() == files[1].read_bytes() != files[2].read_bytes()
        assert len(one[1]) == len(plain[1])
        longer = sorted(box.width for box in one[1]), sorted(box.width for box in plain[1])
        assert sum(longer[0]) > sum(longer[1]) + 40


def test_ticks_that_have_no_room_are_left_out() -> None:
    """Derived: of thirty ticks both ends stay, and no two texts overlap, nor leave the bar."""
    page = Page(Image.new("RGB", (600, 500)))
    bar = Box(20, 100, 390, 120)
    ticks = tuple((k / 15, f"{k / 15:.2f}") for k in range(31))
    placed = ticks_of(page, field(ticks=ticks), bar)
    assert (placed[0][1], placed[-1][1]) == ("0.00", "2.00")
    assert 4 < len(placed) < 12
    assert not any(a[2].overlaps(b[2]) for a, b in combinations(placed, 2))
    assert all(bar.left <= box.left and box.right <= bar.right for _, _, box in placed)


def test_the_field_ends_where_the_stack_is_cut() -> None:
    """Derived: nothing of it stands over the cut, and just below the cut its area is whole: a strip of 50 mm
    round a plan of 590 by 440 mm."""
    shown = with_field(stage(), field()).fields[0].of(["stack"])
    top = max(p.triangles[:, :, 2].max() for p in stage().pieces if p.role is Role.STACK)
    assert shown.triangles[:, :, 2].max() == pytest.approx(top, abs=1e-6)
    whole = field().of(["stack"])

    def area(triangles: np.ndarray) -> float:
        a, b, c = (triangles[:, k] for k in range(3))
        return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)

    assert area(shown.triangles) == pytest.approx(2 * (0.59 + 0.44) * (top + 0.4), rel=1e-6)
    assert area(whole.triangles) > area(shown.triangles) + 0.5


def test_what_lies_beneath_a_see_through_covering_shows(tmp_path: Path) -> None:
    """Derived: the floor beneath the roof, which no other view of the house shows so much of; the covering's
    name stands in the legend, and what runs on it is left out."""
    plain = drawn(stage(), tmp_path / "plain.png")
    through = drawn(see_through(stage()), tmp_path / "through.png")
    if plain and through:
        floor = np.array(colours.ROLE_TINTS[Role.INSIDE])
        covering = np.array(colours.ROLE_TINTS[Role.COVERING])
        veiled = [
            0.8 * light * floor + 0.2 * bright * covering
            for light in np.linspace(0.65, 1.0, 15)
            for bright in np.linspace(0.65, 1.0, 8)
        ]
        shown = [
            (np.abs(view_of(one[0])[::5, ::5, None] - np.array(veiled)).max(axis=3) < 5)
            .any(axis=2)
            .mean()
            for one in (plain, through)
        ]
        assert shown[1] > shown[0] + 0.1
    assert [piece.legend for piece in see_through(stage()).pieces if piece.see_through] == [
        "Covering (see-through)"
    ]
    assert all(way.behind for way in see_through(stage()).paths)


@pytest.mark.parametrize("view", [view.name for view in SQUARE_ON])
def test_perspective_differs_and_says_so(view: str, tmp_path: Path) -> None:
    """Derived: another picture, with the same labels; the foot of the column says which it is."""
    flat = drawn(stage(), tmp_path / "flat.png", view=view)
    deep = drawn(stage(), tmp_path / "deep.png", view=view, perspective=True)
    if flat and deep:
        assert (view_of(flat[0]) != view_of(deep[0])).any(axis=2).mean() > 0.1
        foot = np.s_[-round(0.06 * SIZE[1]) :, -round(PANEL * SIZE[1] / 1000) :]
        assert (flat[0][foot] != deep[0][foot]).any()


@pytest.mark.parametrize(
    ("name", "view", "options"),
    [("flue", "ridge", {}), ("stepped", "eaves", {"perspective": True}), ("terrace", "front", {})],
)
def test_no_two_labels_overlap_on_scenes_of_the_library(
    name: str, view: str, options: dict[str, Any], tmp_path: Path
) -> None:
    """Derived: `drawn` asks; three of a hundred that were tried, among them the most crowded."""
    drawn(Stage.of(assemble(load(name)), title=name), tmp_path / "a.png", view=view, **options)


def test_the_command_knows_every_view_and_field() -> None:
    """Derived: it names them itself, so that its help needs no graphics."""
    assert tuple(view.name for view in (*VIEWS, *SQUARE_ON)) == NAMED
    assert ASKED == FIELDS


def test_one_picture_with_all_of_it(tmp_path: Path) -> None:
    """The command draws an amount under a see-through covering in perspective."""
    if opengl.problem():
        return
    file = tmp_path / "a.png"
    options = [
        "--field",
        "laps",
        "--see-through",
        "--perspective",
        "--view",
        "back",
        "--size",
        "800x500",
    ]
    told = CliRunner().invoke(
        cli, ["picture", "cottage", "--quiet", "--drops", "300", "-o", str(file), *options]
    )
    assert told.exit_code == 0, told.output
    picture = np.asarray(Image.open(file).convert("RGB")).astype(int)
    assert picture.shape == (500, 800, 3)
    assert near(picture, colours.on_the_ramp(np.array([1.0]))[0], 12) > 50


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--field", "head"], "The head needs a wind: take a weather that has one. Got still air"),
        (["--field", "heat"], "'heat' is not one of"),
        (
            ["--field", "flow", "--apart"],
            "--apart shows no water, so no amounts: leave --field out",
        ),
        (["--field", "flow", "--section", "x=0"], "--section shows no water, so no amounts"),
        (["--section", "x=0", "--perspective"], "--section is flat: leave --see-through and"),
        (["--section", "x=0", "--see-through"], "--section is flat: leave --see-through and"),
    ],
)
def test_what_can_not_be_asked_is_one_line(options: list[str], line: str, tmp_path: Path) -> None:
    """Exit 2, one line, and no file."""
    file = tmp_path / "a.png"
    told = CliRunner().invoke(cli, ["picture", "cottage", "--quiet", "-o", str(file), *options])
    assert told.exit_code == 2
    assert line in told.stderr
    assert len(told.stderr.strip().splitlines()) == 1
    assert not list(tmp_path.iterdir())
