"""The covering: real courses that step down onto each other, cut out round the stack."""

from __future__ import annotations

from math import atan, cos, degrees, radians, tan

import numpy as np
import pytest
import trimesh

from meshes.build import build
from meshes.layout import layout_of
from meshes.line import between, height, offset
from meshes.rules import lap_for_rise, underlay_lap
from tests.meshes.details import COVERINGS, detail


@pytest.mark.parametrize("covering", ["plain tiles", "interlocking"])
@pytest.mark.parametrize("pitch", [20, 40, 50])
def test_each_course_steps_down_onto_the_next(covering: str, pitch: float) -> None:
    """Exact: a nose's underside lies one gap above the course below it, square to it."""
    layout = layout_of(detail(pitch, covering))
    courses = layout.courses
    for index in range(1, len(courses.courses)):
        course = courses.courses[index]
        above = course.nose_z - course.depth - courses.top_of(index - 1, course.nose_y)
        gaps = above * cos(atan(courses.slope)) / layout.detail.gap
        assert gaps == pytest.approx(4 if index == courses.over_gutter else 1, abs=1e-6)
        gauge = (course.nose_y - courses.courses[index - 1].nose_y) / cos(radians(pitch))
        assert gauge == pytest.approx(layout.detail.roof.gauge)


def test_courses_lie_flatter_than_the_rafters() -> None:
    """A plain tile lies about 7 degrees, an interlocking one about 4 degrees flatter: thickness over
    gauge (derived; trade guidance gives about 10 and 5 degrees, camber and battens included, seen)."""
    plain, interlocking = (layout_of(detail(40, name)).courses for name in list(COVERINGS)[:2])
    assert 40 - degrees(atan(plain.slope)) == pytest.approx(degrees(atan(0.12)))
    assert 40 - degrees(atan(interlocking.slope)) == pytest.approx(degrees(atan(25 / 345)))


@pytest.mark.parametrize("covering", COVERINGS)
def test_covering_is_closed_and_clear_of_the_stack(covering: str) -> None:
    """Every course is a closed body (its volume is positive), and none comes nearer than cut."""
    made = build(detail(40, covering))
    part = made["covering"]
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    assert mesh.is_watertight
    assert mesh.volume > 0
    samples = mesh.triangles_center
    inside = (np.abs(samples[:, 0]) < 0.295 + 0.0099) & (samples[:, 1] > -0.0099)
    assert not (inside & (samples[:, 1] < 0.440)).any()


def test_a_course_starts_over_the_gutter() -> None:
    """The covering's nose hangs 40 mm of slope above the end of the sole, over the leg."""
    layout = layout_of(detail(40))
    course = layout.courses.courses[layout.courses.over_gutter]
    run = (course.nose_y - layout.courses.sole_end[0]) / cos(radians(40))
    assert run == pytest.approx(0.040)


def test_offset_line_is_parallel() -> None:
    """Exact: each leg of an offset section keeps its direction and stands off by the distance."""
    line = layout_of(detail(40)).courses.weather_line()
    moved = offset(line, 0.003)
    legs, moved_legs = np.diff(line, axis=0), np.diff(moved, axis=0)
    cross = legs[:, 0] * moved_legs[:, 1] - legs[:, 1] * moved_legs[:, 0]
    assert np.abs(cross).max() < 1e-12
    apart = moved[:-1] - line[:-1]
    square = legs[:, 0] * apart[:, 1] - legs[:, 1] * apart[:, 0]
    assert square / np.linalg.norm(legs, axis=1) == pytest.approx(np.full(len(legs), 0.003))


def test_line_between_marks() -> None:
    """Exact: a cut section starts, ends and is marked where asked; beyond the line it says so."""
    line = np.array([(0.0, 0.0), (1.0, 0.5), (1.0, 0.8), (2.0, 1.0)])
    part = between(line, 0.5, 1.5, [0.75, 3.0])
    assert part.tolist() == [[0.5, 0.25], [0.75, 0.375], [1.0, 0.5], [1.0, 0.8], [1.5, 0.9]]
    assert height(line, 1.0) == 0.5
    with pytest.raises(ValueError, match="line runs"):
        between(line, -0.5, 1.0)


@pytest.mark.parametrize(("pitch", "printed"), [(11, 390), (15, 290), (17.5, 250), (22, 200)])
def test_lap_rule_against_the_handbook_row(pitch: float, printed: float) -> None:
    """Lap that rises 75 mm, printed in mm for four pitches: trade guidance citing the sheet-lead
    manual (seen). The handbook rounds to 10 mm, at most 1 %: 393 to 390, 249 to 250."""
    assert lap_for_rise(radians(pitch)) * 1000 == pytest.approx(printed, rel=0.01)


def test_lap_rule_has_a_floor() -> None:
    """150 mm from 30 degrees up (same source, seen)."""
    assert lap_for_rise(radians(30)) == pytest.approx(0.150)
    assert lap_for_rise(radians(45)) == 0.150
    with pytest.raises(ValueError, match="pitch must be above 0 to 90 degrees"):
        lap_for_rise(0.0)


def test_underlay_laps() -> None:
    """Unsupported: 100 mm from 35 degrees, 150 from 15, 225 below (trade guidance, seen)."""
    steps = [(40, 0.1), (35, 0.1), (34, 0.15), (15, 0.15), (14, 0.225)]
    assert [underlay_lap(radians(pitch)) for pitch, _ in steps] == [lap for _, lap in steps]


def test_the_underlay_still_falls_over_the_tilt_fillet() -> None:
    """At 20 degrees, the flattest shipped pitch, every face of the upper sheet still falls."""
    for pitch in (20, 50):
        part = build(detail(pitch))["upper underlay"]
        corners = part.vertices[part.faces]
        normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        fall = -normals[:, 1] / normals[:, 2]
        assert fall.min() > tan(radians(5))
