"""Hollows: how high water stands in them, how much, where it spills, and that none is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.ponds import Ponds
from sim.rain import Drops, rain
from sim.trace import trace
from tests.sim.hollows import all_gone, basin, gutter, pond_under, pyramid
from tests.sim.shapes import box, in_four, mapped, pitched, sheet, turned

RAIN = 75 / 3.6e6


@pytest.mark.parametrize("pitch_deg", [0.0, 5.0, 15.0])
def test_a_hollow_of_four_planes_fills_to_its_lowest_side(pitch_deg):
    """Exact geometry: water to the lower edge is a cone over a trapezium from the lowest point.

    The level through the lower edge, y = -h, cuts the two upper ridges of the pyramid at the share
    t = (L + d) / (r h + d) of their length from the bottom.
    """
    half, deep, rise = 0.5, 0.2, np.tan(np.radians(pitch_deg))
    level = -rise * half
    t = (level + deep) / (rise * half + deep)
    area = (2 * half + 2 * half * t) / 2 * (half + half * t)
    charts = Charts.of(Assembly((pyramid(pitch_deg),)))
    ponds, pond, end = pond_under(charts, 0.1, 0.05, 1.0)
    assert ponds.level[pond] == pytest.approx(level, abs=1e-9)
    assert ponds.floor[pond] == pytest.approx(-deep, abs=1e-9)
    assert ponds.volume[pond] == pytest.approx(area * (level + deep) / 3, abs=1e-9)
    assert ponds.depth[pond] == pytest.approx(level + deep, abs=1e-9)
    if pitch_deg > 0:
        assert ponds.area[pond] == pytest.approx(area, abs=1e-9)
        np.testing.assert_allclose(ponds.spill_point[pond], [0, -half, level], atol=1e-9)
        on = ponds.spill(np.array([pond]), end)
        assert charts.points(on.chart, on.where)[0, 1] < -half


@pytest.mark.parametrize("side", range(4))
def test_a_lower_rim_at_one_side_lets_the_water_out_there(side):
    """Exact geometry: one corner of the middle of a box's rim lowered, turned to each side."""
    turn = side * np.pi / 2
    parts = [basin(), box((-1, -1, -1.1), (1, 1, -1.0), name="ground")]
    assembly = mapped(Assembly(tuple(parts)), lambda p: turned(p, turn))
    charts = Charts.of(assembly)
    ponds, pond, _ = pond_under(charts, 0.01, 0.02, 1.0)
    assert ponds.level[pond] == pytest.approx(0.25, abs=1e-9)
    notch = turned(np.array([0.0, -0.4, 0.25]), turn)
    np.testing.assert_allclose(ponds.spill_point[pond], notch, atol=1e-9)
    left, stays, _ = all_gone(charts, rain(charts, 500, seed=1, rain_m_s=RAIN))
    assert stays == 0
    assert left > 0


@pytest.mark.parametrize(("front", "back", "over"), [(0.10, 0.15, 0.0), (0.15, 0.10, 0.2)])
def test_a_gutter_shut_at_both_ends_spills_over_its_lower_wall(front, back, over):
    """Exact geometry: 2 m x 0.2 m x 0.1 m, and y of the lower wall; each drop goes over abreast of
    where it was held."""
    charts = Charts.of(gutter(front, back))
    ponds, pond, end = pond_under(charts, 0.3, 0.1, 0.4)
    assert ponds.level[pond] == pytest.approx(0.1, abs=1e-9)
    assert ponds.volume[pond] == pytest.approx(2 * 0.2 * 0.1, abs=1e-9)
    assert ponds.area[pond] == pytest.approx(2 * 0.2, abs=1e-9)
    np.testing.assert_allclose(ponds.spill_point[pond], [0, over, 0.1], atol=1e-9)
    on = ponds.spill(np.array([pond]), end)
    np.testing.assert_allclose(on.rim[0], [0.3, over, 0.1], atol=1e-9)
    drop = Drops(
        charts.points(on.chart, on.where), on.chart, on.where, np.ones(1), np.zeros(1, int), 1
    )
    got = trace(charts, drop)
    assert got.fate[0] == Fate.SHED
    assert got.touched(charts.surface.part_names.index("roof"))[0]


def test_water_under_a_wall_that_leans_over_it_is_measured_exactly():
    """Exact geometry: a trapezium 200 mm wide at the sole and 150 mm at the top, 100 mm high."""
    charts = Charts.of(gutter(0.10, 0.15, lean=0.05))
    ponds, pond, _ = pond_under(charts, 0.3, 0.1, 0.4)
    assert ponds.volume[pond] == pytest.approx(2 * (0.2 + 0.15) / 2 * 0.1, abs=1e-9)
    assert ponds.area[pond] == pytest.approx(2 * 0.15, abs=1e-9)


