"""Amounts on surfaces: exact where geometry and Nusselt's film give them, and what the findings say."""

from __future__ import annotations

from functools import cache
from math import cos, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from scenes.faults.apply import with_faults
from scenes.field_cells import Cells, barycentric
from scenes.field_head import pressures
from scenes.field_laps import laps_field
from scenes.field_water import film_of, running_on, thinnest_whole, water_field, wet_share
from scenes.progress import Remarks
from scenes.run import Result, run
from scenes.scene import in_weather, load
from scenes.stage_fields import (
    Field,
    check_field,
    even_scale,
    field_of,
    fields_of,
    figure,
    ratio_scale,
)
from sim.charts import Charts
from sim.film import nusselt_thickness
from sim.gap_surface import storm_surface
from sim.ground import Ground
from sim.rain import rain
from sim.water import GRAVITY
from sim.wind import stagnation_pressure
from tests.scenes.picture_house import PITCH, on_slope, sheet

RAIN = 75 / 3.6e6
LONG = 2.0
QUIET = Remarks(quiet=True)


def slab(
    name: str, role: Role, low: float, high: float, above: float = 0.0, half: float = 0.6
) -> Any:
    """A plane sheet on the slope, from `low` to `high` along it, `above` it [m]."""
    corners = [(-half, low), (half, low), (half, high), (-half, high)]
    return sheet(name, role, [on_slope(x, s, above) for x, s in corners])


@cache
def on_a_plane() -> Any:
    """Rain on a bare slope of 2 m, as `run` would have it."""
    charts = Charts.of(Assembly((slab("covering", Role.COVERING, 0.0, LONG),)))
    drops = rain(charts, 12_000, seed=1, rain_m_s=RAIN)
    weather = SimpleNamespace(gust=0.0)
    return SimpleNamespace(charts=charts, drops=drops, scene=SimpleNamespace(weather=weather))


@cache
def wrong_cottage() -> Result:
    """The cottage with 90 mm less of its left cover, in a gale."""
    scene = in_weather(load("cottage"), case_name="driving", from_deg=None)
    return run(with_faults(scene, ["cover too narrow@left=90"]), drops=600, seed=0, remarks=QUIET)


def areas(triangles: np.ndarray) -> np.ndarray:
    a, b, c = (triangles[:, k] for k in range(3))
    return np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2


def test_cells_fill_their_faces_and_are_found_by_place() -> None:
    """Exact: areas add up face by face, normals stay; a place in a cell leads to that cell."""
    rng = np.random.default_rng(5)
    faces = rng.uniform(-1, 1, (12, 3, 3))
    cells = Cells.of(faces, (np.full(3, -0.3), np.full(3, 0.3)), 0.1)
    assert np.bincount(cells.face, cells.areas) == pytest.approx(areas(faces))
    across = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])[cells.face]
    own = np.cross(
        cells.corners[:, 1] - cells.corners[:, 0], cells.corners[:, 2] - cells.corners[:, 0]
    )
    assert ((own * across).sum(axis=1) > 0).all()
    inside = rng.dirichlet([1, 1, 1], len(cells.face))
    points = np.einsum("ck,ckx->cx", inside, cells.corners)
    where = barycentric(points, faces[cells.face])
    assert (cells.at(cells.face, where) == np.arange(len(cells.face))).all()
    middle = cells.corners.mean(axis=1)
    near = (np.abs(middle) < 0.3).all(axis=1)
    sides = np.linalg.norm(cells.corners - np.roll(cells.corners, 1, axis=1), axis=2).max(axis=1)
    assert sides[near].max() <= 0.1 < sides.max()


