"""Whole details from the builder through the tracer: every drop is resolved, and they are fast to chart."""

from __future__ import annotations

from dataclasses import replace
from math import fsum, radians

import numpy as np
import pytest

from meshes.build import build
from meshes.spec import Detail, Joint, Roof, Stack
from sim.charts import Charts
from sim.contact_pairs import meetings
from sim.fates import Fate
from sim.rain import rain
from sim.surface import Surface
from sim.trace import trace
from sim.tree import tree_of


def detail(pitch: float, joint: Joint) -> Detail:
    """A small stack on a coursed roof."""
    roof = Roof(pitch=radians(pitch), gauge=0.3, thickness=0.02, double_lap=False, head_lap=0.075)
    return Detail(roof=roof, stack=Stack(width=0.59, depth=0.44, height=1.6), joint=joint)


@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("pitch", [20, 35, 50])
def test_no_drop_is_left_unresolved(pitch: float, joint: Joint) -> None:
    """Rule of the project: at most 1 in 100,000 unresolved; flows of all fates add up to what landed."""
    charts = Charts.of(build(detail(pitch, joint)))
    for slant, angle in ((0.0, 0.0), (0.6, 0.4)):
        drops = rain(charts, 20_000, seed=1, rain_m_s=2e-5, slant=slant, from_angle=angle)
        got = trace(charts, drops)
        assert not np.isin(got.fate, [Fate.MOVING, Fate.UNRESOLVED]).any()
        flows = [fsum(drops.flow[got.fate == fate]) for fate in Fate]
        assert fsum(flows) == pytest.approx(fsum(drops.flow), rel=1e-15)


@pytest.mark.parametrize("joint", ["return", "fin"])
def test_built_sheets_touch_only_where_they_are_dressed_tight(joint: Joint) -> None:
    """Derived: sheets lie one bedding gap, 1 mm, apart, and the stand-off is 0.2 mm. Only the filling
    of pointed chases touches the turn-ins; the returns of the side flashings, which are dressed tight,
    touch the apron; and those of the back gutter the sides' turn-ins and the stack."""
    right = detail(35, joint)
    open_chases = replace(right, stack=replace(right.stack, pointed=False))
    surface = Surface.of(build(open_chases))
    pairs, _ = meetings(surface, tree_of(surface))
    met = {frozenset(surface.part_names[k] for k in surface.face_part[pair]) for pair in pairs}
    sides = [f"{side} side flashing" for side in ("left", "right")]
    tight = {frozenset({"back gutter", other}) for other in ("stack", *sides)}
    if joint == "return":
        tight |= {frozenset({"front apron", side}) for side in sides}
    assert met == tight