def test_water_held_amid_a_long_level_crease_lies_in_its_hollow():
    """By construction: the corner of its chart that is nearest to it lies above the rim, out of the
    hollow. A slope of 1 in 1 against a wall of 100 mm: a triangular prism 2 m long."""
    points = [(-1, 0, 0), (1, 0, 0), (-1, 0.2, 0.2), (0, 0.2, 0.2), (1, 0.2, 0.2)]
    points += [(-1, 0, 0.1), (0, 0, 0.1), (1, 0, 0.1)]
    faces = [(0, 1, 3), (0, 3, 2), (1, 4, 3), (0, 6, 1), (0, 5, 6), (1, 6, 7)]
    gully = Part("gully", Role.FLASHING, np.array(points, float), np.array(faces))
    ends = [box((x, -0.1, -0.1), (x + 0.2, 0.4, 0.5), name=f"{x}") for x in (-1.2, 1.0)]
    charts = Charts.of(Assembly((gully, *ends)))
    ponds, pond, end = pond_under(charts, 0.02, 0.05, 0.4)
    np.testing.assert_allclose(end[0], [0.02, 0.0, 0.0], atol=1e-9)
    assert ponds.volume[pond] == pytest.approx(2 * 0.1 * 0.1 / 2, abs=1e-9)


def test_what_must_stay_dry_is_a_way_out():
    """By construction: a basin that is itself the inside never fills; every drop in it has leaked."""
    part = basin()
    inside = Part("inside", Role.INSIDE, part.vertices, part.faces)
    assert Ponds.of(Charts.of(Assembly((inside,)))).depth.max(initial=0.0) == 0
    assert Ponds.of(Charts.of(Assembly((part,)))).depth.max() == pytest.approx(0.25, abs=1e-9)


def test_a_hollow_may_spill_at_the_far_end_of_a_level_crest():
    """By construction: from the pit at x = -1 the only pass, at 0, is the near end of a level groove; its
    water leaves at the far end, at 1."""
    x = [-2, -1, 0, 1, 2]

    def height(xs, ys):
        row = np.interp(xs, x, [1.0, 0.0, 0.2, 0.2, -1.0])
        return np.where(np.abs(ys) < 0.9, row, np.maximum(row, 1.0))

    charts = Charts.of(Assembly((sheet(height, x, [-1, 0, 1]),)))
    ponds, pond, end = pond_under(charts, -1.0, 0.0, 2.0)
    assert ponds.level[pond] == pytest.approx(0.2, abs=1e-12)
    np.testing.assert_allclose(ponds.spill_point[pond], [1.0, 0.0, 0.2], atol=1e-9)
    on = ponds.spill(np.array([pond]), end)
    assert charts.points(on.chart, on.where)[0, 0] > 1.0


def test_a_gutter_with_free_ends_is_no_hollow():
    """By construction: water on its level sole leaves at a free edge, and stands at no depth."""
    charts = Charts.of(gutter(0.1, 0.15, ends=False))
    ponds, pond, _ = pond_under(charts, 0.3, 0.1, 0.4)
    assert ponds.depth[pond] == pytest.approx(0, abs=1e-12)
    assert ponds.volume[pond] == pytest.approx(0, abs=1e-15)
    assert abs(ponds.spill_point[pond][0]) == pytest.approx(1.0)


def terraces(low_wall: float) -> Part:
    """Two pits side by side in a sheet that stands free: the pass between them at 0.2, the way out,
    at the right, at `low_wall`."""
    x = [-3, -2, -1, 0, 1, 2, 3]
    row = np.array([1.0, 1.0, 0.0, 0.2, -0.3, low_wall, -1.0])

    def height(xs, ys):
        inner = np.interp(xs, x, row)
        return np.where(np.abs(ys) < 0.9, inner, np.maximum(inner, 1.0))

    return sheet(height, x, [-1, 0, 1])


def test_two_hollows_that_lead_into_each_other_are_one():
    """Exact: with the way out above the pass both fill to it; below the pass the upper spills into
    the lower and both stand at their own rim."""
    joint = Charts.of(Assembly((terraces(0.5),)))
    ponds, left, _ = pond_under(joint, -1.0, 0.0, 2.0)
    _, right, _ = pond_under(joint, 1.0, 0.0, 2.0)
    assert left == right
    assert ponds.level[left] == pytest.approx(0.5, abs=1e-12)
    assert ponds.spill_point[left][0] == pytest.approx(2.0)

    apart = Charts.of(Assembly((terraces(0.1),)))
    ponds, left, end = pond_under(apart, -1.0, 0.0, 2.0)
    _, right, _ = pond_under(apart, 1.0, 0.0, 2.0)
    assert ponds.level[[left, right]] == pytest.approx([0.2, 0.1], abs=1e-12)
    on = ponds.spill(np.array([left]), end)
    drop = Drops(
        apart.points(on.chart, on.where), on.chart, on.where, np.ones(1), np.zeros(1, int), 1
    )
    got = trace(apart, drop)
    assert ponds.of_held(got.end_chart, got.end)[0] == right


