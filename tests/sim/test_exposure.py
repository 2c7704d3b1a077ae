"""Who sees the wind, and how it drags at what it sees. Expected values are derived: exact geometry."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from meshes.parts import Assembly, Part, Role
from sim.cast import Caster
from sim.charts import Charts
from sim.exposure import chart_exposure, chart_exposures, enclosed, exposure, exposures
from sim.film import flow_stop_shear, pull_on
from sim.shear import shear_drive, wind_shear
from sim.surface import Surface
from tests.sim.shapes import box, mapped, pitched, sheet

LINE = np.linspace(-3.0, 3.0, 13).tolist()
SIXTEEN = np.arange(16) * np.pi / 8
UP = np.array([0.0, 0.0, 1.0])


def blow(angle: float) -> np.ndarray:
    """The way of a wind: from the eaves at 0, from the right at pi/2."""
    return np.array([-np.sin(angle), np.cos(angle), 0.0])


BLOWS = np.array([blow(angle) for angle in SIXTEEN])


def level(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0 * x


@cache
def stack_on_a_plane(pitch_deg: float = 30.0) -> Charts:
    """A stack 0.6 m wide, 0.4 deep and 1 m high through the middle of a roof."""
    return Charts.of(Assembly((sheet(pitched(pitch_deg), LINE, LINE), stack())))


def stack() -> Part:
    return box((-0.3, 0.0, -0.5), (0.3, 0.4, 1.0))


def caster_of(*parts: Part) -> Caster:
    return Caster.of(Surface.of(Assembly(parts)))


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)
@given(
    tilt=st.floats(0.0, np.pi / 2),
    turn=st.floats(0.0, 2 * np.pi),
    wind=st.floats(0.0, 2 * np.pi),
)
def test_a_bare_plane_sees_all_of_any_wind(tilt: float, turn: float, wind: float) -> None:
    """Exact: nothing stands before it. Square behind the wind it sees nothing."""
    normal = np.array([np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn), np.cos(tilt)])
    first = np.array([-np.sin(turn), np.cos(turn), 0.0])
    second = np.cross(normal, first)
    ends = 4 * np.array([-first - second, first - second, 2 * second])
    caster = caster_of(Part("plane", Role.COVERING, ends, np.array([[0, 1, 2]])))
    points = np.array([0 * first, 0.5 * first, 0.3 * second])
    seen = exposure(caster, points, np.tile(normal, (3, 1)), blow(wind))
    lee = normal @ blow(wind)
    if lee < 0.95:
        assert (seen == 1.0).all()
    elif lee > 0.999:
        assert (seen == 0.0).all()


def test_a_film_under_another_sheet_sees_no_wind() -> None:
    """1 mm apart: a ray 5 degrees off the lower sheet meets the upper one within 10 mm, one 40 degrees off
    within 1 mm. 3 mm before its edge all of a wind from there is seen; of a wind from over the upper
    sheet the rays at 5 degrees are lost, a third."""
    lower = sheet(level, LINE, LINE, name="lower")
    upper = sheet(lambda x, y: level(x, y) + 1e-3, [-1, 1], [0, 1], name="upper")
    caster = caster_of(lower, upper)
    points = np.array([[0.1, y, 0.0] for y in (0.03, 0.1, 0.5, -0.003)])
    seen = exposures(caster, points, np.tile(UP, (4, 1)), BLOWS)
    assert (seen[:, :3] == 0).all()
    assert seen[0, 3] == 1
    assert seen[8, 3] == pytest.approx(2 / 3)


def test_charts_in_a_gap_see_no_wind() -> None:
    """Both walls of a gap of 1 mm, the first 6 mm from its mouth too, where rays would find the way out;
    the upper sheet's top sees all, the lower one's bare part too. Without the upper sheet all of the
    lower one is bare."""
    lower = sheet(level, np.linspace(-1, 1, 101).tolist(), [-1, 0, 0.006, 1], name="lower")
    upper = sheet(lambda x, y: level(x, y) + 1e-3, [-1, 1], [0, 1], name="upper")
    charts = Charts.of(Assembly((lower, upper)))
    seen = chart_exposure(charts, blow(0.0))
    middle = charts.surface.vertices[charts.surface.faces].mean(axis=1) + charts.surface.centre
    wet = np.arange(len(seen)) % 2 == 0
    under = np.repeat(middle[:, 1] > 0, 2)
    top = charts.part == 1
    assert (seen[~top & under & wet] == 0).all()
    assert (seen[top & ~wet] == 0).all()
    assert (seen[top & wet] == 1).all()
    assert (seen[~top & ~under & wet] == 1).all()
    bare = chart_exposure(Charts.of(Assembly((lower,))), blow(0.0))
    assert (bare[::2] == 1).all()


@pytest.mark.parametrize("pitch_deg", [0.0, 30.0])
def test_a_stack_shelters_what_lies_behind_it(pitch_deg: float) -> None:
    """The nearer the less; not before it, and not far beside it."""
    charts = stack_on_a_plane(pitch_deg)
    behind = np.array([[0.0, y, 0.0] for y in (0.45, 0.7, 1.5, 2.9)])
    beside = np.array([[-2.0, 0.2, 0.0], [2.0, 0.2, 0.0], [0.0, -1.0, 0.0]])
    points = np.concatenate([behind, beside])
    points[:, 2] = points[:, 1] * np.tan(np.radians(pitch_deg))
    normal = np.array([0.0, -np.sin(np.radians(pitch_deg)), np.cos(np.radians(pitch_deg))])
    seen = exposure(charts.caster, points, np.tile(normal, (len(points), 1)), blow(0.0))
    assert seen[0] == 0
    assert (np.diff(seen[:4]) >= 0).all()
    assert seen[0] < seen[2] < 1
    assert (seen[4:] == 1).all()


def test_each_face_of_a_stack_sees_its_own_winds() -> None:
    """Level ground: the face square to the wind sees all, the one square behind it nothing, the two
    along it all."""
    charts = stack_on_a_plane(0.0)
    points = np.array([[0.0, -1e-9, 0.5], [0.0, 0.4, 0.5], [0.3, 0.2, 0.5], [-0.3, 0.2, 0.5]])
    normals = np.array([[0.0, -1, 0], [0, 1, 0], [1, 0, 0], [-1, 0, 0]])
    from_eaves, from_right = exposures(charts.caster, points, normals, BLOWS[[0, 4]])
    assert from_eaves.tolist() == [1, 0, 1, 1]
    assert from_right.tolist() == [1, 1, 1, 0]


def test_no_wind_blows_under_a_covering() -> None:
    """A sheet 0.1 m below the roof sees out at its rims alone, though the model is open there; nor does
    a level floor under the roof, far though its rays reach."""
    roof = sheet(pitched(30.0), LINE, LINE)
    below = sheet(lambda x, y: pitched(30.0)(x, y) - 0.1, LINE, LINE, name="underlay")
    floor = sheet(lambda x, y: level(x, y) - 2.5, LINE, LINE, name="floor", role=Role.INSIDE)
    caster = caster_of(roof, below, floor)
    normal = np.array([0.0, -0.5, np.sqrt(0.75)])
    points = np.array([[0.0, 0.0, -0.1], [0.3, 1.0, np.tan(np.pi / 6) - 0.1], [1.0, 0.5, -2.5]])
    seen = exposures(caster, points, np.array([normal, normal, UP]), BLOWS)
    assert (seen == 0).all()
    at_the_eaves = np.array([[0.0, -2.99, -2.99 * np.tan(np.pi / 6) - 0.1]])
    assert exposure(caster, at_the_eaves, normal[None], blow(0.0))[0] > 0.3


def test_a_cap_over_a_wall_is_no_cover() -> None:
    """A plate that juts 40 mm out over the stack's faces: wind along or at them comes all the same."""
    cap = box((-0.34, -0.04, 1.0), (0.34, 0.44, 1.05), name="cap")
    caster = caster_of(sheet(level, LINE, LINE), stack(), cap)
    points, normal = np.array([[0.0, 0.0, 0.3]]), np.array([[0.0, -1.0, 0.0]])
    assert (exposures(caster, points, normal, BLOWS[[0, 4, 12]]) == 1).all()


