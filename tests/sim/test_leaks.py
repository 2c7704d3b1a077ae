"""Ways in, causes and places of leaks: on plain sheets with one way in, and on the standard detail."""

from __future__ import annotations

from dataclasses import replace
from math import fsum, radians

import numpy as np
import pytest

from meshes.build import build
from meshes.parts import Assembly, Part, Role
from meshes.spec import Apron, BackGutter, Detail, Roof, Sides, Stack
from sim.charts import Charts
from sim.fates import Fate
from sim.leaks import find_leaks, went_behind
from sim.leaks_causes import Cause
from sim.rain import place, rain
from sim.trace import record, trace
from tests.sim.sheets_for_laps import along, mirrored, moved, on_slope, split

DOWN = (0.0, 0.0, -1.0)
PITCH = radians(30)
RAIN = 75 / 3.6e6
LOW, OFF = on_slope(PITCH, 0.3, 0.6)[0], 0.001


def row(count, y, z, half=0.4):
    """Points spread evenly across the slope."""
    x = (np.arange(count) + 0.5) / count * 2 * half - half
    return np.column_stack([x, np.full(count, y), np.full(count, z)])


def leaks_of(parts, points, directions=DOWN):
    charts = Charts.of(Assembly(tuple(parts)))
    drops = place(charts, points, directions)
    ends = trace(charts, drops)
    return find_leaks(charts, drops, ends), drops, ends


def below(z=-0.3, role=Role.UNDERLAY, name="cloth"):
    """A sheet far below that falls a little, and catches what comes down."""
    return along([(-2.0, z - 0.1), (2.0, z)], -2, 2, name=name, role=role)


def run_under():
    """A flashing 1 mm over the covering with its top edge open at 0.6 m up the slope; the covering
    under it ends at 0.3 m."""
    tiles = along(on_slope(PITCH, 0.3, 1.2), -0.5, 0.5, name="covering", role=Role.COVERING)
    sheet = along(on_slope(PITCH, -0.2, 0.6, OFF), -0.5, 0.5, name="soaker")
    return [tiles, sheet, below()]


def behind_upstand():
    """A wall, an upstand 3 mm before it and 150 mm tall, and the loft below."""
    wall = along([(0.0, 0.0), (0.0, 1.0)], -0.5, 0.5, name="wall", role=Role.STACK)
    line = [(-0.2, -0.1), (-0.003, 0.0), (-0.003, 0.15)]
    return [wall, along(line, -0.5, 0.5, name="apron"), below(role=Role.INSIDE, name="loft")]


def short_gutter():
    """A flashing whose lower end hangs over nothing but the underlay."""
    return [along(on_slope(PITCH, 0.0, 0.5), -0.5, 0.5, name="gutter"), below()]


def test_water_that_runs_under_an_edge():
    """Derived: it goes in along the flashing's top edge, 0.6 m up the slope, as one leak."""
    (leak,), drops, _ = leaks_of(run_under(), row(40, 0.9, 1.0))
    assert leak.cause is Cause.RAN_UNDER
    assert leak.severity == "underlay"
    assert leak.parts == ("covering", "soaker")
    assert leak.way_in.startswith("under the edge of the soaker, at the ")
    y, z = on_slope(PITCH, 0.0, 0.6)[1]
    assert leak.point[1:] == pytest.approx([y, z], abs=2e-3)
    assert leak.arrives[1] == pytest.approx(LOW[0], abs=2e-3)
    assert len(leak.rows) == len(drops) == 40
    assert leak.share == 1.0
    assert leak.share_se == 0.0
    assert leak.flow == pytest.approx(fsum(drops.flow), rel=1e-12)


def test_water_that_goes_over_a_top_edge():
    """Derived: it comes down the wall and in behind the upstand at its top, 0.15 m up."""
    (leak,), _, ends = leaks_of(behind_upstand(), row(10, -1.0, 0.5), (0.0, 1.0, -0.1))
    assert set(ends.fate) == {Fate.INSIDE}
    assert leak.cause is Cause.OVER_A_TOP_EDGE
    assert leak.severity == "inside"
    assert leak.parts == ("wall", "apron")
    assert leak.way_in == "over the top edge of the apron, at the front"
    assert leak.point[2] == pytest.approx(0.15, abs=0.012)
    assert leak.arrives[2] == pytest.approx(-0.35, abs=1e-3)


def test_water_that_leaves_past_an_end():
    """Derived: it runs off the sheet's lower edge, at the origin, and falls on the underlay."""
    (leak,), _, _ = leaks_of(short_gutter(), row(10, 0.3, 1.0))
    assert leak.cause is Cause.PAST_AN_END
    assert leak.parts == ("gutter",)
    assert leak.way_in.startswith("past the end of the gutter, at the ")
    assert leak.point[1:] == pytest.approx([0.0, 0.0], abs=2e-3)


