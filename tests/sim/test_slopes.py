"""The roof's slopes: plain, in courses, wavy, through a ridge, a valley, a hip."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.slope import Slopes
from sim.surface import Surface
from tests.sim.shapes import pitched, sheet, turned

GAUGE = 0.3
NEAR = 0.1  # [degrees] to which a wavy roof's pitch is told


def slopes_of(*parts: Part) -> Slopes:
    slopes = Slopes.of(Surface.of(Assembly(parts)))
    assert slopes is not None
    return slopes


def wave(kind: str, x: np.ndarray, *, depth: float = 0.03, period: float = 0.2) -> np.ndarray:
    """Height of a profile at x: pointed, or with flat crests and troughs [m]."""
    share = np.abs((x / period) % 1 - 0.5) * 2
    return depth * (share if kind == "pointed" else np.clip(2 * share - 0.5, 0, 1))


def profiled(
    kind: str,
    pitch_deg: float,
    *,
    courses: int = 8,
    hole: bool = False,
    ridge_at: float = np.inf,
    nose: float = 0.02,
) -> Part:
    """Wavy courses, each `nose` thick at its lower edge, with an upright face there; beyond a ridge at
    y = ridge_at they fall the other way. A hole is 0.6 m wide, from y = 0.9 to 1.3."""
    run = GAUGE * np.cos(np.radians(pitch_deg))
    xs = np.unique(np.append(np.arange(-1.5, 1.5 + 1e-9, 0.025), [-0.3, 0.3]))
    ys = np.unique(np.append(np.arange(courses + 1) * run, [0.9, 1.3] if hole else []))
    tilt = np.tan(np.radians(pitch_deg)) - nose / run
    points, faces = [], []

    def height(x: np.ndarray, y: np.ndarray, own: np.ndarray) -> np.ndarray:
        """Of course `own`, at (x, y)."""
        noses = own * run * np.tan(np.radians(pitch_deg))
        return noses + (y - own * run) * tilt + wave(kind, x)

    def quad(a: list[float], b: list[float], c: list[float], d: list[float]) -> None:
        faces.extend([[len(points) + k for k in rows] for rows in ((0, 1, 2), (0, 2, 3))])
        points.extend([a, b, c, d])

    for low, high in pairwise(ys):
        own = np.floor(low / run + 1e-9)
        for left, right in pairwise(xs):
            if hole and abs(left + right) < 0.6 and 0.9 <= low < 1.3 - 1e-9:
                continue
            ends = [(left, low), (right, low), (right, high), (left, high)]
            quad(*([x, y, float(height(x, y, own))] for x, y in ends))
            if own > 0 and abs(low - own * run) < 1e-9:
                below = [[x, low, float(height(x, low, own - 1))] for x in (left, right)]
                above = [[x, low, float(height(x, low, own))] for x in (right, left)]
                quad(*below, *above)
    made = np.array(points)
    if ridge_at < np.inf:
        # The other side is the mirror image of this one, up to the ridge.
        keep = made[np.array(faces)][:, :, 1].max(axis=1) <= ridge_at + 1e-9
        face = np.array(faces)[keep]
        image = made * [1, -1, 1] + [0, 2 * ridge_at, 0]
        both = np.concatenate([face, face[:, ::-1] + len(made)])
        return Part("covering", Role.COVERING, np.concatenate([made, image]), both)
    return Part("covering", Role.COVERING, made, np.array(faces))


@pytest.mark.parametrize("kind", ["pointed", "flat"])
@pytest.mark.parametrize("pitch_deg", [12, 17.5, 30, 45])
@pytest.mark.parametrize("hole", [False, True])
def test_a_wavy_roof_in_courses_has_the_pitch_of_its_rafters(
    kind: str, pitch_deg: float, hole: bool
) -> None:
    """Derived: the noses' troughs lie on one plane of that pitch, whatever the wave."""
    (slope,) = slopes_of(profiled(kind, pitch_deg, hole=hole)).each
    assert np.degrees(slope.pitch) == pytest.approx(pitch_deg, abs=NEAR)
    assert slope.along_x == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("kind", ["pointed", "flat"])
def test_a_wavy_sheet_without_courses_has_its_own_pitch(kind: str) -> None:
    """Derived: over whole waves the sides' falls cancel; what is left is the sheet's fall."""
    made = sheet(
        lambda x, y: wave(kind, x) + y * np.tan(np.radians(15)),
        np.arange(-1.5, 1.51, 0.025),
        [0, 1, 2],
        without=tuple((i, 1) for i in range(53, 67)),
    )
    (slope,) = slopes_of(made).each
    assert np.degrees(slope.pitch) == pytest.approx(15, abs=NEAR)