def test_the_inside_of_a_solid_is_enclosed() -> None:
    """By volume; rays from inside say so too. A box with a face left out isn't, nor is a sheet."""
    whole, beside = (box((x, 0.0, 0.1), (x + 0.6, 0.4, 1.0), name=f"{x}") for x in (0.0, 2.0))
    lidless = Part("open", Role.STACK, beside.vertices, beside.faces[:-2])
    charts = Charts.of(Assembly((whole, lidless, sheet(level, [-1, 3], [-1, 1]))))
    shut = enclosed(charts)
    wet = np.arange(len(shut)) % 2 == 0
    assert (shut == (~wet & (charts.part == 0))).all()
    ends = charts.surface.vertices[charts.surface.faces[np.flatnonzero(shut) // 2]]
    middle = ends.mean(axis=1) + charts.surface.centre
    assert (exposures(charts.caster, middle, charts.normals[shut], BLOWS) == 0).all()


def test_mirrored_wind_gives_mirrored_exposure() -> None:
    """All of a detail over its middle plane, and the winds with it. Rays that graze an arris may be
    rounded to either side, so a ray in a thousand may part."""
    flip = np.array([-1.0, 1.0, 1.0])
    roof = Assembly((sheet(pitched(30.0), LINE, LINE), box((-0.2, 0, -0.5), (0.5, 0.4, 1.0))))
    mirrored = mapped(roof, lambda points: points * flip, flip=True)
    rng = np.random.default_rng(5)
    points = np.column_stack([rng.uniform(-2, 2, (400, 2)), np.zeros(400)])
    points[:, 2] = points[:, 1] * np.tan(np.pi / 6)
    normals = np.tile([0.0, -0.5, np.sqrt(0.75)], (400, 1))
    here = exposures(Caster.of(Surface.of(roof)), points, normals, BLOWS)
    there = exposures(
        Caster.of(Surface.of(mirrored)), points * flip, normals * flip, BLOWS * [-1, 1, 1]
    )
    assert (np.abs(here - there) < 1e-9).mean() > 0.999
    assert (here < 1).any()


def test_sixteen_winds_at_once_are_sixteen_winds() -> None:
    """Winds share rays but not results; and exposure changes little when the wind turns a little."""
    charts = stack_on_a_plane()
    together = chart_exposures(charts, BLOWS)
    for row, way in zip(together[::5], BLOWS[::5], strict=True):
        assert_allclose(chart_exposure(charts, way), row, rtol=0, atol=1e-12)
    on_roof = charts.part == 0
    turned = chart_exposures(charts, np.array([blow(angle + 0.01) for angle in SIXTEEN]))
    assert np.abs(turned - together)[:, on_roof].max() < 0.03
    assert ((together >= 0) & (together <= 1)).all()


def test_winds_that_are_no_directions_are_refused() -> None:
    """Our own wording: what, rule, value."""
    caster = stack_on_a_plane().caster
    for wrong in ([0.0, 5.0, 0.0], [np.nan, 0.0, 0.0], [1.0, 0.0]):
        with pytest.raises(SceneError, match="blows must be unit vectors"):
            exposure(caster, np.zeros((1, 3)), UP[None], wrong)


def test_wind_drags_along_the_face_by_the_square_of_its_speed_there() -> None:
    """Derived: C_f rho_a U_t^2 / 2 up the slope; U_t = U cos(pitch) for wind from the eaves, U for wind
    across. Half an exposure halves it."""
    charts = Charts.of(Assembly((sheet(pitched(30.0), [-1, 1], [-1, 1]),)))
    up_slope = np.array([0.0, np.sqrt(0.75), 0.5])
    seen = np.ones(len(charts.normals))
    pressure = 0.005 * 1.204 / 2 * 20.0**2
    assert_allclose(wind_shear(charts, seen, 20.0, blow(0.0))[0], 0.75 * pressure * up_slope)
    across = wind_shear(charts, seen / 2, 20.0, blow(np.pi / 2), 0.01)[0]
    assert_allclose(across, [-pressure, 0, 0], atol=1e-15)


def test_the_drive_turns_up_the_slope_at_the_stop_of_the_net_flow() -> None:
    """Derived: the gust at which C_f rho_a U_t^2 / 2 is 2/3 rho g h sin t, for 0.2 mm at 30 degrees,
    where the stop is 0.653 Pa (reference value)."""
    charts = Charts.of(Assembly((sheet(pitched(30.0), [-1, 1], [-1, 1]),)))
    seen, thick = np.ones(len(charts.normals)), np.full(len(charts.normals), 2e-4)
    stop = float(flow_stop_shear(2e-4, pull_on(np.radians(30))))
    assert stop == pytest.approx(0.653, abs=6e-4)
    gust = np.sqrt(2 * stop / (0.005 * 1.204)) / np.cos(np.radians(30))
    up_slope = np.array([0.0, np.sqrt(0.75), 0.5])
    for share in (0.999, 1.001):
        drive = shear_drive(wind_shear(charts, seen, share * gust, blow(0.0)), thick)
        net = drive[0] @ up_slope - 9.80665 / 2
        assert (net > 0) == (share > 1)
        assert abs(net) < 0.02


@pytest.mark.parametrize(
    ("gust", "drag", "seen", "words"),
    [
        (-1.0, 0.005, 1.0, "gust must be 0 or more"),
        (np.nan, 0.005, 1.0, "gust must be 0 or more"),
        (10.0, -0.1, 1.0, "drag must be 0 or more"),
        (10.0, 0.005, 1.5, "exposure must be 0 to 1"),
    ],
)
def test_bad_numbers_get_one_line(gust: float, drag: float, seen: float, words: str) -> None:
    """Our own wording: what, rule, value."""
    charts = Charts.of(Assembly((sheet(pitched(30.0), [-1, 1], [-1, 1]),)))
    with pytest.raises(SceneError, match=words):
        wind_shear(charts, np.full(len(charts.normals), seen), gust, blow(0.0), drag)
