"""The back gutters of the shipped scenes: what they carry, how deep they stand, and their freeboard."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.assemble import assemble
from scenes.scene import load
from sim.charts import Charts
from sim.gutters import gutters
from sim.ponds import Ponds
from sim.rain import rain
from sim.trace import record
from sim.water import GRAVITY
from tests.scenes.standard import HEAVY, shipped

DROPS = 4000


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_the_back_gutter_carries_the_roof_behind_the_stack(name):
    """Flow: rain on the covering behind the stack, as wide as the upstand (derived: water runs straight
    down the slope); half of it to each end. Depth: the trough with one upright wall, y0 = 2.5^(1/3) yc,
    yc^5 = 8 Q^2 / (g z^2), z = cot of the sole's fall (reference-values.md, derived), which leaves out
    what little stands on the leg. Walls: the measurements. Shares of 4,000 drops are good to some 6 %.
    """
    detail = shipped(name)
    charts = Charts.of(assemble(load(name)))
    drops = rain(charts, DROPS, seed=5, rain_m_s=HEAVY)
    found = gutters(charts, record(charts, drops, np.arange(len(drops))), drops.flow)
    gutter = found[0]
    assert gutter.parts == ("back gutter",)

    covering = charts.surface.parts_with(charts.surface.part_roles[charts.part[drops.chart[0]]])
    faces = charts.surface.faces[np.isin(charts.surface.face_part, covering)]
    top = charts.surface.vertices[faces, 1].max() + charts.surface.centre[1]
    catch = gutter.length * (top - gutter.ends[0, 1]) * HEAVY
    assert gutter.flow.sum() == pytest.approx(catch, rel=0.12)
    assert gutter.flow[0] == pytest.approx(gutter.flow[1], rel=0.2)

    z = 1 / np.tan(detail.gutter.sole_fall)
    critical = (8 * gutter.flow.max() ** 2 / (GRAVITY * z**2)) ** 0.2
    assert gutter.depth == pytest.approx(2.5 ** (1 / 3) * critical, rel=0.05)
    assert gutter.surface_tension_governs

    assert gutter.length == pytest.approx(detail.stack.width, abs=0.015)
    assert gutter.walls[0] == pytest.approx(detail.gutter.upstand, abs=0.001)
    assert gutter.walls[1] > 0.075
    assert (gutter.freeboard > 0.070).all()


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_no_water_stands_on_a_right_detail(name):
    """By construction: the sole falls to a crease that is open at both ends, aprons and courses fall
    to their edges, so no hollow on the weather side of these holds as much as a millilitre."""
    charts = Charts.of(assemble(load(name)))
    ponds = Ponds.of(charts)
    names = charts.surface.part_names
    parts = [names.index(part) for part in ("back gutter", "front apron", "covering")]
    wet = np.isin(charts.part, parts) & (np.arange(len(charts.part)) % 2 == 0)
    holding = np.unique(ponds.flooded[wet & (ponds.flooded >= 0)])
    assert (ponds.volume[holding] < 1e-6).all()