FIELD = st.lists(st.integers(0, 40), min_size=25, max_size=25)


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=25, deadline=None)
@given(heights=FIELD, tilt=st.floats(-0.05, 0.05), turn=st.floats(0, 6))
def test_any_field_of_hollows_fills_as_by_plain_relaxation_and_loses_nothing(heights, tilt, turn):
    """Levels against another computation: water stands at max(own height, lowest neighbour's level),
    repeated until nothing changes, the border being the way out. Flow in is flow shed (1e-9)."""
    z = np.array(heights, float).reshape(5, 5) / 100
    grid = np.linspace(0, 4, 5)

    def height(xs, ys):
        return z + tilt * xs + 0.013 * ys

    part = sheet(height, grid, grid)
    charts = Charts.of(mapped(Assembly((part,)), lambda p: turned(p, turn)))
    level = part.vertices[:, 2].copy()
    border = (part.vertices[:, :2] % 4 == 0).any(axis=1)
    level[~border] = 10.0
    sides = np.concatenate([part.faces[:, [0, 1]], part.faces[:, [1, 2]], part.faces[:, [2, 0]]])
    for _ in range(len(level)):
        for a, b in np.concatenate([sides, sides[:, ::-1]]):
            level[a] = max(part.vertices[a, 2], min(level[a], level[b]))
    ponds = Ponds.of(charts)
    up = charts.surface.centre[2]
    wet_side = charts.fans.of_corner[0::2]
    found = np.empty(len(level))
    found[charts.surface.faces] = ponds.levels.level[wet_side] + up
    np.testing.assert_allclose(found, level, atol=1e-9)

    drops = rain(charts, 300, seed=3, rain_m_s=RAIN)
    left, stays, _ = all_gone(charts, drops, rounds=30)
    assert stays == 0
    assert left == pytest.approx(drops.flow.sum(), rel=1e-9)


def test_finer_triangles_and_a_mirror_change_nothing():
    """Invariance: each triangle in four, and x turned to -x."""
    base = Assembly((pyramid(10.0),))
    want, pond, _ = pond_under(Charts.of(base), 0.1, 0.05, 1.0)
    flip = mapped(base, lambda p: p * [-1.0, 1.0, 1.0], flip=True)
    for other in (in_four(base), flip):
        got, k, _ = pond_under(Charts.of(other), 0.1, 0.05, 1.0)
        assert got.volume[k] == pytest.approx(want.volume[pond], abs=1e-12)
        np.testing.assert_allclose(got.spill_point[k], want.spill_point[pond], atol=1e-12)


def test_a_hollow_in_a_sheet_with_an_undercut_rim_drops_its_water_clear():
    """By construction: a dish over a floor; what comes over its rim falls straight to the floor."""
    dish = mapped(Assembly((pyramid(0.0),)), lambda p: p * 0.25 + [0, 0, 1.0])
    bowl = Part("dish", Role.FLASHING, dish.parts[0].vertices, dish.parts[0].faces[-4:])
    floor = sheet(lambda x, y: 0.2 * y + 0 * x, [-2, 2], [-2, 2])
    charts = Charts.of(Assembly((bowl, floor)))
    ponds, pond, _ = pond_under(charts, 0.05, 0.01, 3.0)
    on = ponds.spill(np.array([pond]), np.array([[0.05, 0.01, 0.98]]))
    assert charts.surface.part_names[charts.part[on.chart[0]]] == "roof"
    np.testing.assert_allclose(on.rim[0], [0.125, 0.01, 1.0], atol=1e-9)
    landed = charts.points(on.chart, on.where)[0]
    np.testing.assert_allclose(landed[:2], [0.125, 0.01], atol=2e-5)


def test_water_inside_a_shut_box_stays():
    """By construction: no way out of a closed box, so its level has no bound and nothing spills."""
    charts = Charts.of(Assembly((box((0, 0, 0), (1, 1, 1)),)))
    ponds = Ponds.of(charts)
    inside = int(np.flatnonzero(np.isinf(ponds.level))[0])
    assert not ponds.spills[inside]
    on = ponds.spill(np.array([inside, -1]), np.zeros((2, 3)))
    assert not on.spills.any()
    assert (on.chart == -1).all()


