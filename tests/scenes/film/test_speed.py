"""How fast drops go in a film, measured on its frames, against Nusselt's film in closed form."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from scenes import opengl
from scenes.film.make import FPS
from scenes.film.reel import Reel, camera_of
from scenes.picture_page import PAGE_HEIGHT
from scenes.stage import Stage
from sim.events import Event
from sim.passing import passing_times
from sim.trace import Paths

pytestmark = pytest.mark.skipif(bool(opengl.problem()), reason=opengl.problem() or "OpenGL")

PITCH = radians(30)
THICK = 4e-4
SIZE = (480, 300)


def _along(distance: float) -> np.ndarray:
    """Points (3,) on the slope, so far down from its middle's upper end."""
    return np.array(
        [0.0, 1.6 - distance * cos(PITCH), (1.6 - distance * cos(PITCH)) * np.tan(PITCH)]
    )


def _plate() -> Assembly:
    """A bare slope of 2 by 4 m in plan."""
    corners = np.array([(x, y, y * np.tan(PITCH)) for x in (-1.0, 1.0) for y in (-2.0, 2.0)])
    faces = np.array([[0, 2, 1], [1, 2, 3]], dtype=np.int32)
    return Assembly((Part("slope", Role.COVERING, corners, faces),))


@pytest.mark.parametrize("slow", [1.0, 4.0])
def test_a_drop_in_the_frames_goes_as_fast_as_its_film(slow: float) -> None:
    """u = g sin(t) h^2 / (3 nu) (Nusselt, Z. VDI 60 (1916) 541), with water at 20 degrees: nu 1.0034e-6
    m2/s (ISO/TR 3666: 1.0016 mPa s over 998.2 kg/m3). The place of the drop is the middle of the pixels
    that differ from the same frame without it; two frames, one speed, within 2 %."""
    stage = Stage.of(_plate(), title="Bare slope")
    points = np.array([_along(0.0), _along(3.0)])
    paths = Paths(
        np.array([0, 2]),
        points,
        np.zeros(2, np.int32),
        np.array([Event.LANDED, Event.ENDED], np.int8),
    )
    times = passing_times(paths, np.full(4, THICK))
    camera = camera_of([stage], "plan", SIZE)
    reel = Reel.of(stage, paths, times, np.array([np.inf]), camera, SIZE, slow=slow)
    frames = [round(FPS * slow * when) for when in (2.0, 5.0, 8.0)]
    seen = np.array([reel.frame(0.0, k / FPS, reel.looks) for k in frames]).astype(float)
    bare = np.median(seen, axis=0)
    rows = [_middle(np.abs(picture - bare).sum(axis=2)) for picture in seen]
    metres = camera.scale * PAGE_HEIGHT / SIZE[1]
    down = np.diff([row for row, _ in rows]) * metres / cos(PITCH)
    measured = down / (np.diff(frames) / FPS) * slow
    expected = 9.80665 * sin(PITCH) * THICK**2 / (3 * 1.0034e-6)
    assert measured == pytest.approx(expected, rel=0.02)
    assert np.ptp([column for _, column in rows]) < 0.5


def _middle(change: np.ndarray) -> tuple[float, float]:
    """Row and column of the middle of what changed."""
    rows, columns = np.nonzero(change > 60)
    weight = change[rows, columns]
    return float(rows @ weight / weight.sum()), float(columns @ weight / weight.sum())
