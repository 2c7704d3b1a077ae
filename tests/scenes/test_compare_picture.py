"""The picture of a comparison: two views under one camera. Where OpenGL is absent the clear line is
checked."""

from __future__ import annotations

import io
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from PIL import Image

from meshes.errors import SceneError
from scenes import colours, opengl
from scenes.compare import Comparison
from scenes.compare_picture import HEAD, SIZE, Drawn, draw, png
from scenes.compare_stage import differing, stages
from scenes.label_layout import Box
from scenes.picture import PANEL
from scenes.stage_water import MOST_BEHIND
from tests.scenes.compared_once import cover_too_narrow, order_changed, with_itself

VIEW = ((SIZE[0] - PANEL) // 2, SIZE[1] - HEAD)
LEADER = 40
"""Length of the line from a label to its piece [px]."""
CASES = {"itself": with_itself, "order": order_changed, "cover": cover_too_narrow}


@cache
def drawn(case: str) -> Drawn | None:
    """The picture of one of the cases; None where there is no OpenGL, once its line was checked."""
    both: Comparison = CASES[case]()
    if opengl.problem():
        with pytest.raises(SceneError, match="apt-get install libegl1 libgl1-mesa-dri"):
            draw(both)
        return None
    return draw(both)


def pixels(image: Image.Image) -> np.ndarray:
    return np.asarray(image.convert("RGB")).astype(int)


@pytest.mark.parametrize("case", CASES)
def test_the_picture_is_not_blank_and_holds_both_views(case: str) -> None:
    """Derived: 2000 by 1000; each view stands under its band as it was drawn, in many colours."""
    picture = drawn(case)
    if picture is None:
        return
    assert picture.whole.size == SIZE
    whole = pixels(picture.whole)
    for rank, view in enumerate(picture.views):
        assert view.size == VIEW
        inner = pixels(view)[:, 2:-2]
        left = rank * VIEW[0]
        assert np.array_equal(whole[HEAD:, left + 2 : left + VIEW[0] - 2], inner)
        _, counts = np.unique(inner.reshape(-1, 3), axis=0, return_counts=True)
        assert len(counts) > 200
        assert counts.max() < inner[..., 0].size / 2
    assert (whole[:, -PANEL:] != 255).any(axis=2).mean() > 0.02


def test_a_scene_beside_itself_is_twice_the_same_picture() -> None:
    """Invariance: to the last pixel; nothing is framed as different, and no leak's colour is used."""
    picture = drawn("itself")
    if picture is None:
        return
    first, second = (pixels(view) for view in picture.views)
    assert np.array_equal(first, second)
    assert not (first == np.array(colours.BEHIND)).all(axis=2).any()


def test_the_views_differ_only_where_the_pieces_do() -> None:
    """Exact geometry: the left side flashing alone was cut narrower: but for labels and their leaders the
    views agree to the last pixel outside the place where that piece stands in them."""
    picture = drawn("cover")
    if picture is None:
        return
    first, second = (pixels(view) for view in picture.views)
    other = (first != second).any(axis=2)
    for box in (box for boxes in picture.boxes for box in boxes):
        other[int(box.top) - 3 : int(box.bottom) + 4, int(box.left) - 3 : int(box.right) + 4] = (
            False
        )
    (right,), _ = differing(cover_too_narrow())
    flat = picture.camera.project(right.whole.reshape(-1, 3))
    (left, top), (far, low) = flat.min(axis=0) - LEADER, flat.max(axis=0) + LEADER
    rows, columns = np.nonzero(other)
    assert columns.min() >= left
    assert columns.max() <= far
    assert rows.min() >= top
    assert rows.max() <= low
    assert len(rows) > 3000


def test_what_differs_is_marked_by_lines_and_not_by_colour_alone() -> None:
    """Derived: ink is used for heavy outlines and words only; beside itself a scene has none of it that is
    as thick as the marks are."""
    for case, marked in (("cover", True), ("itself", False)):
        picture = drawn(case)
        if picture is None:
            continue
        for rank, (view, boxes) in enumerate(zip(picture.views, picture.boxes, strict=True)):
            ink = (pixels(view) == np.array(colours.INK)).all(axis=2)
            for box in boxes:
                ink[
                    int(box.top) - 3 : int(box.bottom) + 4, int(box.left) - 3 : int(box.right) + 4
                ] = 0
            thick = ink[:-2, :-2] & ink[1:-1, 1:-1] & ink[2:, 2:]
            if case == "itself" or rank == 0:
                assert (thick.sum() > 300) == marked


def test_leaks_are_drawn_on_the_side_that_leaks() -> None:
    """Derived: vermilion stands for water behind the flashings, in the second view only."""
    picture = drawn("order")
    if picture is None:
        return
    first, second = (pixels(view) for view in picture.views)
    assert not (first == np.array(colours.BEHIND)).all(axis=2).any()
    assert (second == np.array(colours.BEHIND)).all(axis=2).sum() > 500


@pytest.mark.parametrize("case", CASES)
def test_labels_do_not_overlap_and_stay_in_their_view(case: str) -> None:
    """Derived: boxes of all labels and keys of a view."""
    view = Box(0, 0, *VIEW)
    picture = drawn(case)
    if picture is None:
        return
    for boxes in picture.boxes:
        assert len(boxes) >= 5
        assert all(box.inside(view) for box in boxes)
        for one, other in combinations(boxes, 2):
            assert not one.overlaps(other)


def test_the_same_comparison_gives_the_same_bytes() -> None:
    """Invariance; and the file is a PNG without a date."""
    picture = drawn("order")
    if picture is None:
        return
    once = png(picture.whole)
    assert once == png(draw(order_changed()).whole)
    with Image.open(io.BytesIO(once)) as opened:
        assert opened.format == "PNG"
        assert not set(opened.info) - {"dpi"}


def test_both_stages_share_letters_colours_numbers_and_drops() -> None:
    """Derived: a piece is known by its name; leaks are numbered as in the text; the same drops are
    drawn, as many as may get behind."""
    both = order_changed()
    first, second = stages(both)
    known = {piece.name: (piece.letter, piece.colour) for piece in first.pieces}
    for piece in second.pieces:
        assert known[piece.name] == (piece.letter, piece.colour)
    letters = [piece.letter for piece in second.pieces]
    assert len(set(letters)) == len(letters)
    numbers = {row["number"]: row["second"]["point_mm"] for row in both.found["leaks"]}
    for leak in second.leaks:
        assert leak.point * 1000 == pytest.approx(np.array(numbers[leak.number]), abs=0.06)
    assert len(first.paths) >= 200
    assert sum(path.behind for path in second.paths) == MOST_BEHIND
    assert not any(path.behind for path in first.paths)


def test_what_is_marked_is_what_lies_elsewhere() -> None:
    """Exact geometry: of the narrower cover what the wider has more lies 60 to 150 mm beside the stack;
    the narrower one has nothing that lies elsewhere."""
    (right,), (wrong,) = differing(cover_too_narrow())
    assert right.name == wrong.name == "left side flashing"
    assert len(right.here) == len(wrong.there) > 0
    assert len(wrong.here) == len(right.there) == 0
    face = cover_too_narrow().first.scene.detail.stack.width / 2
    across = -right.here[..., 0] - face
    assert across.max() == pytest.approx(0.150, abs=0.006)


def test_without_opengl_one_line_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: as for every picture."""
    monkeypatch.setattr(opengl, "problem", lambda: "no OpenGL: try this")
    with pytest.raises(SceneError, match="no OpenGL: try this"):
        draw(with_itself())
