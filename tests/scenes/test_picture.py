"""The picture itself, drawn with no display. Where OpenGL is absent the clear line is checked."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes import colours, opengl
from scenes.label_layout import Box
from scenes.picture import PANEL, _worth_showing, draw
from scenes.picture_page import Page
from scenes.picture_panel import MOST_ROWS, draw_panel
from scenes.stage import Stage
from scenes.stage_camera import Camera, View
from tests.scenes.picture_house import answer, house, sheet, water

SIZE = (1000, 625)


def _stage(*, leaking: bool) -> Stage:
    assembly = house()
    paths, fates = water(leaking=leaking)
    findings = answer(leaking=leaking)
    note = "An invented example."
    return Stage.of(assembly, findings, paths, fates=fates, title="House", note=note)


def _drawn(stage: Stage, file: Path, **options: object) -> tuple[np.ndarray, list[Box]] | None:
    """The picture (height, width, 3) and its label boxes; None after checking the line that says
    why it can't be drawn here."""
    if opengl.problem():
        with pytest.raises(SceneError, match="apt-get install libegl1 libgl1-mesa-dri"):
            draw(stage, file, SIZE, **options)
        return None
    boxes = draw(stage, file, SIZE, **options)
    return np.asarray(Image.open(file).convert("RGB")).astype(int), boxes


def _pixels_of(picture: np.ndarray, colour: colours.Colour) -> int:
    """How many pixels show exactly this colour."""
    return int((picture == np.array(colour)).all(axis=2).sum())


def _view_without_labels(picture: np.ndarray, boxes: list[Box]) -> np.ndarray:
    """The rendered half, (n, 3) pixels, with the labels taken out."""
    height, width, _ = picture.shape
    wanted = np.ones((height, width), dtype=bool)
    wanted[:, width - round(PANEL * height / 1000) :] = False
    for box in boxes:
        wanted[int(box.top) - 2 : int(box.bottom) + 3, int(box.left) - 2 : int(box.right) + 3] = (
            False
        )
    return picture[wanted]


def test_the_picture_is_not_blank_and_has_its_size(tmp_path: Path) -> None:
    """Derived: a drawing of eight pieces has many colours; no one colour fills half of the view."""
    drawn = _drawn(_stage(leaking=False), tmp_path / "picture.png")
    if drawn:
        picture, boxes = drawn
        assert picture.shape == (SIZE[1], SIZE[0], 3)
        pixels = _view_without_labels(picture, boxes)
        _, counts = np.unique(pixels, axis=0, return_counts=True)
        assert len(counts) > 200
        assert counts.max() < len(pixels) / 2


def test_a_leak_changes_the_picture_and_none_shows_no_vermilion(tmp_path: Path) -> None:
    """Derived: leak paths, marks and short laps have colours of their own, used for nothing
    else."""
    dry = _drawn(_stage(leaking=False), tmp_path / "dry.png")
    wet = _drawn(_stage(leaking=True), tmp_path / "wet.png")
    if dry and wet:
        for colour in (colours.BEHIND, colours.SHORT_LAP):
            assert _pixels_of(dry[0], colour) == 0
            assert _pixels_of(wet[0], colour) > 300


def test_every_colour_of_the_legend_is_found_in_the_view(tmp_path: Path) -> None:
    """Derived: a piece is shaded by scaling its colour by 0.65 to 1.03, so its hue is exact but for
    rounding; the swatches of legend and labels don't count."""
    stage = _stage(leaking=True)
    drawn = _drawn(stage, tmp_path / "picture.png")
    if drawn:
        pixels = _view_without_labels(*drawn)
        for piece in stage.pieces:
            colour = np.array(piece.colour)
            light = pixels @ colour / (colour @ colour)
            off = np.abs(pixels - light[:, None] * colour).max(axis=1)
            fits = (off < 1.5) & (light > 0.6) & (light < 1.05)
            assert fits.sum() > 100, piece.name
        for colour in (colours.WATER, colours.BEHIND, colours.SHORT_LAP):
            assert (np.abs(pixels - np.array(colour)).max(axis=1) < 30).sum() > 20


def test_no_two_labels_overlap(tmp_path: Path) -> None:
    """Derived: the boxes that `draw` reports lie apart, inside the view; one a piece, leak, lap,
    key."""
    stage = _stage(leaking=True)
    drawn = _drawn(stage, tmp_path / "picture.png")
    if drawn:
        _, boxes = drawn
        assert len(boxes) == len(stage.pieces) + len(stage.leaks) + len(stage.laps) + 1
        assert not any(one.overlaps(two) for one, two in combinations(boxes, 2))
        view = Box(0, 0, SIZE[0] - PANEL * SIZE[1] / 1000, SIZE[1])
        assert all(box.inside(view) for box in boxes)


def test_the_same_stage_gives_the_same_bytes(tmp_path: Path) -> None:
    """Derived: nothing in the picture hangs on time, chance or what was drawn before."""
    files = [tmp_path / name for name in ("one.png", "two.png")]
    for file in files:
        if _drawn(_stage(leaking=True), file) is None:
            return
    assert files[0].read_bytes() == files[1].read_bytes()


def test_a_figure_keeps_its_unit_on_its_line() -> None:
    """Derived: wrapped to any width, no line begins with a unit and nothing is lost but spaces."""
    page = Page(Image.new("RGB", (500, 500)))
    words = "Past the end, at the back left: 9.5 % of the water, 12 mm. Next: 100 %, done"
    for width in range(60, 500, 7):
        lines = page.wrap(words, 16, width, most=40)
        assert not [line for line in lines if line.startswith(("%", "mm", "."))]
        assert " ".join(lines) == words or any(line.endswith("...") for line in lines)


