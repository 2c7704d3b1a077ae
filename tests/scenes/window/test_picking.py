"""What is meant by a click, on shapes for which it is known exactly."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.parts import Assembly, Role
from scenes.stage import Stage
from scenes.stage_camera import Camera, View
from scenes.stage_sight import Sight
from scenes.window.camera import seen_from, send
from scenes.window.picking import NEAR_LINE, NEAR_MARK, Line, Mark, pick, piece_at
from scenes.window.shown import Picked
from tests.scenes.picture_house import house, sheet

FROM_ABOVE = View("plan", 0.0, radians(90))
LAP, PATH, LEAK = Picked("lap", 4), Picked("path", 7), Picked("leak", 2)


def _square(name: str, side: float, z: float) -> object:
    half = side / 2
    corners = [(-half, -half, z), (half, -half, z), (half, half, z), (-half, half, z)]
    return sheet(name, Role.FLASHING, corners)


def _sight() -> Sight:
    """From above, 1 mm to a pixel: a square 0.2 m wide lies 0.1 m over one 0.4 m wide; the middle is at
    (500, 500)."""
    assembly = Assembly((_square("lower", 0.4, 0.0), _square("upper", 0.2, 0.1)))
    return Sight(Stage.of(assembly, title="two"), Camera(FROM_ABOVE, (0, 0, 0), 0.001, 1000, 1000))


def _line(what: Picked, z: float, *, through: bool = False) -> Line:
    """Straight across at y = 0, that is at 500 px down."""
    return Line(what, np.array([[-0.4, 0.0, z], [0.4, 0.0, z]]), through)


@pytest.mark.parametrize(
    ("x", "y", "name"),
    [
        (500, 500, "upper"), (599, 500, "upper"), (601, 500, "lower"), (500, 401, "upper"),
        (500, 399, "lower"), (699, 301, "lower"), (701, 500, None), (10, 10, None),
    ],
)  # fmt: skip
def test_the_piece_on_top_is_meant(x: float, y: float, name: str | None) -> None:
    """Exact: a pixel within 100 of the middle is on the upper square, within 200 on the lower."""
    sight = _sight()
    found = pick(sight, [], [], x, y)
    assert (None if found is None else sight.stage.pieces[found.number].name) == name


def test_how_high_the_piece_lies() -> None:
    """Exact: 0.1 m and 0 m."""
    assert piece_at(_sight(), 500, 520)[1] == pytest.approx(0.1, abs=1e-9)
    assert piece_at(_sight(), 650, 520)[1] == pytest.approx(0.0, abs=1e-9)


def test_a_line_is_meant_within_its_reach() -> None:
    """Exact: to just under NEAR_LINE pixels beside it, and no further."""
    lines = [_line(PATH, 0.11)]
    for beside, meant in ((0.0, True), (NEAR_LINE - 0.01, True), (NEAR_LINE + 0.01, False)):
        for sign in (-1, 1):
            found = pick(_sight(), lines, [], 470, 500 + sign * beside)
            assert (found == PATH) == meant
    assert pick(_sight(), lines, [], 900 + NEAR_LINE - 0.01, 500) == PATH
    assert pick(_sight(), lines, [], 900 + NEAR_LINE + 0.01, 500) is None


def test_a_line_under_a_piece_is_not_meant_unless_it_shows_through() -> None:
    """Exact: 50 mm under the upper square it is hidden there, and in sight beyond its edge."""
    under, through = _line(PATH, 0.05), _line(PATH, 0.05, through=True)
    assert pick(_sight(), [under], [], 500, 500).kind == "piece"
    assert pick(_sight(), [under], [], 650, 500) == PATH
    assert pick(_sight(), [through], [], 500, 500) == PATH


def test_marks_before_laps_before_paths_before_pieces() -> None:
    """Exact: all four at one pixel."""
    mark = Mark(LEAK, np.array([0.0, 0.0, -1.0]))
    lap, path = _line(LAP, 0.1), _line(PATH, 0.1)
    assert pick(_sight(), [path, lap], [mark], 500, 500) == LEAK
    assert pick(_sight(), [path, lap], [], 500, 500) == LAP
    assert pick(_sight(), [path], [], 500, 500) == PATH
    assert pick(_sight(), [path], [mark], 500 + NEAR_MARK - 0.01, 500) == LEAK
    assert pick(_sight(), [path], [mark], 500 + NEAR_MARK + 0.01, 500) == PATH


def test_the_nearer_of_two_is_meant() -> None:
    """Exact: lines 4 px apart, marks 10 px apart."""
    one = Line(Picked("path", 1), np.array([[-0.4, 0.0, 0.11], [0.4, 0.0, 0.11]]), False)
    two = Line(Picked("path", 2), np.array([[-0.4, 0.004, 0.11], [0.4, 0.004, 0.11]]), False)
    assert pick(_sight(), [one, two], [], 450, 498.5).number == 1
    assert pick(_sight(), [one, two], [], 450, 497.5).number == 2
    marks = [Mark(Picked("leak", k + 1), np.array([0.01 * k, 0.0, 0.0])) for k in range(2)]
    assert pick(_sight(), [], marks, 504, 500).number == 1
    assert pick(_sight(), [], marks, 506, 500).number == 2


@settings(phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None, max_examples=40)
@given(st.floats(-3, 3), st.floats(0.2, 1.5), st.integers(0, 10_000))
def test_a_pixel_at_the_middle_of_a_face_that_is_seen_means_its_piece(
    azimuth: float, elevation: float, seed: int
) -> None:
    """Two ways: a face's middle, projected, is picked back, unless what is met there lies nearer."""
    stage = Stage.of(house(), title="House")
    camera = Camera.fit(View("any", azimuth, elevation), stage.target, 900, 700)
    sight = Sight(stage, camera)
    face = int(np.random.default_rng(seed).integers(len(sight.triangles)))
    middle = sight.triangles[face].mean(axis=0)
    x, y = camera.project(middle[None])[0]
    piece, height = piece_at(sight, x, y)
    towards = camera.view.axes[2]
    assert piece is not None
    assert height >= middle @ towards - 1e-6
    if height < middle @ towards + 1e-6:
        assert piece == sight.owner[face]


