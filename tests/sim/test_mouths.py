"""Mouths of gaps: where water stands ready for the wind, and where none can."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Role
from sim.mouths import SPACING, Mouths, mouths_of
from sim.site import Site
from tests.sim.lapped import head_lap, plate

LAP, PITCH = 0.1, 30.0


def mouths(site: Site, open_rims: np.ndarray | None = None) -> Mouths:
    every = np.ones(len(site.gaps.rim), dtype=bool)
    return mouths_of(site.still, site.gaps, every if open_rims is None else open_rims)


def at_the_edge(found: Mouths) -> np.ndarray:
    """The x of drops at the lower edge of the upper sheet, y = 0, in order."""
    points = found.drops.points
    return np.sort(points[np.abs(points[:, 1]) < 0.002, 0])


@pytest.fixture(scope="module")
def open_lap() -> Site:
    return Site.of(head_lap(PITCH, LAP), size=0.05)


def test_water_stands_all_along_the_open_edge_and_close(open_lap: Site) -> None:
    """By construction: the upper sheet's edge runs from x = -0.4 to 0.4; drops stand no more than
    SPACING apart on both sides of it, and as near its ends."""
    found = mouths(open_lap)
    x = at_the_edge(found)
    assert x[0] == pytest.approx(-0.4, abs=SPACING)
    assert x[-1] == pytest.approx(0.4, abs=SPACING)
    assert np.diff(x).max() <= SPACING * 1.05
    inner, before = np.split(np.arange(len(found.drops)), 2)
    lies = open_lap.gaps.faced[found.drops.chart] >= 0
    assert lies[inner].all()
    assert (found.drops.chart[before] == found.before[before]).all()
    assert not lies[before].any()


def test_only_open_rims_have_mouths(open_lap: Site) -> None:
    """By construction: none where nothing is open, and those of each rim alone make up all of them."""
    nothing = np.zeros(len(open_lap.gaps.rim), dtype=bool)
    assert len(mouths(open_lap, nothing).drops) == 0
    found = mouths(open_lap)
    each = 0
    for rim in np.unique(found.rim):
        some = nothing.copy()
        some[rim] = True
        each += len(mouths(open_lap, some).drops)
    assert each == len(found.drops)


def test_no_water_stands_under_cover() -> None:
    """The model: what no rain comes down before has no water to drive in. A third sheet, far over the
    lap's edge, takes its mouths away where it hangs over them; rain that is blown along comes in at 30
    degrees, so as far as 0.3 m tan 30 = 0.173 m from its end (derived)."""
    lap = head_lap(PITCH, LAP)
    over = plate("roof over it", Role.COVERING, (-0.9, 0.0), (-0.9, 0.9), np.radians(PITCH), 0.3)
    x = at_the_edge(mouths(Site.of(Assembly((*lap, over)), size=0.05)))
    assert x[0] == pytest.approx(-0.3 * np.tan(np.radians(30)), abs=SPACING)
    assert x[-1] == pytest.approx(0.4, abs=SPACING)


def test_rows_keep_their_mouths_together(open_lap: Site) -> None:
    """By construction: rows by number and by flag are the same ones."""
    found = mouths(open_lap)
    flags = np.arange(len(found.drops)) % 3 == 0
    one, other = found.rows(flags), found.rows(np.flatnonzero(flags))
    for name in ("rim", "before", "point"):
        assert getattr(one, name).tobytes() == getattr(other, name).tobytes()
    assert len(one.drops) == flags.sum()
    assert (one.drops.points == found.drops.points[flags]).all()