@pytest.mark.parametrize("turn", [0.0, 0.4])
def test_a_dam_with_two_arms_fills_to_where_the_shorter_ends(turn):
    """Exact geometry: between arms 1 m apart water stands to where the shorter arm ends up the slope,
    and goes round that end: a prism of width 1 m over a right-angled triangle."""
    rise, near, short, long = 0.3, 0.2, 0.9, 1.1
    roof = sheet(pitched(np.degrees(np.arctan(rise))), [-2, 2], [-2, 2])
    line = [(-0.5, short), (-0.5, near), (0.5, near), (0.5, long)]
    points = np.array([(x, y, z) for z in (-0.4, 1.1) for x, y in line])
    faces = [t for k in range(3) for t in ((k, k + 1, k + 5), (k, k + 5, k + 4))]
    dam = Part("dam", Role.DEBRIS, points, np.array(faces))
    charts = Charts.of(mapped(Assembly((roof, dam)), lambda p: turned(p, turn)))
    ponds, pond, end = pond_under(charts, *turned(np.array([0.1, 0.4, 2.0]), turn))
    level = rise * short
    assert ponds.level[pond] == pytest.approx(level, abs=1e-9)
    assert ponds.volume[pond] == pytest.approx((short - near) ** 2 * rise / 2, abs=1e-9)
    assert ponds.area[pond] == pytest.approx(short - near, abs=1e-9)
    spill = turned(np.array([-0.5, short, level]), turn)
    np.testing.assert_allclose(ponds.spill_point[pond], spill, atol=1e-9)
    on = ponds.spill(np.array([pond]), end)
    drop = Drops(
        charts.points(on.chart, on.where), on.chart, on.where, np.ones(1), np.zeros(1, int), 1
    )
    got = trace(charts, drop)
    assert got.fate[0] == Fate.SHED
    assert turned(got.end[0], -turn)[0] == pytest.approx(-0.5, abs=1e-6)
    assert got.touched(charts.surface.part_names.index("roof"))[0]


def test_a_plain_slope_has_no_hollow():
    """By construction: nothing is held on a plane, and a drop on it lies in no hollow."""
    charts = Charts.of(Assembly((sheet(pitched(20.0), [-1, 0, 1], [-1, 0, 1]),)))
    ponds = Ponds.of(charts)
    assert len(ponds) == 0
    pond = ponds.of_held(np.array([0]), charts.surface.centre[None] + 0.1)
    assert pond.tolist() == [-1]
    assert not ponds.spill(pond, np.zeros((1, 3))).spills.any()


@pytest.mark.parametrize("turn", [0.0, 0.4])
def test_a_dam_of_blocks_on_a_slope_fills_to_where_its_shorter_arm_ends(turn):
    """Exact geometry: between arms 1 m apart water stands to where the shorter arm ends up the slope,
    and goes round that end: a prism of width 1 m over a right-angled triangle."""
    rise, near, ends = 0.3, 0.2, (0.9, 1.1)
    roof = sheet(pitched(np.degrees(np.arctan(rise))), [-2, 2], [-2, 2])
    dam = box((-0.65, 0.0, -0.4), (0.65, near, 1.1), name="dam")
    arms = [
        box((x, near - 0.1, -0.3), (x + 0.2, end, 1.0), name=f"arm {x}")
        for x, end in zip((-0.7, 0.5), ends, strict=True)
    ]
    assembly = mapped(Assembly((roof, dam, *arms)), lambda p: turned(p, turn))
    charts = Charts.of(assembly)
    top = turned(np.array([0.1, 0.4, 2.0]), turn)
    ponds, pond, end = pond_under(charts, *top)
    level = rise * ends[0]
    assert ponds.level[pond] == pytest.approx(level, abs=1e-9)
    volume = (ends[0] - near) * (level - rise * near) / 2
    assert ponds.volume[pond] == pytest.approx(volume, abs=1e-9)
    assert ponds.area[pond] == pytest.approx(ends[0] - near, abs=1e-9)
    spill = turned(ponds.spill_point[pond], -turn)
    assert -0.7 - 1e-9 <= spill[0] <= -0.5 + 1e-9
    assert spill[1] == pytest.approx(ends[0], abs=1e-9)
    on = ponds.spill(np.array([pond]), end)
    drop = Drops(
        charts.points(on.chart, on.where), on.chart, on.where, np.ones(1), np.zeros(1, int), 1
    )
    got = trace(charts, drop)
    assert got.fate[0] == Fate.SHED
    drops = rain(charts, 400, seed=2, rain_m_s=RAIN)
    left, stays, _ = all_gone(charts, drops)
    assert stays == 0
    assert left == pytest.approx(drops.flow.sum(), rel=1e-9)