def test_flow_and_film_on_a_plane_are_those_of_nusselt() -> None:
    """Exact: in steady rain i, at a length l below the top, q = i cos(pitch) l per metre of breadth, and
    the film is (3 nu q / (g sin(pitch)))^(1/3); eight hundred drops or more cross a band, so 10 % is
    three standard errors of the least of them."""
    result = on_a_plane()
    running = running_on(result)
    middle = running.corners.mean(axis=1) + result.charts.surface.centre
    below = LONG - middle[:, 1] / cos(PITCH)
    middling = np.abs(middle[:, 0]) < 0.5
    field = water_field(result, "film")
    for length in (0.5, 1.0, 1.5):
        band = middling & (np.abs(below - length) < 0.1)
        size = areas(running.corners[band])
        due = RAIN * cos(PITCH) * length
        assert (running.flow[band] @ size) / size.sum() == pytest.approx(due, rel=0.1)
        film = 1000 * float(nusselt_thickness(due, GRAVITY * sin(PITCH)))
        assert np.median(field.values[band]) == pytest.approx(film, rel=0.06)
    assert running.way[middling].mean(axis=0) == pytest.approx(
        [0, -cos(PITCH), -sin(PITCH)], abs=0.01
    )


def test_rills_wet_the_share_that_carries_the_water() -> None:
    """Derived: as much water as the thinnest whole film carries wets all, half of it half; that film is
    0.4 mm on a slope of 40 degrees (by hand: 15 * 0.0728 * 0.5 * 1e-12 / 1000 / 6.3^2, to the power 1/5)."""
    pull = np.full(3, GRAVITY * sin(PITCH))
    whole = thinnest_whole(pull)
    assert whole[0] == pytest.approx(0.42e-3, rel=0.02)
    carried = pull * whole**3 / (3 * 1.0e-6)
    share = wet_share(carried * [0.5, 1.0, 3.0], pull, np.zeros(3))
    assert share == pytest.approx([0.5, 1.0, 1.0], rel=0.02)
    assert film_of(np.array([carried[0]]), pull[:1], np.zeros(1)) == pytest.approx(
        whole[:1], rel=0.02
    )


def test_pressure_in_a_lap_falls_evenly_from_its_open_edge() -> None:
    """Exact: in a gap of one breadth the pressure is harmonic, so it falls in a straight line from the
    wind's at the edge to nought at the other; in the open a face at the pitch takes the sine of it."""
    low = slab("covering", Role.COVERING, 0.0, 1.0)
    high = slab("cover", Role.FLASHING, 0.3, 0.9, 0.002)
    charts = Charts.on(Ground.of(storm_surface(Assembly((low, high)), size=0.035)))
    in_gaps, in_the_open = pressures(charts, np.array([0.0, 1.0, 0.0]))
    surface = charts.surface
    up = (surface.vertices[surface.faces].mean(axis=1) + surface.centre)[:, 1] / cos(PITCH)
    across = (surface.vertices[surface.faces].mean(axis=1) + surface.centre)[:, 0]
    # Far from the open ends at the sides, where the wind blows past.
    rows = (surface.face_part == 1) & (np.abs(across) < 0.15)
    assert np.isfinite(in_gaps[rows]).all()
    near, far = rows & (up < 0.36), rows & (up > 0.84)
    assert in_gaps[near].mean() > 0.8
    assert in_gaps[far].mean() < 0.15
    assert np.corrcoef(up[rows], in_gaps[rows])[0, 1] < -0.98
    assert rows.sum() > 20
    bare = (surface.face_part == 0) & (up < 0.2) & np.isnan(in_gaps)
    assert in_the_open[bare] == pytest.approx(sin(PITCH), abs=0.02)


def test_the_head_is_never_more_than_the_winds_own() -> None:
    """Derived: its stagnation pressure as a column of water; the stack's front, square to it, has all."""
    field = field_of(wrong_cottage(), "head")
    most = 1000 * stagnation_pressure(23.7) / (1000 * GRAVITY)
    assert field.values.max() == pytest.approx(most, rel=0.02)
    assert field.values.min() >= 0
    stack = field.of(["stack"])
    normals = np.cross(stack.triangles[:, 1] - stack.triangles[:, 0],
                       stack.triangles[:, 2] - stack.triangles[:, 0])  # fmt: skip
    square = normals[:, 1] / np.linalg.norm(normals, axis=1) < -0.99
    square &= stack.triangles[:, :, 2].mean(axis=1) > 0.3
    assert np.median(stack.values[square]) == pytest.approx(most, rel=0.02)


