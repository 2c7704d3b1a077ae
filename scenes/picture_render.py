"""The solid half of a picture: shaded triangles, drawn off screen by PyVista."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from math import atan, degrees

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PIL import Image
from vtkmodules.vtkCommonCore import vtkLogger, vtkObject

from scenes.colours import SKY, on_the_ramp
from scenes.stage import Stage
from scenes.stage_camera import NEAREST, Camera
from scenes.stage_lines import unit_normals

Floats = NDArray[np.float64]

# Lamps given as directions towards them on the picture (right, up, towards the viewer), with their
# strength; the rest of the light comes from everywhere, so that no face towards the viewer is dark.
_LAMPS = (((0.0, 0.4, 0.9), 0.18), ((-0.8, 0.0, 0.6), 0.22), ((0.6, 0.1, 0.8), 0.06))
_EVERYWHERE = 0.65

VEIL = 0.2
"""How much of a see-through piece's own colour is seen."""
BEFORE = 1.5e-4
"""A field is drawn so far before its faces [m]: nearer than any other sheet, farther than rounding."""


@contextmanager
def quiet() -> Iterator[None]:
    """Keep the graphics library's own remarks from the user while drawing."""
    before = vtkObject.GetGlobalWarningDisplay(), vtkLogger.GetCurrentVerbosityCutoff()
    vtkObject.GlobalWarningDisplayOff()
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    try:
        yield
    finally:
        vtkObject.SetGlobalWarningDisplay(before[0])
        vtkLogger.SetStderrVerbosity(before[1])


def shaded(
    triangles: Floats, colour: tuple[int, int, int], axes: Floats, eye: Floats | None = None
) -> NDArray[np.uint8]:
    """(n, 3) colours of triangles (n, 3, 3): lit on the side that the viewer sees, 0.65 to about
    1 of `colour`. axes: (3, 3) rows right, up, towards the viewer; eye (3,) [m]: in perspective."""
    normals = unit_normals(triangles)
    towards = axes[2] if eye is None else eye - triangles.mean(axis=1)
    away = normals @ towards if eye is None else (normals * towards).sum(axis=1)
    facing = np.where(away < 0, -1.0, 1.0)[:, None] * normals
    light = np.full(len(triangles), _EVERYWHERE)
    for direction, strength in _LAMPS:
        lamp = np.array(direction) @ axes
        light += strength * np.clip(facing @ (lamp / np.linalg.norm(lamp)), 0, 1)
    return np.clip(np.outer(light, colour), 0, 255).astype(np.uint8)


def solid(stage: Stage, axes: Floats, eye: Floats | None = None) -> pv.PolyData:
    """Every triangle of the stage with its colour as cell data "colour"; axes, eye: as `shaded`."""
    triangles = np.concatenate([piece.triangles for piece in stage.pieces])
    rows = [shaded(piece.triangles, piece.colour, axes, eye) for piece in stage.pieces]
    return _mesh(triangles, np.concatenate(rows))


def _mesh(triangles: Floats, colours: NDArray[np.uint8]) -> pv.PolyData:
    """Triangles (n, 3, 3) [m] with their colours (n, 3) as cell data "colour"."""
    corners = np.arange(3 * len(triangles)).reshape(-1, 3)
    faces = np.column_stack([np.full(len(triangles), 3), corners])
    mesh = pv.PolyData(triangles.reshape(-1, 3), faces=faces.ravel())
    mesh.cell_data["colour"] = colours
    return mesh


def add_solid(plotter: pv.Plotter, mesh: pv.PolyData) -> None:
    """Show the mesh of `solid` in its own colours, already lit."""
    plotter.add_mesh(mesh, scalars="colour", rgb=True, lighting=False, show_scalar_bar=False)


def aim(plotter: pv.Plotter, camera: Camera, reach: float) -> None:
    """Give the plotter our camera; reach [m]: how far the stage extends from the focus."""
    focus, towards = np.array(camera.focus), camera.view.axes[2]
    if camera.distance is not None:
        _aim_near(plotter, camera, camera.distance, reach)
        return
    plotter.camera_position = [
        tuple(focus + towards * 2 * reach),
        tuple(focus),
        tuple(camera.view.axes[1]),
    ]
    plotter.camera.enable_parallel_projection()
    plotter.camera.parallel_scale = camera.height * camera.scale / 2
    plotter.camera.clipping_range = (0.5 * reach, 3.5 * reach)


def _aim_near(plotter: pv.Plotter, camera: Camera, distance: float, reach: float) -> None:
    focus, towards = np.array(camera.focus), camera.view.axes[2]
    plotter.camera_position = [
        tuple(focus + towards * distance),
        tuple(focus),
        tuple(camera.view.axes[1]),
    ]
    plotter.camera.disable_parallel_projection()
    plotter.camera.view_angle = 2 * degrees(atan(camera.height * camera.scale / 2 / distance))
    plotter.camera.clipping_range = (NEAREST * distance, distance + 1.5 * reach)


def render(stage: Stage, camera: Camera, width: int, height: int) -> Image.Image:
    """The stage's solids as the camera sees them, `width` x `height` pixels, anti-aliased.

    What is see-through lies as a veil over the picture without it.
    """
    clear = replace(stage, pieces=tuple(p for p in stage.pieces if not p.see_through))
    beneath = _rendered(clear, camera, width, height)
    if len(clear.pieces) == len(stage.pieces):
        return beneath
    return Image.blend(beneath, _rendered(stage, camera, width, height), VEIL)


def field_on(stage: Stage, camera: Camera) -> pv.PolyData | None:
    """The first field of the stage on the faces that turn their wet side to the viewer, a little before
    them; None where it has none, or none of it is shown."""
    if not stage.fields:
        return None
    field = stage.fields[0].of([piece.name for piece in stage.pieces if not piece.see_through])
    towards = np.broadcast_to(camera.towards(field.triangles.mean(axis=1)), (len(field.values), 3))
    seen = (unit_normals(field.triangles) * towards).sum(axis=1) > 0
    if not seen.any():
        return None
    lifted = field.triangles[seen] + BEFORE * towards[seen][:, None]
    return _mesh(lifted, on_the_ramp(field.place(field.values[seen])))


def _rendered(stage: Stage, camera: Camera, width: int, height: int) -> Image.Image:
    mesh = solid(stage, camera.view.axes, camera.eye)
    reach = float(np.linalg.norm(mesh.points - np.array(camera.focus), axis=1).max()) + 0.1
    with quiet():
        plotter = pv.Plotter(off_screen=True, window_size=[width, height])
        try:
            plotter.background_color = pv.Color(SKY)
            add_solid(plotter, mesh)
            if (amounts := field_on(stage, camera)) is not None:
                add_solid(plotter, amounts)
            aim(plotter, camera, reach)
            plotter.enable_anti_aliasing("ssaa")
            plotter.render()
            pixels = np.asarray(plotter.screenshot(return_img=True))
        finally:
            plotter.close()
    return Image.fromarray(np.ascontiguousarray(pixels[:, :, :3]))
