"""The marks over the rendered view: leaks, short laps, standing water, names and the keys."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import BEHIND, DECIDING, INK, PAPER, QUIET_INK, SHORT_LAP, WATER, Colour
from scenes.label_layout import Box, Wish, place
from scenes.picture_lines import deciding_start, draw_lap
from scenes.picture_page import Page
from scenes.stage import LeakMark
from scenes.stage_sight import LOOK_STEP, Sight, Spot
from scenes.stage_water import Runs

Floats = NDArray[np.float64]

_LABEL_SIZE = 17
_MARK_RADIUS = 15


class _Label(NamedTuple):
    kind: Literal["leak", "lap", "water", "piece", "differs"]
    words: str
    ink: Colour
    tint: Colour


def draw_marks(
    page: Page,
    sight: Sight,
    frame: Box,
    looked: tuple[dict[int, Spot], Floats],
    leaks: Sequence[LeakMark],
    keys: Sequence[Box],
    *,
    differing: Collection[str] = (),
    unseen: Sequence[tuple[str, tuple[float, float]]] = (),
    figures: Mapping[int, str] | None = None,
) -> list[Box]:
    """Short laps, the leaks given, standing water, the deciding path, names of pieces; the box of
    every label and key [px].

    looked: what `sight.look(frame)` gave; keys: boxes that are drawn already; differing: names of the
    pieces that are marked as different from another view's; unseen: words, and where they point [px],
    for those of them that are not seen; figures: what is told of pieces at their spots, by number.
    """
    spots, grid = looked
    sheets = [n for n, piece in enumerate(sight.stage.pieces) if piece.role is Role.FLASHING]
    precious = grid[np.isin(grid[:, 2], sheets), :2]
    middles = [draw_lap(page, sight, lap.edge) for lap in sight.stage.laps]
    marks = [sight.camera.project(leak.point[None])[0] for leak in leaks]
    wishes, labels = [], []
    for leak, (x, y) in zip(leaks, marks, strict=True):
        side = 2 * _MARK_RADIUS + 4
        wishes.append(Wish(x, y, side, side, distance=16, keep_clear=22))
        labels.append(_Label("leak", str(leak.number), BEHIND, BEHIND))
    for lap, ((x, y), seen) in zip(sight.stage.laps, middles, strict=True):
        words = lap.label if seen else f"{lap.label}, out of sight"
        width = page.measure(words, _LABEL_SIZE) + 20
        wishes.append(Wish(x, y, width, 28, distance=22, keep_clear=4))
        labels.append(_Label("lap", words, SHORT_LAP, SHORT_LAP))
    for words, ink, (x, y) in _others(sight):
        width = page.measure(words, _LABEL_SIZE) + 20
        wishes.append(Wish(x, y, width, 28, distance=22, keep_clear=4))
        labels.append(_Label("water", words, ink, ink))
    for words, (x, y) in unseen:
        width = page.measure(words, _LABEL_SIZE) + 24
        wishes.append(Wish(x, y, width, 30, distance=26, keep_clear=4))
        labels.append(_Label("differs", words, INK, INK))
    for number, spot in sorted(spots.items(), key=lambda item: item[1].half_width):
        piece = sight.stage.pieces[number]
        words = f"{piece.letter}  {piece.name}"
        if figures is not None:
            words = f"{words}: {figures[number]}" if number in figures else words
        width = page.measure(words, _LABEL_SIZE) + 20
        fits = spot.half_width > width / 2 + 6
        wishes.append(Wish(spot.x, spot.y, width, 28, distance=0 if fits else 26, keep_clear=3))
        kind: Literal["piece", "differs"] = "differs" if piece.name in differing else "piece"
        labels.append(_Label(kind, words, INK, piece.colour))
    boxes = place(wishes, frame, keys, spoils=lambda box: _share_of(box, precious))
    for wish, box, label in zip(wishes, boxes, labels, strict=True):
        if box is not None:
            _draw_leader(page, wish, box, label.ink)
    for box, label in zip(boxes, labels, strict=True):
        if box is not None:
            _draw_label(page, box, label)
    return [*keys, *(box for box in boxes if box is not None)]


def _others(sight: Sight) -> list[tuple[str, Colour, tuple[float, float]]]:
    """Words, ink and place [px] of the labels at the deciding path and at standing water."""
    stage, rows = sight.stage, []
    if stage.deciding_words and any(way.runs is Runs.FIRST_IN for way in stage.paths):
        rows.append((stage.deciding_words, DECIDING, deciding_start(sight)))
    for pool in stage.pools:
        x, y = sight.camera.project(pool.point[None])[0]
        unseen = sight.hidden(pool.point[None])[0]
        words = f"{pool.words}, out of sight" if unseen else pool.words
        rows.append((words, WATER, (float(x), float(y))))
    return rows


def _share_of(box: Box, spots: Floats) -> float:
    """How much of a box (0 to 1) lies on what the looked-at spots (k, 2) [px] stand for."""
    x, y = spots[:, 0], spots[:, 1]
    inside = (x > box.left) & (x < box.right) & (y > box.top) & (y < box.bottom)
    return min(1.0, float(inside.sum()) * LOOK_STEP**2 / (box.width * box.height))


def _draw_leader(page: Page, wish: Wish, box: Box, ink: Colour) -> None:
    start, end = box.nearest_to(wish.x, wish.y), (wish.x, wish.y)
    if start != end:
        page.line(np.array([start, end]), PAPER, 4)
        page.line(np.array([start, end]), ink, 1.6)
        page.disc(wish.x, wish.y, 4.5, ink, PAPER)


def _draw_label(page: Page, box: Box, label: _Label) -> None:
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    if label.kind == "leak":
        page.disc(x, y, _MARK_RADIUS, label.ink, PAPER)
        page.text(x, y, label.words, 19, PAPER, anchor="mm", bold=True)
    elif label.kind in ("lap", "water"):
        page.box(box, PAPER, label.ink, 2)
        page.text(x, y, label.words, _LABEL_SIZE, label.ink, anchor="mm", bold=True)
    else:
        differs = label.kind == "differs"
        page.box(box, PAPER, INK if differs else QUIET_INK, 3.5 if differs else 1)
        page.box(Box(box.left + 3, box.top + 3, box.left + 9, box.bottom - 3), label.tint)
        page.text(x + 3, y, label.words, _LABEL_SIZE, label.ink, anchor="mm", bold=differs)