def test_rain_straight_onto_the_underlay_is_said_to_be_that():
    """Derived: drops that land on the underlay first have no sheet to get behind."""
    (leak,), _, _ = leaks_of([below()], row(10, 0.3, 1.0) + np.array([1.0, 0, 0]))
    assert leak.way_in.startswith("straight from the sky onto the cloth, at the ")
    assert leak.cause is Cause.FELL_STRAIGHT_IN
    assert leak.parts == ("cloth",)
    assert leak.why == (
        "Rain falls straight onto the cloth. No sheet keeps it off there. "
        "That is about 600 ml a minute, 100 % of the rain that lands."
    )
    assert leak.arrives == pytest.approx(leak.point)


def test_no_leak_where_all_is_shed():
    """Derived: a bare slope sheds everything."""
    found, drops, _ = leaks_of([short_gutter()[0]], row(10, 0.3, 1.0))
    assert found == ()
    assert len(drops) == 10


def test_two_ways_in_are_two_leaks_the_larger_first():
    """Derived: 12 drops run under the flashing, 4 fall past the end of another sheet far from it."""
    far = moved(short_gutter()[0], shift=(1.3, 0.0, 0.0))
    points = np.vstack([row(12, 0.9, 1.0), row(4, 0.3, 1.0) + np.array([1.3, 0, 0])])
    found, drops, _ = leaks_of([*run_under(), far], points)
    assert [leak.id for leak in found] == [1, 2]
    assert [len(leak.rows) for leak in found] == [12, 4]
    assert [leak.cause for leak in found] == [Cause.RAN_UNDER, Cause.PAST_AN_END]
    assert fsum(leak.share for leak in found) == pytest.approx(1.0, abs=1e-12)
    assert found[0].share_se == pytest.approx((0.75 * 0.25 / len(drops)) ** 0.5, rel=1e-12)


@pytest.mark.parametrize("change", ["turned", "far away", "split", "mirrored"])
@pytest.mark.parametrize("model", [run_under, behind_upstand, short_gutter])
def test_a_leak_is_the_same_however_the_sheets_are_placed_and_cut(change, model):
    """Derived: cause, parts and place hang on no axis, place or triangle."""
    shift = np.array([1000.0, -1000.0, 500.0])
    turn = radians(37)
    spin = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    sheets, points, way = {
        "turned": (lambda p: moved(p, turn=turn), lambda v: v @ spin.T, lambda v: v @ spin.T),
        "far away": (lambda p: moved(p, shift=shift), lambda v: v + shift, lambda v: v),
        "split": (split, lambda v: v, lambda v: v),
        "mirrored": (mirrored, lambda v: v * [-1, 1, 1], lambda v: v * [-1, 1, 1]),
    }[change]
    start = row(9, 0.9, 1.0) if model is run_under else row(9, 0.3, 1.0)
    toward = np.array(DOWN)
    if model is behind_upstand:
        start, toward = row(9, -1.0, 0.5), np.array([0.0, 1.0, -0.1])
    (before,), _, _ = leaks_of(model(), start, toward)
    (after,), _, _ = leaks_of([sheets(part) for part in model()], points(start), way(toward))
    assert (after.cause, after.parts, after.severity) == (
        before.cause, before.parts, before.severity,
    )  # fmt: skip
    assert after.point == pytest.approx(points(before.point[None])[0], abs=1e-5)
    assert list(after.rows) == list(before.rows)


def test_water_that_went_behind_and_came_out_again():
    """Derived: between the covering and a flashing 1 mm over it, in at the top, out at the bottom."""
    tiles = along(on_slope(PITCH, -0.5, 1.2), -0.5, 0.5, name="covering", role=Role.COVERING)
    sheet = along(on_slope(PITCH, 0.2, 0.6, OFF), -0.1, 0.5, name="soaker")
    charts = Charts.of(Assembly((tiles, sheet)))
    drops = place(charts, row(20, 0.9, 1.0), DOWN)
    ends = trace(charts, drops)
    assert set(ends.fate) == {Fate.SHED}
    hidden = went_behind(charts, record(charts, drops, np.arange(len(drops))))
    assert (hidden == (drops.points[:, 0] > -0.1)).all()
    assert went_behind(charts, record(charts, drops, np.zeros(0, dtype=np.int64))).shape == (0,)


COTTAGE = Detail(roof=Roof(pitch=radians(40)), stack=Stack(width=0.590, depth=0.440))


