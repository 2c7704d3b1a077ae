"""Standing water in the findings: how high, how deep, how much, and whose."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly
from sim.charts import Charts
from sim.findings import Findings, find
from sim.ground import Ground
from sim.ponds import Ponds
from sim.rain import Drops, place, rain
from sim.spills import Spills
from sim.standing import standing_water
from sim.trace import record, trace
from tests.sim.hollows import basin, pyramid
from tests.sim.shapes import box, pitched, sheet

DOWN = (0.0, 0.0, -1.0)


def filled(assembly: Assembly) -> Charts:
    """Charts on which full hollows spill."""
    ground = Ground.of(assembly)
    bare = Charts.on(ground)
    return bare.going_on(Spills(Ponds.of(bare)))


def found_after(charts: Charts, drops: Drops) -> Findings:
    return find(charts, drops, trace(charts, drops), ponds=Ponds.of(charts))


def test_a_hollow_of_known_shape_in_the_findings() -> None:
    """Exact geometry: an inverted pyramid 1 m square and 0.2 m deep in a level sheet holds 1 m2 x 0.2 m
    / 3 = 66.7 L; of rain on the 4 m square sheet, what falls on the level round it stays there, in a
    hollow without depth that is left out, and 1/16 falls into it."""
    charts = filled(Assembly((pyramid(0.0),)))
    inside = np.random.default_rng(0).uniform(-0.45, 0.45, (300, 2))
    drops = place(charts, np.column_stack([inside, np.ones(300)]), DOWN)
    (one,) = [one for one in found_after(charts, drops).standing if one.depth > 0.1]
    assert one.part == "roof"
    assert one.level == pytest.approx(0.0, abs=1e-9)
    assert one.depth == pytest.approx(0.2, abs=1e-9)
    assert one.volume == pytest.approx(0.2 / 3, rel=1e-9)
    assert one.share == pytest.approx(1.0, rel=1e-12)
    np.testing.assert_allclose(one.point, [0, 0, -0.2], atol=1e-9)


def test_its_share_is_of_the_water_that_came_to_it() -> None:
    """By construction: 3 of 10 equal drops fall into a hollow on a slope, 7 beside it."""
    charts = filled(Assembly((pyramid(5.0, deep=0.3),)))
    x = np.array([0.1, -0.2, 0.05, -1.8, -1.5, -1.2, -1.0, 1.0, 1.4, 1.8])
    drops = place(charts, np.column_stack([x, np.full(10, 0.1), np.full(10, 2.0)]), DOWN)
    (one,) = found_after(charts, drops).standing
    assert one.share == pytest.approx(0.3, rel=1e-12)
    # Derived: it spills over its lowest edge, at y = -0.5.
    assert one.level == pytest.approx(-0.5 * np.tan(np.radians(5)), abs=1e-9)
    assert one.depth == pytest.approx(one.level + 0.3, abs=1e-9)
    assert one.spill[1] == pytest.approx(-0.5, abs=1e-9)


def test_water_in_is_water_out_and_what_stands_never_adds() -> None:
    """Steady rain: a full basin passes on all that falls into it; the shares of the fates add up to 1
    and their flows to the rain, to 1e-9."""
    charts = filled(
        Assembly((basin(), sheet(lambda x, y: pitched(3)(x, y) - 0.5, [-2, 2], [-2, 2])))
    )
    drops = rain(charts, 2000, seed=1, rain_m_s=2e-5)
    found = found_after(charts, drops)
    assert sum(row.flow for row in found.water) == pytest.approx(found.flow, rel=1e-9)
    assert found.flow == pytest.approx(drops.flow.sum(), rel=1e-12)
    (one,) = found.standing
    assert one.level == pytest.approx(0.25, abs=1e-9)
    assert one.depth == pytest.approx(0.25, abs=1e-9)
    assert one.volume == pytest.approx(0.64 * 0.25, rel=1e-9)
    assert found.water[0].share == pytest.approx(1.0, rel=1e-9)


def test_a_hollow_that_never_spills_has_no_level_and_keeps_its_water() -> None:
    """By construction: no way out of a closed box."""
    charts = filled(Assembly((box((0, 0, 0), (1, 1, 1)),)))
    inside = int(np.flatnonzero(charts.surface.normals[:, 2] < -0.9)[0])
    chart = np.array([2 * inside + 1], np.int32)
    where = np.full((1, 3), 1 / 3)
    drops = Drops(charts.points(chart, where), chart, where, np.full(1, 1e-6), np.zeros(1, int), 1)
    paths = record(charts, drops, np.arange(1))
    (one,) = standing_water(charts, Ponds.of(charts), paths, drops.flow)
    assert np.isnan(one.level)
    assert np.isnan(one.spill).all()
    assert (one.depth, one.volume, one.share) == (0.0, 0.0, 1.0)


def test_water_that_runs_off_stands_nowhere() -> None:
    """By construction: a plain slope."""
    charts = filled(Assembly((sheet(pitched(20), [-1, 0, 1], [-1, 0, 1]),)))
    assert found_after(charts, rain(charts, 200, seed=0, rain_m_s=2e-5)).standing == ()
