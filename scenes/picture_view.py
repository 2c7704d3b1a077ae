"""The drawing over the rendered view: edges, water, leaks, short laps, names, and the scale key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import (
    BEHIND,
    COVERING_EDGE,
    GHOST_EDGE,
    INK,
    PAPER,
    QUIET_INK,
    SHEET_EDGE,
    SHORT_LAP,
    WATER,
    Colour,
)
from scenes.label_layout import Box, Wish, place
from scenes.picture_page import Page
from scenes.stage import LeakMark, Piece
from scenes.stage_cut import hatch
from scenes.stage_lines import dashes, edges
from scenes.stage_sight import LOOK_STEP, Sight, Spot

Floats = NDArray[np.float64]

_LABEL_SIZE = 17
_MARK_RADIUS = 15

_KEY_ARM = 150
"""The key's longer arm takes at most this many pixels."""

_KEY_LENGTHS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


class _Label(NamedTuple):
    kind: Literal["leak", "lap", "piece"]
    words: str
    ink: Colour
    tint: Colour


def draw_lines(page: Page, sight: Sight) -> None:
    """Edges of every piece, water on top of them, and the outline of what is cut away."""
    for piece in sight.stage.pieces:
        rims, folds = sight.seen_edges(piece)
        quiet = piece.role is not Role.FLASHING
        colour = COVERING_EDGE if quiet else SHEET_EDGE
        page.segments(folds, colour, 1.0 if quiet else 1.2)
        page.segments(rims, colour, 1.0 if quiet else 2.0)
        for line in sight.seen(hatch(piece.triangles[len(piece.triangles) - piece.cut_face :]))[0]:
            page.line(line, GHOST_EDGE, 1.0)
    _draw_water(page, sight)
    for piece in sight.stage.pieces:
        _draw_ghost(page, sight, piece)


def _draw_water(page: Page, sight: Sight) -> None:
    """Water that runs off where it is seen; water that gets behind also where it is hidden,
    dashed."""
    outside = [way.points for way in sight.stage.paths if not way.behind]
    behind = [way.points for way in sight.stage.paths if way.behind]
    for line in sight.seen(outside)[0]:
        page.line(line, WATER, 1.1)
    seen, hidden = sight.seen(behind)
    strokes = [dash for line in hidden for dash in dashes(line, 8, 5)]
    for line in [*strokes, *seen]:
        page.line(line, PAPER, 4.0)
    for line in strokes:
        page.line(line, BEHIND, 2.0)
    for line in seen:
        page.line(line, BEHIND, 2.5)


def _draw_ghost(page: Page, sight: Sight, piece: Piece) -> None:
    if len(piece.ghost) == 0:
        return
    rims, folds = edges(piece.ghost, sight.camera.view.axes[2])
    cut = piece.ghost[:, :, 2].min()
    for line in [*rims, *folds]:
        if (line[:, 2] > cut + 1e-9).any():
            for dash in dashes(sight.camera.project(line), 9, 6):
                page.line(dash, GHOST_EDGE, 1.2)