@pytest.mark.parametrize("turn_deg", [0, 37, 90])
def test_turned_about_the_upright_a_wavy_roof_keeps_its_pitch(turn_deg: float) -> None:
    """Derived: a pitch hangs on no axis; the plane's rise turns with it."""
    part = profiled("pointed", 25)
    angle = np.radians(turn_deg)
    spun = Part(part.name, part.role, turned(part.vertices, angle), part.faces)
    (slope,) = slopes_of(spun).each
    assert np.degrees(slope.pitch) == pytest.approx(25, abs=NEAR)
    way = np.array([-np.sin(angle), np.cos(angle)]) * np.tan(np.radians(25))
    assert np.array([slope.along_x, slope.along_y]) == pytest.approx(way, abs=2e-3)


@pytest.mark.parametrize("pitch_deg", [10, 30, 60])
@pytest.mark.parametrize("ends", [(-2, 2), (-2, 0.3), (-0.2, 2)])
def test_a_ridge_parts_two_slopes(pitch_deg: float, ends: tuple[float, float]) -> None:
    """By construction: z = -|y| tan(pitch); a point is of the slope that it is over, also high above
    the roof and right beside the ridge."""
    rise = np.tan(np.radians(pitch_deg))
    across, along = [-1.5, -0.3, 0.3, 1.5], [ends[0], 0, ends[1]]
    made = sheet(lambda x, y: -rise * np.abs(y) + 0 * x, across, along)
    surface = Surface.of(Assembly((made,)))
    slopes = Slopes.of(surface)
    assert slopes is not None
    front, back = slopes.at(np.array([[0.1, -0.05, 2.0], [0.1, 0.05, 0.0]]) - surface.centre)
    assert sorted((front, back)) == [0, 1]
    assert slopes.each[front].along_y == pytest.approx(rise, abs=1e-12)
    assert slopes.each[back].along_y == pytest.approx(-rise, abs=1e-12)
    points = np.array([[0.0, -0.1, 0.0], [0.0, 0.1, 0.0]]) - surface.centre
    ways = slopes.along(points, np.array([[0.2, 0.1, 5.0], [0.2, 0.1, 5.0]]))
    assert ways == pytest.approx(np.array([[0.2, 0.1, 0.1 * rise], [0.2, 0.1, -0.1 * rise]]))
    assert np.degrees(slopes.pitches(points)) == pytest.approx([pitch_deg, pitch_deg])


@pytest.mark.parametrize("kind", ["pointed", "flat"])
@pytest.mark.parametrize("pitch_deg", [15, 40])
def test_a_ridge_parts_wavy_slopes_too(kind: str, pitch_deg: float) -> None:
    """By construction: the same courses up to a ridge from both sides."""
    ridge = 5 * GAUGE * np.cos(np.radians(pitch_deg))
    slopes = slopes_of(profiled(kind, pitch_deg, ridge_at=ridge))
    assert len(slopes.each) == 2
    for slope in slopes.each:
        assert np.degrees(slope.pitch) == pytest.approx(pitch_deg, abs=NEAR)
    assert slopes.each[0].along_y == pytest.approx(-slopes.each[1].along_y, abs=2e-3)


def test_slopes_of_other_shapes() -> None:
    """By construction: a valley and a hip have two slopes, a pyramid four, a roof that steepens two,
    a level roof one."""
    line = [-2, -1, 0, 1, 2]
    assert len(slopes_of(sheet(lambda x, y: 0.5 * np.abs(y) + 0 * x, line, line)).each) == 2
    assert len(slopes_of(sheet(lambda x, y: np.minimum(x, y), line, line)).each) == 2
    steep = sheet(lambda x, y: np.where(y < 0, 2.5 * y, 0.6 * y) + 0 * x, line, line)
    assert len(slopes_of(steep).each) == 2
    (level,) = slopes_of(sheet(lambda x, y: 0 * x, line, line)).each
    assert level.pitch == 0.0
    apex = np.array([[1, 1, 0], [-1, 1, 0], [-1, -1, 0], [1, -1, 0], [0, 0, 0.7]])
    faces = np.array([(k, (k + 1) % 4, 4) for k in range(4)])
    pyramid = slopes_of(Part("roof", Role.COVERING, apex, faces))
    assert np.tan([slope.pitch for slope in pyramid.each]) == pytest.approx(4 * [0.7])


def test_one_plane_cut_up_is_one_slope() -> None:
    """Derived: however many triangles, one fall."""
    cut = sheet(pitched(22), np.linspace(-1, 1, 40), np.linspace(0, 3, 50))
    (slope,) = slopes_of(cut).each
    assert np.degrees(slope.pitch) == pytest.approx(22, abs=1e-9)