def test_laps_have_the_values_of_the_findings() -> None:
    """Derived: each value is a lap's length over its need; the left cover's over the covering is 60 mm of
    150, and is shown on about as much as its 60 mm by the stack's depth."""
    result = wrong_cottage()
    field = laps_field(result)
    shares = {round(100 * lap.length / lap.needed, 6) for lap in result.findings.laps}
    assert set(np.round(field.values, 6)) <= shares
    left = field.of(["left side flashing"])
    short = np.abs(left.values - 40) < 1
    assert 0.06 * 0.4 < areas(left.triangles[short]).sum() < 0.06 * 0.9
    assert "stack" not in {field.parts[n] for n in np.unique(field.part)}


def test_every_field_of_a_result_and_what_can_not_be_shown() -> None:
    """Derived: a gale gives all five; still air has no head, and a field nobody knows is one line."""
    assert [field.name for field in fields_of(wrong_cottage())] == [
        "flow", "film", "head", "wetness", "laps",
    ]  # fmt: skip
    with pytest.raises(SceneError, match=r"The head needs a wind.*Got still air"):
        check_field("head", load("cottage").weather)
    with pytest.raises(SceneError, match="field must be one of flow, film, head, wetness, laps"):
        field_of(wrong_cottage(), "heat")


def test_a_field_in_order() -> None:
    """Derived: places on both kinds of scale, by hand; nonsense is refused."""
    tri = np.zeros((2, 3, 3))
    part = np.zeros(2, dtype=np.int32)

    def made(low: float, high: float, values: list[float], *, log: bool) -> Field:
        return Field("flow", "", "mm", low, high, (), log, tri, np.array(values), "", ("a",), part)

    assert made(0, 4, [1, 9], log=False).place([1, 9, -1]) == pytest.approx([0.25, 1, 0])
    assert made(1, 100, [10, 1], log=True).place([10, 0.1, 1]) == pytest.approx([0.5, 0, 0])
    for low, high, log in ((1, 1, False), (0, 1, True)):
        with pytest.raises(SceneError, match="scale of flow must be rising"):
            made(low, high, [1, 1], log=log)
    with pytest.raises(SceneError, match="values of flow must be finite"):
        made(0, 1, [1, float("nan")], log=False)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0, "0"), (0.0342, "0.034"), (0.5, "0.5"), (1.25, "1.2"), (87.4, "87"), (1234, "1200"), (9.96, "10")],
)  # fmt: skip
def test_figures_in_words(value: float, text: str) -> None:
    """Two figures, no digit that means nothing."""
    assert figure(value) == text


@pytest.mark.parametrize("most", [0.013, 0.4, 1.0, 7.3, 35, 99, 1200])
def test_scales_hold_their_values(most: float) -> None:
    """Derived: the ends are ticks; an even scale wastes less than a half, has two to seven ticks."""
    low, high, ticks = even_scale(most)
    assert (low, high) == (ticks[0][0], pytest.approx(ticks[-1][0]))
    assert most <= high * (1 + 1e-9) <= 2 * most + 1e-9
    assert 2 <= len(ticks) <= 7
    low, high, ticks = ratio_scale(np.array([most / 50, most]), decades=2)
    assert high == pytest.approx(100 * low)
    assert most * 0.98 <= high <= 2.6 * most
    assert [text.endswith(("less", "more")) for _, text in ticks] == [True, False, True]


def test_where_nothing_runs_there_is_nothing_to_show() -> None:
    """One line: rain that only ever meets the dry side of a sheet that is upside down."""
    part = slab("covering", Role.COVERING, 0.0, LONG)
    turned = type(part)(part.name, part.role, part.vertices, part.faces[:, ::-1])
    charts = Charts.of(Assembly((turned,)))
    drops = rain(charts, 50, seed=1, rain_m_s=RAIN)
    scene = SimpleNamespace(weather=SimpleNamespace(gust=0.0))
    with pytest.raises(SceneError, match="There is no water to show"):
        running_on(SimpleNamespace(charts=charts, drops=drops, scene=scene))
