"""A drawing of a section: sheets as thick lines, drawn further apart than they lie, and what carries them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, degrees
from pathlib import Path
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image
from shapely.geometry.base import BaseGeometry

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes.colours import INK, PAPER, QUIET_INK, SKY, WATER
from scenes.label_layout import Box, Wish, place
from scenes.picture import PANEL, check_size
from scenes.picture_page import PAGE_HEIGHT, Page
from scenes.picture_panel import draw_panel
from scenes.scale_bar import round_length
from scenes.section_cut import Cut, Plane, bounds_of, cut_of
from scenes.stage import Piece, Stage

Floats = NDArray[np.float64]
Spot = tuple[float, float]

APART: Final = 0.003
"""Flashings are drawn so much further out [m] than they lie, and than what they lie on."""
ROUND: Final = 0.10
"""So much is shown round the flashings [m]."""
MARGIN: Final = 14.0
SHEET: Final = 5.0
LABEL: Final = 17
ARMS: Final = (0.02, 0.05, 0.1, 0.2, 0.5)


def draw_section(
    assembly: Assembly, plane: Plane, file: str | Path, size: tuple[int, int] = (1600, 1000), *,
    title: str, note: str = "",
) -> list[Box]:  # fmt: skip
    """Write a PNG of what a plane cuts of an assembly; the boxes of its labels [px].

    size: as `picture.draw`; the same letters and colours as in every other picture. Raises SceneError
    where the plane cuts no flashing, and when the disk says no.
    """
    check_size(size)
    cuts = cut_of(assembly, plane, apart=APART)
    roles = {part.name: part.role for part in assembly}
    stage = replace(Stage.of(assembly, title=title, note=note), weather=_where(plane))
    pixel = size[1] / PAGE_HEIGHT
    whole = size[0] / pixel
    frame = Box(MARGIN, MARGIN, whole - PANEL - MARGIN, PAGE_HEIGHT - MARGIN)
    page = Page(Image.new("RGB", size, SKY), pixel)
    to_page = _projection(bounds_of(cuts, roles), frame)
    pieces = {piece.name: number for number, piece in enumerate(stage.pieces)}
    window = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    spots = {cut.name: _spot(cut, to_page, window) for cut in cuts}
    shown = [cut for cut in cuts if spots[cut.name] is not None]
    for cut in sorted(shown, key=lambda cut: roles[cut.name] is Role.FLASHING):
        _draw_cut(page, cut, stage, pieces[cut.name], to_page)
    key = _draw_key(page, frame, to_page, plane)
    sheets = [
        to_page(line) for cut in shown for line in cut.lines if roles[cut.name] is Role.FLASHING
    ]
    named = [
        (stage.pieces[pieces[cut.name]], spot, bool(cut.areas))
        for cut in shown
        if (spot := spots[cut.name]) is not None
    ]
    labels = _draw_names(page, frame, named, _Worth.of(sheets), key)
    seen = sorted(pieces[cut.name] for cut in shown)
    draw_panel(page, Box(whole - PANEL, 0, whole, PAGE_HEIGHT), stage, seen)
    try:
        page.finished().save(file, format="PNG")
    except OSError as error:
        raise SceneError(f"picture {file} can't be written: {error.strerror or error}") from error
    return [label.scaled(pixel) for label in (key, *labels)]


def _where(plane: Plane) -> str:
    where = f"{abs(plane.at) * 1000:.0f} mm"
    if plane.way == (0.0, 1.0):
        side = "to the right" if plane.at >= 0 else "to the left"
        cut = (
            f"Section up the slope, {where} {side} of the middle"
            if plane.at
            else "Section up the slope, through the middle"
        )
    elif plane.way == (1.0, 0.0):
        side = "behind" if plane.at >= 0 else "below"
        cut = f"Section across the slope, {where} {side} the stack's front"
    else:
        turn = degrees(atan2(plane.way[0], plane.way[1]))
        side = "right" if turn > 0 else "left"
        cut = f"Section {abs(turn):.0f} degrees to the {side} of straight up the slope"
    return f"{cut}. Each sheet is drawn {APART * 1000:.0f} mm further out than the one beneath it."


class _Projection:
    """From the plane's own coordinates [m] to the page; scale: units of the page to a metre."""

    def __init__(self, middle: Floats, scale: float, centre: tuple[float, float]) -> None:
        self.middle, self.scale, self.centre = middle, scale, np.array(centre)

    def __call__(self, points: Floats) -> Floats:
        return self.centre + (points - self.middle) * self.scale * np.array([1.0, -1.0])