def draw_marks(
    page: Page,
    sight: Sight,
    frame: Box,
    looked: tuple[dict[int, Spot], Floats],
    leaks: Sequence[LeakMark],
) -> list[Box]:
    """Short laps, the leaks given, names of pieces and the scale key; the box of every label [px].

    looked: what `sight.look(frame)` gave.
    """
    spots, grid = looked
    sheets = [n for n, piece in enumerate(sight.stage.pieces) if piece.role is Role.FLASHING]
    precious = grid[np.isin(grid[:, 2], sheets), :2]
    key = _draw_key(page, sight, frame)
    middles = [_draw_lap(page, sight, lap.edge) for lap in sight.stage.laps]
    marks = [sight.camera.project(leak.point[None])[0] for leak in leaks]
    wishes, labels = [], []
    for leak, (x, y) in zip(leaks, marks, strict=True):
        side = 2 * _MARK_RADIUS + 4
        wishes.append(Wish(x, y, side, side, distance=16, keep_clear=5))
        labels.append(_Label("leak", str(leak.number), BEHIND, BEHIND))
    for lap, (x, y) in zip(sight.stage.laps, middles, strict=True):
        width = page.measure(lap.label, _LABEL_SIZE) + 20
        wishes.append(Wish(x, y, width, 28, distance=22, keep_clear=4))
        labels.append(_Label("lap", lap.label, SHORT_LAP, SHORT_LAP))
    for number, spot in sorted(spots.items(), key=lambda item: item[1].half_width):
        piece = sight.stage.pieces[number]
        words = f"{piece.letter}  {piece.name}"
        width = page.measure(words, _LABEL_SIZE) + 20
        fits = spot.half_width > width / 2 + 6
        wishes.append(Wish(spot.x, spot.y, width, 28, distance=0 if fits else 26, keep_clear=3))
        labels.append(_Label("piece", words, INK, piece.colour))
    boxes = place(wishes, frame, [key], spoils=lambda box: _share_of(box, precious))
    for wish, box, label in zip(wishes, boxes, labels, strict=True):
        if box is not None:
            _draw_leader(page, wish, box, label.ink)
    for box, label in zip(boxes, labels, strict=True):
        if box is not None:
            _draw_label(page, box, label)
    return [key, *(box for box in boxes if box is not None)]


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
    elif label.kind == "lap":
        page.box(box, PAPER, label.ink, 2)
        page.text(x, y, label.words, _LABEL_SIZE, label.ink, anchor="mm", bold=True)
    else:
        page.box(box, PAPER, QUIET_INK, 1)
        page.box(Box(box.left + 3, box.top + 3, box.left + 9, box.bottom - 3), label.tint)
        page.text(x + 3, y, label.words, _LABEL_SIZE, label.ink, anchor="mm")


def _draw_lap(page: Page, sight: Sight, edge: Floats) -> tuple[float, float]:
    """Draw a lap's open edge, dashed where it is hidden; where its label points [px]."""
    seen, hidden = sight.seen([edge])
    strokes = [dash for line in hidden for dash in dashes(line, 9, 6)]
    for line in [*seen, *strokes]:
        page.line(line, PAPER, 8)
    for line in seen:
        page.line(line, SHORT_LAP, 5)
    for line in strokes:
        page.line(line, SHORT_LAP, 3)
    return _middle(max(seen, key=_length, default=sight.camera.project(edge)))


def _length(flat: Floats) -> float:
    return float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum())


def _middle(flat: Floats) -> tuple[float, float]:
    """The point half-way along a polyline (k, 2)."""
    steps = np.linalg.norm(np.diff(flat, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = along[-1] / 2
    return float(np.interp(half, along, flat[:, 0])), float(np.interp(half, along, flat[:, 1]))


def _draw_key(page: Page, sight: Sight, frame: Box) -> Box:
    """Two arms of equal length, across the slope and down it, as they look in this view.

    On a level roof, or none, both arms are level, along -y and x.
    """
    fall = sight.stage.fall
    told = "Arrow: down the slope" if fall is not None else "Both arms level"
    if fall is None:
        fall = np.array([0.0, -1.0, 0.0])
    across = np.cross(fall, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across)
    flat = sight.camera.view.axes[:2] * np.array([[1.0], [-1.0]]) / sight.camera.scale
    per_metre = max(float(np.linalg.norm(flat @ arm)) for arm in (fall, across))
    length = max([m for m in _KEY_LENGTHS if m * per_metre <= _KEY_ARM], default=_KEY_LENGTHS[0])
    down, along = flat @ fall * length, flat @ across * length
    corners = np.array([[0.0, 0.0], down, along])
    size = corners.max(axis=0) - corners.min(axis=0)
    rows = (told, f"Each arm: {length * 1000:.0f} mm")
    width = 24 + max([size[0], *(page.measure(row, 15) for row in rows)])
    box = Box(frame.left, frame.bottom - size[1] - 76, frame.left + width, frame.bottom)
    page.box(box, PAPER, QUIET_INK, 1)
    shift = np.array([(box.left + box.right - size[0]) / 2, box.top + 15]) - corners.min(axis=0)
    page.line(np.array([corners[2], corners[0]]) + shift, INK, 2.5)
    _arrow(page, corners[0] + shift, corners[1] + shift)
    for row, lift in zip(rows, (38, 16), strict=True):
        page.text(box.left + 12, box.bottom - lift, row, 15, INK)
    return box


def _arrow(page: Page, start: Floats, end: Floats) -> None:
    along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
    side = np.array([-along[1], along[0]])
    page.line(np.array([start, end - 10 * along]), WATER, 4)
    page.polygon(np.array([end, end - 16 * along + 8 * side, end - 16 * along - 8 * side]), WATER)
