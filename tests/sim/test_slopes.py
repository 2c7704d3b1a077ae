"""The roof's slopes: plain, in courses, wavy, through a ridge, a valley, a hip."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.slope import Slopes
from sim.surface import Surface
from tests.sim.shapes import pitched, sheet, turned
from tests.sim.wavy import GAUGE, profiled, wave

NEAR = 0.1  # [degrees] to which a wavy roof's pitch is told


def slopes_of(*parts: Part) -> Slopes:
    slopes = Slopes.of(Surface.of(Assembly(parts)))
    assert slopes is not None
    return slopes


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


@pytest.mark.parametrize("two", [False, True])
@pytest.mark.parametrize(
    ("kind", "pitch_deg", "shape", "gauge", "courses"),
    [
        ("flat", 10.5, (0.043, 0.322), 0.19, 4),
        ("flat", 10.7, (0.049, 0.207), 0.32, 9),
        ("pointed", 10.8, (0.034, 0.167), 0.34, 4),
        ("pointed", 14.2, (0.044, 0.286), 0.15, 5),
        ("flat", 22.8, (0.042, 0.246), 0.12, 6),
        ("pointed", 50.0, (0.050, 0.100), 0.30, 5),
    ],
)
def test_deep_waves_at_a_low_pitch_make_no_slopes_of_their_own(
    kind: str, pitch_deg: float, shape: tuple[float, float], gauge: float, courses: int, two: bool
) -> None:
    """By construction: waves deeper than a course rises, odd gauges and periods: one slope, or two with
    a ridge, as steep as the rafters."""
    rise = np.radians(pitch_deg)
    nose = min(0.02, gauge * np.sin(rise) / 2)
    ridge = courses * gauge * np.cos(rise) if two else np.inf
    made = profiled(
        kind, pitch_deg, courses=courses, gauge=gauge, shape=shape, nose=nose, ridge_at=ridge
    )
    slopes = slopes_of(made)
    assert len(slopes.each) == 1 + two
    for slope in slopes.each:
        assert np.degrees(slope.pitch) == pytest.approx(pitch_deg, abs=NEAR)


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