def test_other_views_differ(tmp_path: Path) -> None:
    """Derived: the stack seen from five sides."""
    pictures = []
    stage = _stage(leaking=True)
    for view in stage.views:
        drawn = _drawn(stage, tmp_path / f"{view.name}.png", view=view.name)
        if drawn is None:
            return
        pictures.append(drawn[0])
    assert all((one != two).mean() > 0.05 for one, two in combinations(pictures, 2))


def test_parts_alone_can_be_drawn(tmp_path: Path) -> None:
    """Derived: a scene of one part, with no stack, no covering and no findings; and a title in
    letters that the usual font lacks, far too long for its place."""
    part = sheet("odd", Role.FLASHING, [(0, 0, 0), (1, 0, 0), (1, 1, 0.3), (0, 1, 0.3)])
    stage = Stage.of(Assembly((part,)), title="Дымоход " * 60)
    drawn = _drawn(stage, tmp_path / "picture.png")
    if drawn:
        assert _pixels_of(drawn[0], colours.SKY) < drawn[0][:, :, 0].size / 2


def test_sixty_parts_twenty_leaks_and_laps_fit_the_column(tmp_path: Path) -> None:
    """Derived: what has no room is counted in words, and nothing is written over the foot."""
    tile = [(0, 0, 0), (0.1, 0, 0), (0.1, 0.1, 0.05), (0, 0.1, 0.05)]
    parts = [
        sheet(
            f"piece number {k}",
            Role.FLASHING,
            [(x + k % 8 / 8, y + k // 8 / 8, z) for x, y, z in tile],
        )
        for k in range(60)
    ]
    findings = answer(leaking=True)
    findings.leaks *= 20
    findings.laps *= 20
    stage = Stage.of(Assembly(tuple(parts)), findings, title="Many")
    drawn = _drawn(stage, tmp_path / "picture.png")
    if drawn:
        picture, boxes = drawn
        assert not any(one.overlaps(two) for one, two in combinations(boxes, 2))
        edge = picture[-round(0.012 * SIZE[1]) :, -round(PANEL * SIZE[1] / 1000) + 4 :]
        assert (edge == 255).all()
        marks = [box for box in boxes if box.right - box.left < 30 * SIZE[1] / 1000 + 6]
        assert 0 < len(marks) <= MOST_ROWS


def test_the_first_leaks_go_before_the_pieces() -> None:
    """Derived: with 24 pieces and two leaks both leaks are listed, and so marked in the view; with twenty
    leaks at least those two, though the pieces would fill the column."""
    tile = [(0, 0, 0), (1, 0, 0), (1, 1, 0.5), (0, 1, 0.5)]
    parts = [
        sheet(
            f"a piece with a long name, number {k}",
            Role.FLASHING,
            [(x + k, y, z) for x, y, z in tile],
        )
        for k in range(24)
    ]
    findings = answer(leaking=True)
    for many in (2, 20):
        findings.leaks = answer(leaking=True).leaks * many
        stage = Stage.of(
            Assembly(tuple(parts)), findings, title="Many pieces, and a title of two lines"
        )
        page = Page(Image.new("RGB", SIZE))
        listed = draw_panel(page, Box(1600 - PANEL, 0, 1600, 1000), stage, list(range(24)))
        assert 2 <= listed <= many


@pytest.mark.parametrize(("hole", "shown"), [(0.06, True), (0.004, False)])
def test_the_inside_is_shown_only_where_a_hole_opens_on_it(hole: float, shown: bool) -> None:
    """Derived, seen from above: two sheets of 1 m with a hole between them, over a floor no larger;
    60 mm of hole is 3 % of what lies between the sheets, 4 mm is less than one ray is wide."""
    wide = 1 + hole / 2
    sheets = [
        sheet(f"sheet {a}", Role.FLASHING, [(a, -0.5, 0), (b, -0.5, 0), (b, 0.5, 0), (a, 0.5, 0)])
        for a, b in ((-wide, -hole / 2), (hole / 2, wide))
    ]
    corners = [(x, y, -0.3) for x, y in ((-0.9, -0.4), (0.9, -0.4), (0.9, 0.4), (-0.9, 0.4))]
    floor = sheet("floor", Role.INSIDE, corners)
    stage = Stage.of(Assembly((*sheets, floor)), title="Hole")
    camera = Camera.fit(View("above", 0.0, np.pi / 2), stage.target, 1184, 1000)
    kept = _worth_showing(stage, camera, Box(0, 0, 1184, 1000))
    assert ("floor" in [piece.name for piece in kept.pieces]) is shown


@pytest.mark.parametrize(
    ("options", "rule"),
    [
        ({"size": (100, 100)}, "picture size must be 500 to 4000 pixels"),
        ({"size": (1000, 1000)}, "1.2 to 3 times as wide as high"),
        ({"size": (9000, 5000)}, "picture size must be 500 to 4000 pixels"),
        ({"view": "below"}, "view must be one of eaves, ridge, left, right, plan"),
    ],
)
def test_what_cannot_be_drawn_is_one_clear_line(
    options: dict, rule: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Derived: each breaks one rule, and nothing is written."""
    monkeypatch.setattr(opengl, "problem", lambda: None)
    with pytest.raises(SceneError, match=rule):
        draw(_stage(leaking=False), tmp_path / "picture.png", **options)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_cannot_be_written_is_one_clear_line(tmp_path: Path) -> None:
    """Derived: the folder isn't there. Without OpenGL the line says that instead."""
    with pytest.raises(SceneError, match=r"can't be written: No such file|libegl1"):
        draw(_stage(leaking=False), tmp_path / "missing" / "picture.png", SIZE)