class Lens:
    """A camera as the graphics library has it, kept by hand."""

    def __init__(self) -> None:
        self.focus, self.place, self.scale = (0.0,) * 3, (0.0,) * 3, 1.0

    def SetFocalPoint(self, *at: float) -> None:
        self.focus = at

    def GetFocalPoint(self) -> tuple[float, ...]:
        return self.focus

    def SetPosition(self, *at: float) -> None:
        self.place = at

    def SetViewUp(self, *way: float) -> None:
        self.up = way

    def ParallelProjectionOn(self) -> None:
        self.parallel = True

    def SetParallelScale(self, scale: float) -> None:
        self.scale = scale

    def GetParallelScale(self) -> float:
        return self.scale

    def GetDirectionOfProjection(self) -> tuple[float, ...]:
        way = np.array(self.focus) - np.array(self.place)
        return tuple(way / np.linalg.norm(way))


def test_the_librarys_camera_and_ours_are_one_view() -> None:
    """Exact: there and back, points stand at the same pixels; straight down is leant by 1.5 degrees."""
    points = np.random.default_rng(1).uniform(-1, 1, (20, 3))
    for azimuth, elevation in ((0.6, 0.7), (-1.3, 0.5), (2.6, 1.1), (0.0, 0.0)):
        camera = Camera(View("one", azimuth, elevation), (0.1, 0.2, 0.3), 0.002, 800, 600)
        lens = Lens()
        send(lens, camera, 3.0)
        back = seen_from(lens, 800, 600)
        assert back.project(points) == pytest.approx(camera.project(points), abs=1e-6)
    lens = Lens()
    send(lens, Camera(FROM_ABOVE, (0, 0, 0), 0.002, 800, 600), 3.0)
    assert seen_from(lens, 800, 600).view.elevation == pytest.approx(radians(88.5))
