"""Draw a stage as a PNG file."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from meshes.errors import SceneError, require
from meshes.parts import Role
from scenes import opengl
from scenes.colours import SKY
from scenes.label_layout import Box
from scenes.picture_field import telling
from scenes.picture_keys import draw_keys
from scenes.picture_lines import draw_lines
from scenes.picture_page import PAGE_HEIGHT, Page
from scenes.picture_panel import draw_panel
from scenes.picture_strokes import Stroke
from scenes.picture_view import draw_marks
from scenes.stage import Stage
from scenes.stage_camera import SQUARE_ON, Camera
from scenes.stage_sight import LOOK_STEP, Sight, Spot

# PyVista brings a plotting library that complains, at import, of a home that can't be written to.
logging.getLogger("matplotlib").setLevel(logging.ERROR)

PANEL = 416
"""Width of the column of words, in thousandths of the picture's height."""

SLIVER = 0.005
HOLE = 0.001
"""Shares of the view, and of its part round the flashings, below which the underlay and the inside
are left out."""

LEAST_SEEN = 9
LEAST_HALF = 2 * LOOK_STEP
"""A piece that fewer rays of `Sight.look` meet is a sliver between lines, and one whose broadest patch has
no such half width [px] is seen on edge: neither is named."""


@dataclass(frozen=True, slots=True, eq=False)
class Begun:
    """A view drawn but for its marks and words. frame: where these may stand [px]; keys: boxes that
    are taken already; spots and grid: what `Sight.look` gave; drawn: the kinds of line in it."""

    page: Page
    sight: Sight
    frame: Box
    keys: list[Box]
    spots: dict[int, Spot]
    grid: NDArray[np.float64]
    drawn: set[Stroke]

    @staticmethod
    def of(
        stage: Stage,
        camera: Camera,
        size: tuple[int, int],
        pixel: float,
        also: Callable[[Page, Sight], None] = lambda page, sight: None,
    ) -> Begun:
        """Render a stage into the upper left of a sheet of `size` [px], `pixel` of them to a unit of
        the camera, with its lines, what `also` draws over them, and its keys."""
        opengl.prefer_off_screen()
        from scenes.picture_render import render

        sight, frame = Sight(stage, camera), frame_of(camera)
        background = Image.new("RGB", size, SKY)
        solids = render(stage, camera, round(camera.width * pixel), round(camera.height * pixel))
        background.paste(solids, (0, 0))
        page = Page(background, pixel)
        drawn = draw_lines(page, sight)
        also(page, sight)
        keys = draw_keys(page, sight, frame)
        return Begun(page, sight, frame, keys, *sight.look(frame, keys), drawn)


def frame_of(camera: Camera) -> Box:
    """Where marks and words may stand in a view [px]."""
    return Box(14, 14, camera.width - 14, camera.height - 14)


def draw(
    stage: Stage, file: str | Path, size: tuple[int, int] = (1600, 1000), *, view: str = "eaves",
    hold: NDArray[np.float64] | None = None, perspective: bool = False,
) -> list[Box]:  # fmt: skip
    """Write a PNG of `size` (width, height) [px], seen from the named view of the stage.

    hold (n, 3) [m]: what the view must hold, None for the stage's own target; perspective: as an eye near
    by sees it, in place of a parallel projection. Of a stage's fields the first is drawn. Each side 500 to
    4,000 pixels, the width 1.2 to 3 times the height. The same stage gives the same bytes on one machine.
    Returns the boxes of the labels [px]. Raises SceneError where OpenGL is missing, for an unknown view,
    a size out of range and a file that can't be written.
    """
    missing = opengl.problem()
    if missing:
        raise SceneError(missing)
    check_size(size)
    width, height = size
    named = {v.name: v for v in (*stage.views, *SQUARE_ON)}
    require(view in named, "view", view, "one of " + ", ".join(named), SceneError)
    pixel = height / PAGE_HEIGHT
    whole = width / pixel
    target = stage.target if hold is None else hold
    fit = Camera.near if perspective else Camera.fit
    camera = fit(named[view], target, whole - PANEL, PAGE_HEIGHT, margin=0.08)
    stage = _worth_showing(stage, camera, frame_of(camera))
    begun = Begun.of(stage, camera, size, pixel)
    page, least = begun.page, LEAST_SEEN / len(begun.grid)
    spots = {
        number: spot
        for number, spot in begun.spots.items()
        if spot.share >= least and spot.half_width >= LEAST_HALF
    }
    column = Box(camera.width, 0, whole, PAGE_HEIGHT)
    rows = sorted({*spots, *(n for n, piece in enumerate(stage.pieces) if piece.see_through)})
    listed = draw_panel(page, column, stage, rows, drawn=begun.drawn, perspective=perspective)
    told = telling(begun.sight, begun.frame, begun.keys, spots) if stage.fields else {}
    spots |= {number: spot for number, (spot, _) in told.items()}
    figures = {number: words for number, (_, words) in told.items()}
    labels = draw_marks(
        page, begun.sight, begun.frame, (spots, begun.grid), stage.leaks[:listed], begun.keys,
        figures=figures,
    )  # fmt: skip
    try:
        page.finished().save(file, format="PNG")
    except OSError as error:
        raise SceneError(f"picture {file} can't be written: {error.strerror or error}") from error
    return [label.scaled(pixel) for label in labels]


def check_size(size: tuple[int, int]) -> None:
    """Raise SceneError unless a picture can have this width and height [px]."""
    width, height = size
    fits = all(500 <= side <= 4000 for side in size) and 1.2 <= width / height <= 3
    rule = "500 to 4000 pixels each way and 1.2 to 3 times as wide as high"
    require(fits, "picture size", f"{width} x {height}", rule, SceneError)


def worth_naming(stage: Stage, camera: Camera) -> set[str]:
    """Names of the pieces that are worth showing from here."""
    return {piece.name for piece in _worth_showing(stage, camera, frame_of(camera)).pieces}


def _worth_showing(stage: Stage, camera: Camera, frame: Box) -> Stage:
    """The stage without underlay and inside where next to nothing of them shows from here.

    Between the flashings HOLE is enough (a hole in the roof); elsewhere, past a verge, the underlay
    is left out under SLIVER, and the inside always while no water gets behind.
    """
    spots, grid = Sight(stage, camera).look(frame)
    roles = np.array([piece.role for piece in stage.pieces])
    sheets = grid[np.isin(grid[:, 2], np.flatnonzero(roles == Role.FLASHING)), :2]
    if len(sheets) == 0:
        return stage
    hull = shapely.convex_hull(shapely.multipoints(sheets))
    between = grid[shapely.intersects_xy(hull, grid[:, 0], grid[:, 1])]
    kept = []
    for number, piece in enumerate(stage.pieces):
        below = piece.role in (Role.UNDERLAY, Role.INSIDE)
        share = spots[number].share if number in spots else 0.0
        through = float((between[:, 2] == number).mean())
        dry_inside = piece.role is Role.INSIDE and not any(path.behind for path in stage.paths)
        if not below or through >= HOLE or (share >= SLIVER and not dry_inside):
            kept.append(piece)
    return replace(stage, pieces=tuple(kept))