def _projection(bounds: Floats, frame: Box) -> _Projection:
    low, high = bounds[0] - ROUND, bounds[1] + ROUND
    span = high - low
    scale = min(frame.width / span[0], frame.height / span[1])
    centre = ((frame.left + frame.right) / 2, (frame.top + frame.bottom) / 2)
    return _Projection((low + high) / 2, float(scale), centre)


def _draw_cut(page: Page, cut: Cut, stage: Stage, number: int, to_page: _Projection) -> None:
    piece = stage.pieces[number]
    for area in cut.areas:
        points = to_page(area)
        page.polygon(points, piece.colour)
        page.line(points, INK, 1.5)
    thick = SHEET if piece.role is Role.FLASHING else 3.0
    for line in cut.lines:
        page.line(to_page(line), INK, thick + 2)
        page.line(to_page(line), piece.colour, thick)


@dataclass(frozen=True, slots=True, eq=False)
class _Worth:
    """What labels should keep off: the flashings' lines [units of the page]."""

    lines: BaseGeometry

    @staticmethod
    def of(lines: list[Floats]) -> _Worth:
        return _Worth(shapely.union_all([shapely.LineString(line) for line in lines]))

    def spoilt_by(self, box: Box) -> float:
        """How much of a box (0 to 1) is crossed by them."""
        inside = shapely.box(box.left, box.top, box.right, box.bottom).intersection(self.lines)
        return min(1.0, float(inside.length) / box.height)


def _draw_names(
    page: Page, frame: Box, named: list[tuple[Piece, Spot, bool]], worth: _Worth, key: Box
) -> list[Box]:
    """The names of pieces, where each is seen and whether it has breadth there; their boxes."""
    named = sorted(named, key=lambda one: one[2])
    wishes = []
    for piece, spot, broad in named:
        width = page.measure(_name(piece), LABEL) + 20
        wishes.append(Wish(*spot, width, 28, distance=0 if broad else 34, keep_clear=3))
    boxes = place(wishes, frame, [key], spoils=worth.spoilt_by)
    for wish, box, (piece, _, _) in zip(wishes, boxes, named, strict=True):
        if box is None:
            continue
        start = box.nearest_to(wish.x, wish.y)
        if start != (wish.x, wish.y):
            page.line(np.array([start, (wish.x, wish.y)]), PAPER, 4)
            page.line(np.array([start, (wish.x, wish.y)]), INK, 1.6)
            page.disc(wish.x, wish.y, 4.5, INK, PAPER)
        page.box(box, PAPER, QUIET_INK, 1)
        page.box(Box(box.left + 3, box.top + 3, box.left + 9, box.bottom - 3), piece.colour)
        middle = ((box.left + box.right) / 2 + 3, (box.top + box.bottom) / 2)
        page.text(*middle, _name(piece), LABEL, INK, anchor="mm")
    return [box for box in boxes if box is not None]


def _name(piece: Piece) -> str:
    return f"{piece.letter}  {piece.name}"


def _spot(cut: Cut, to_page: _Projection, window: shapely.Polygon) -> tuple[float, float] | None:
    """A place on the longest of its lines, or in the largest of its areas, that the page shows."""
    shapes = [shapely.Polygon(to_page(area)) for area in cut.areas]
    shapes += [shapely.LineString(to_page(line)) for line in cut.lines]
    parts = shapely.get_parts(shapely.intersection(shapes, window))
    parts = [part for part in parts if part.length > 12]
    if not parts:
        return None
    best = max(parts, key=lambda part: part.area or part.length)
    at = best.interpolate(0.5, normalized=True) if not best.area else best.point_on_surface()
    return float(at.x), float(at.y)


def _draw_key(page: Page, frame: Box, to_page: _Projection, plane: Plane) -> Box:
    """The scale, and which way is down the slope."""
    arm, words = round_length(180 / to_page.scale, ARMS)
    length = arm * to_page.scale
    told = "Seen up the slope" if plane.way == (1.0, 0.0) else "Down the slope: to the left"
    rows = (told, f"Bar: {words}")
    width = 24 + max(length, *(page.measure(row, 15) for row in rows))
    box = Box(frame.left, frame.bottom - 76, frame.left + width, frame.bottom)
    page.box(box, PAPER, QUIET_INK, 1)
    start = np.array([box.left + 12, box.top + 16])
    page.line(np.array([start, start + np.array([length, 0.0])]), WATER, 4)
    for row, lift in zip(rows, (38, 16), strict=True):
        page.text(box.left + 12, box.bottom - lift, row, 15, INK)
    return box
