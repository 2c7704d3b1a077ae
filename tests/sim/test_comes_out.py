"""Where water that gets behind comes out: against what leaks are told from, and by exact geometry."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.build import build
from meshes.parts import Assembly, Part, Role
from meshes.spec import Apron, Detail, Roof, Stack
from sim.comes_out import LOST, ComesOut, Stormed, comes_out, still_charts, where_out
from sim.leaks_ways import Reader
from sim.rain import rain
from sim.site import Site
from sim.trace import record, trace

RAIN = 75 / 3.6e6  # [m/s]


def slope(name: str, role: Role, span: tuple[float, float], z: float, tilt: float = 0.0) -> Part:
    """A rectangle from y = span[0] to span[1], 1 m wide, that rises by `tilt`."""
    low, high = span
    corners = [(-0.5, low), (0.5, low), (0.5, high), (-0.5, high)]
    points = np.array([(x, y, z + tilt * (y - low)) for x, y in corners])
    return Part(name, role, points, np.array([(0, 1, 2), (0, 2, 3)]))


def two_slopes(below: Role, tilt: float) -> Assembly:
    """A covering that ends over a part of some role, and goes on below it."""
    return Assembly(
        (
            slope("covering", Role.COVERING, (0.0, 1.0), 1.0, 0.5),
            slope("below", below, (-0.6, 0.2), 0.0, tilt),
        )
    )


@pytest.mark.parametrize(("role", "tilt"), [(Role.INSIDE, 0.0), (Role.UNDERLAY, 0.3)])
def test_water_off_an_edge_comes_out_under_it(role: Role, tilt: float) -> None:
    """Exact: what runs off the covering's lower edge at y = 0 falls straight down; on an underlay that
    falls away it is told of where it meets it, not where it leaves it."""
    charts = still_charts(two_slopes(role, tilt))
    found = comes_out(charts, rain(charts, 500, seed=1, rain_m_s=RAIN), most=100)
    off_the_edge = found.out[np.abs(found.out[:, 1]) < 1e-3]
    assert len(off_the_edge) > 30
    assert_allclose(off_the_edge[:, 2], 0.6 * tilt, atol=2e-3)
    assert (found.inside == (role is Role.INSIDE)).all()
    assert found.weight.sum() == pytest.approx(1.0)


@pytest.fixture(scope="module")
def wrong() -> Detail:
    """The sides over the gutter: water runs in at both back corners."""
    return Detail(
        roof=Roof(pitch=np.radians(40)),
        stack=Stack(width=0.5, depth=0.4),
        order=("apron", "gutter", "left", "right", "underlay"),
    )


def test_it_is_where_leaks_arrive(wrong: Detail) -> None:
    """Two computations: paths read backwards to tell a leak, and the first row on the underlay. Water
    that ran over bare underlay before it got behind would be told otherwise; there is none here."""
    charts = still_charts(build(wrong))
    drops = rain(charts, 3000, seed=2, rain_m_s=RAIN)
    fate = trace(charts, drops).fate
    rows = np.flatnonzero(np.isin(fate, LOST))[:200]
    assert len(rows) > 100
    paths = record(charts, drops, rows)
    out = where_out(charts, paths, fate[rows])
    assert_allclose(out, Reader.of(charts).ways_in(paths).arrives, atol=2e-3)


def test_groups_count_alike_and_empty_ones_not() -> None:
    """Exact: however many drops a group has, its weight is that of each other group that isn't empty."""
    one = ComesOut(np.zeros((1, 3)), np.array([True]), np.ones(1))
    four = ComesOut(np.ones((4, 3)), np.zeros(4, bool), np.full(4, 0.25))
    both = ComesOut.together([one, ComesOut.none(), four])
    assert_allclose(both.weight, [0.5, 0.125, 0.125, 0.125, 0.125])
    assert not len(ComesOut.together([ComesOut.none()]))


def test_wind_brings_in_what_calm_does_not() -> None:
    """Derived: with no turn-in at the front and no mortar, rain that the wind drives at the stack's face
    runs down it behind the apron; upright rain doesn't touch it."""
    detail = Detail(
        roof=Roof(pitch=np.radians(40)),
        stack=Stack(width=0.5, depth=0.4, pointed=False),
        apron=Apron(turn_in=0.0),
    )
    site = Site.of(build(detail))
    still = rain(site.still, 3000, seed=3, rain_m_s=RAIN)
    assert not np.isin(trace(site.still, still).fate, LOST).any()
    storm = Stormed.of(site, np.array([0.0]), still, drag=0.005, pressure=1.0)
    found = storm.rained(0, 12.0, rain_m_s=5 / 3.6e6, drops=3000, seed=3).comes_out(most=100)
    assert len(found)
    assert (np.abs(found.out[:, 1]) < 0.1).mean() > 0.9


def test_what_comes_out_elsewhere_too_is_left_away() -> None:
    """Exact: in plan, whatever the height; what is left counts as all of it."""
    here = ComesOut(
        np.array([(0.0, 0, 0), (0.5, 0, 0), (1.0, 0, 0)]), np.ones(3, bool), np.full(3, 1 / 3)
    )
    other = ComesOut(np.array([(0.52, 0.0, 2.0)]), np.ones(1, bool), np.ones(1))
    own = here.beyond(other, 0.1)
    assert own.out[:, 0].tolist() == [0.0, 1.0]
    assert_allclose(own.weight, [0.5, 0.5])
    assert not len(other.beyond(here, 0.1))
    assert here.beyond(ComesOut.none(), 0.1) is here
