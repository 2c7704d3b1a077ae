"""The window: the same stage, to be turned and zoomed with the mouse."""

from __future__ import annotations

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import (
    BEHIND,
    COVERING_EDGE,
    DECIDING,
    INK,
    PAPER,
    SHEET_EDGE,
    SHORT_LAP,
    SKY,
    WATER,
)
from scenes.label_layout import Box
from scenes.picture_render import add_solid, aim, quiet, solid
from scenes.stage import Stage
from scenes.stage_camera import Camera
from scenes.stage_lines import edges
from scenes.stage_sight import Sight

Floats = NDArray[np.float64]


def open_window(stage: Stage, size: tuple[int, int] = (1400, 900)) -> None:
    """Show the stage in a window until it is closed. Needs a display."""
    with quiet():
        plotter = fill_window(stage, size, off_screen=False)
        try:
            plotter.show(title=stage.title)
        finally:
            plotter.close()


def fill_window(stage: Stage, size: tuple[int, int], *, off_screen: bool) -> pv.Plotter:
    """A plotter that holds everything the stage describes; the caller closes it. size: [px]."""
    camera = Camera.fit(stage.views[0], stage.target, *size)
    plotter = pv.Plotter(off_screen=off_screen, window_size=list(size))
    plotter.background_color = pv.Color(SKY)
    mesh = solid(stage, camera.view.axes)
    add_solid(plotter, mesh)
    for piece in stage.pieces:
        rims, folds = edges(piece.triangles, camera.view.axes[2])
        colour = SHEET_EDGE if piece.role is Role.FLASHING else COVERING_EDGE
        _add_lines(plotter, [*rims, *folds], colour, 1.5)
    _add_lines(plotter, [way.points for way in stage.paths if not way.behind], WATER, 1.5)
    behind = [way for way in stage.paths if way.behind]
    _add_lines(plotter, [way.points for way in behind if not way.deciding], BEHIND, 3.0)
    _add_lines(plotter, [way.points for way in behind if way.deciding], DECIDING, 6.0)
    _add_lines(plotter, [lap.edge for lap in stage.laps], SHORT_LAP, 6.0)
    _add_words(plotter, stage, camera)
    reach = float(np.linalg.norm(mesh.points - np.array(camera.focus), axis=1).max()) + 0.1
    aim(plotter, camera, reach)
    plotter.enable_anti_aliasing("ssaa")
    return plotter


def _add_lines(
    plotter: pv.Plotter, lines: list[Floats], colour: tuple[int, int, int], width: float
) -> None:
    if not lines:
        return
    counts = [len(line) for line in lines]
    starts = np.cumsum([0, *counts[:-1]])
    cells = [np.r_[n, np.arange(first, first + n)] for n, first in zip(counts, starts, strict=True)]
    mesh = pv.PolyData(np.concatenate(lines), lines=np.concatenate(cells))
    plotter.add_mesh(mesh, color=colour, line_width=width, lighting=False)


def _add_words(plotter: pv.Plotter, stage: Stage, camera: Camera) -> None:
    """Letters at the pieces, numbers at the leaks, and the legend and verdict at the left."""
    frame = Box(0, 0, camera.width, camera.height)
    spots, _ = Sight(stage, camera).look(frame)
    letters = [stage.pieces[number].letter for number in spots]
    _add_labels(plotter, np.array([spot.point for spot in spots.values()]), letters, INK)
    if stage.leaks:
        points = np.array([leak.point for leak in stage.leaks])
        _add_labels(plotter, points, [str(leak.number) for leak in stage.leaks], BEHIND)
    if stage.pools:
        points = np.array([pool.point for pool in stage.pools])
        _add_labels(plotter, points, [pool.words for pool in stage.pools], WATER)
    if stage.laps:
        points = np.array([lap.edge.mean(axis=0) for lap in stage.laps])
        _add_labels(plotter, points, [lap.label for lap in stage.laps], SHORT_LAP)
    rows = [stage.title, stage.note, stage.weather, stage.verdict, stage.shares]
    if stage.deciding_words and any(way.deciding for way in stage.paths):
        rows.append(f"Thick line: {stage.deciding_words}")
    rows += ["", *(f"{piece.letter}  {piece.legend}" for piece in stage.pieces)]
    rows += [f"({leak.number})  {leak.words}" for leak in stage.leaks]
    rows += [f"{lap.words}: {lap.label}" for lap in stage.laps]
    text = "\n".join(row for row in rows if row)
    corner = plotter.add_text(text, position="upper_left", font_size=10, color=INK)
    corner.GetTextProperty().SetBackgroundColor(1.0, 1.0, 1.0)
    corner.GetTextProperty().SetBackgroundOpacity(0.85)


def _add_labels(
    plotter: pv.Plotter, points: Floats, words: list[str], colour: tuple[int, int, int]
) -> None:
    plotter.add_point_labels(
        points, words, text_color=colour, font_size=18, bold=True, shape_color=PAPER,
        shape_opacity=0.9, margin=4, show_points=False, always_visible=True,
    )  # fmt: skip