def rained_on(detail, drops=6000, **weather):
    charts = Charts.of(build(detail))
    landed = rain(charts, drops, seed=0, rain_m_s=RAIN, **weather)
    ends = trace(charts, landed)
    return find_leaks(charts, landed, ends), charts, landed, ends


def test_the_standard_detail_has_no_leak_and_hides_no_water():
    """Derived: the detail is right, so upright rain stays on the wet side of every sheet."""
    found, charts, drops, _ = rained_on(COTTAGE)
    assert found == ()
    assert not went_behind(charts, record(charts, drops, np.arange(len(drops)))).any()


WRONG = {
    "sides over the gutter": (
        replace(COTTAGE, order=("apron", "gutter", "left", "right", "underlay")),
        {},
        {"back gutter", "left side flashing"},
        "back left",
    ),
    "gutter no wider than the stack": (
        replace(COTTAGE, gutter=BackGutter(beyond_stack=0.0)),
        {},
        {"back gutter"},
        "back left",
    ),
    "no turn-in": (
        replace(
            COTTAGE,
            apron=Apron(turn_in=0.0),
            sides=Sides(turn_in=0.0),
            gutter=BackGutter(turn_in=0.0),
        ),
        {"slant": 1.0},
        {"stack", "front apron"},
        "front",
    ),
    "side under the apron": (
        replace(COTTAGE, order=("left", "right", "apron", "gutter", "underlay")),
        {"slant": 0.7, "from_angle": 1.2},
        {"right side flashing", "front apron"},
        "front right",
    ),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_turned_wrong_leaks_at_its_own_place(name):
    """Derived: each fault opens one joint, and the largest leak is at that joint."""
    detail, weather, parts, where = WRONG[name]
    found, _, drops, ends = rained_on(detail, drops=20000, **weather)
    first = next(leak for leak in found if leak.cause is not Cause.FELL_STRAIGHT_IN)
    assert set(first.parts) == parts
    assert first.way_in.endswith(f"at the {where}")
    behind = np.flatnonzero(np.isin(ends.fate, (Fate.UNDERLAY, Fate.INSIDE)))
    every = np.sort(np.concatenate([leak.rows for leak in found]))
    assert (every == behind).all()
    flow = fsum(leak.flow for leak in found)
    assert flow == pytest.approx(fsum(drops.flow[behind]), rel=1e-12)
    assert [leak.flow for leak in found] == sorted((leak.flow for leak in found), reverse=True)


def test_a_slit_at_a_corner_is_named_as_one():
    """Derived: with the gutter under the sides its end slips in beside the stack's back corner."""
    found, _, _, _ = rained_on(WRONG["sides over the gutter"][0])
    assert {leak.cause for leak in found[:2]} == {Cause.THROUGH_A_CORNER}


@pytest.mark.parametrize("from_deg", [0, 60, 90, 180])
@pytest.mark.parametrize("joint", ["return", "fin"])
def test_one_place_is_one_leak(joint, from_deg):
    """Derived: with no turn-ins rain at 45 degrees runs down the faces of the stack that it meets and
    in behind the upstands there: no leak but theirs is more than a hundredth of the water."""
    open_top = replace(
        COTTAGE, joint=joint, apron=Apron(turn_in=0.0), sides=Sides(turn_in=0.0),
        gutter=BackGutter(turn_in=0.0),
    )  # fmt: skip
    weather = {"slant": radians(45), "from_angle": radians(from_deg)}
    found, _, _, _ = rained_on(open_top, drops=20000, **weather)
    large = [leak for leak in found if leak.share > 0.01]
    assert {leak.cause for leak in large} <= {Cause.OVER_A_TOP_EDGE}
    hit = {
        0: ["front apron"], 60: ["front apron", "right side flashing"], 90: ["right side flashing"],
        180: ["back gutter"],
    }  # fmt: skip
    assert sorted(leak.parts[1] for leak in large) == hit[from_deg]
    assert len(found) <= 6
    for leak in found:
        straight = leak.way_in.startswith("straight from the sky")
        assert straight == (leak.cause is Cause.FELL_STRAIGHT_IN)


def test_soup_without_shared_corners_reads_the_same():
    """Derived: a mesh from a file has no shared indices, and the same way in."""
    parts = run_under()
    soup = [
        Part(
            p.name,
            p.role,
            p.vertices[p.faces].reshape(-1, 3),
            np.arange(p.faces.size).reshape(-1, 3),
        )
        for p in parts
    ]
    (before,), _, _ = leaks_of(parts, row(8, 0.9, 1.0))
    (after,), _, _ = leaks_of(soup, row(8, 0.9, 1.0))
    assert after.point == pytest.approx(before.point, abs=1e-9)
    assert after.way_in == before.way_in
