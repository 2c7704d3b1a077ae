"""The camera in perspective: against the graphics library, and against plain geometry."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes import opengl
from scenes.label_layout import Box
from scenes.stage import Stage
from scenes.stage_camera import LENS, SQUARE_ON, VIEWS, Camera, View
from scenes.stage_lines import edges
from scenes.stage_sight import Sight
from tests.scenes.picture_house import house, sheet

EVERY = pytest.mark.parametrize("view", [*VIEWS, *SQUARE_ON], ids=lambda view: view.name)


@EVERY
def test_the_picture_holds_its_points_as_tightly_as_it_can(view: View) -> None:
    """Derived: all lie inside with the margin free, and some on two opposite sides of what is free."""
    points = Stage.of(house(), title="").target
    camera = Camera.near(view, points, 900, 700, margin=0.1)
    flat = camera.project(points)
    low, high = flat.min(axis=0), flat.max(axis=0)
    assert (low >= np.array([90, 70]) - 1e-6).all()
    assert (high <= np.array([810, 630]) + 1e-6).all()
    spare = np.stack([low - np.array([90, 70]), np.array([810, 630]) - high])
    assert spare.max(axis=0).min() < 1e-6
    assert camera.is_before(points).all()


@EVERY
def test_pixels_lead_back_to_where_they_came_from(view: View) -> None:
    """Derived: a point, its pixel and the plane that it lies on give the point again; and the eye, the
    point and what its pixel is on another plane lie on one line."""
    points = Stage.of(house(), title="").target
    camera = Camera.near(view, points, 900, 700)
    eye = camera.eye
    assert eye is not None
    depths = (points - np.array(camera.focus)) @ view.axes[2]
    pixels = camera.project(points)
    for point, pixel, depth in zip(points[::7], pixels[::7], depths[::7], strict=True):
        assert camera.unproject(pixel[None], depth)[0] == pytest.approx(point, abs=1e-9)
        other = camera.unproject(pixel[None], 0.0)[0]
        assert np.cross(other - eye, point - eye) == pytest.approx(np.zeros(3), abs=1e-9)


def test_the_eye_stands_where_the_lens_says() -> None:
    """Derived: the picture's height at the focus, over its distance, is twice the tangent of half LENS."""
    camera = Camera.near(VIEWS[0], Stage.of(house(), title="").target, 900, 700)
    assert camera.distance is not None
    assert 700 * camera.scale / camera.distance == pytest.approx(2 * np.tan(LENS / 2))


@EVERY
def test_the_graphics_library_sees_the_same(view: View) -> None:
    """Two computations: where VTK's own camera, aimed as for a picture, puts points of the house."""
    if opengl.problem():
        return
    opengl.prefer_off_screen()
    import pyvista as pv

    from scenes.picture_render import aim

    points = Stage.of(house(), title="").target[::11]
    camera = Camera.near(view, points, 640, 480)
    plotter = pv.Plotter(off_screen=True, window_size=[640, 480])
    try:
        plotter.add_mesh(pv.PolyData(points))
        aim(plotter, camera, 3.0)
        found = []
        for point in points:
            plotter.renderer.SetWorldPoint(*point, 1.0)
            plotter.renderer.WorldToDisplay()
            x, y, _ = plotter.renderer.GetDisplayPoint()
            found.append((x, 480 - y))
    finally:
        plotter.close()
    assert camera.project(points) == pytest.approx(np.array(found), abs=0.6)


def test_what_stands_behind_the_eye_hides_nothing() -> None:
    """Derived: a board behind the eye hides the sheet in a parallel projection, not in perspective; a board
    between hides it in both."""
    low = sheet("low", Role.FLASHING, [(-1, -1, 0), (1, -1, 0), (1, 1, 0), (-1, 1, 0)])
    view = View("above", 0.0, np.radians(90))
    camera = Camera.near(view, low.vertices, 400, 400)
    assert camera.distance is not None
    for height, hides in ((camera.distance * 1.5, (True, False)), (0.3, (True, True))):
        board = sheet(
            "board",
            Role.COVERING,
            [(x, y, height) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))],
        )
        stage = Stage.of(Assembly((low, board)), title="")
        parallel = Sight(stage, Camera.fit(view, low.vertices, 400, 400))
        middle = np.array([[0.2, 0.1, 0.0]])
        told = bool(parallel.hidden(middle)[0]), bool(Sight(stage, camera).hidden(middle)[0])
        assert told == hides
        if not hides[1]:
            spots, _ = Sight(stage, camera).look(_whole(camera))
            assert [stage.pieces[n].name for n in spots] == ["low"]
            lines = [np.array([(0.0, 0.0, 0.0), (0.0, 0.0, 2 * camera.distance)])]
            (short,) = Sight(stage, camera).before_the_eye([np.linspace(*lines[0], 50)])
            assert short[:, 2].max() < camera.distance


def _whole(camera: Camera) -> Box:
    return Box(0, 0, camera.width, camera.height)


def test_outlines_are_where_faces_turn_away_from_the_eye() -> None:
    """Derived: of a tube of 40 sides of radius 1 seen from 3 away, along a line square to it, the outline
    lies at the cosine 1/3, not at a right angle: both within a facet's 9 degrees."""
    turn = np.linspace(0, 2 * np.pi, 41)
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    quads = [[(*a, 0.0), (*b, 0.0), (*b, 1.0), (*a, 1.0)] for a, b in pairwise(ring)]
    tube = sheet("tube", Role.STACK, *quads)
    triangles = tube.vertices[tube.faces]
    eye = np.array([3.0, 0.0, 0.5])
    towards = eye - triangles.mean(axis=1)
    for way, angle in ((towards, np.degrees(np.arccos(1 / 3))), (np.array([1.0, 0.0, 0.0]), 90.0)):
        rims, _ = edges(triangles, way)
        upright = rims[np.abs(rims[:, 0, :2] - rims[:, 1, :2]).max(axis=1) < 1e-6]
        found = np.degrees(np.abs(np.arctan2(upright[:, 0, 1], upright[:, 0, 0])))
        assert len(found) == 2
        assert np.abs(found - angle).max() < 9


def test_a_nonsense_eye_is_refused() -> None:
    """One line."""
    with pytest.raises(SceneError, match="distance of the eye must be above 0 m"):
        Camera(VIEWS[0], (0, 0, 0), 1.0, 100, 100, 0.0)
