"""What a leak is called in every detail tried, and whether a change touches its water's way."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from scenes.assemble import assemble
from scenes.cures.metal import cut_anew, metal
from scenes.cures.near import touches
from scenes.cures.trial import in_still_air
from scenes.faults.apply import with_faults
from scenes.scene import load

SLAB = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def sheet(name: str, width: float, role: Role = Role.FLASHING, up: float = 0.0) -> Part:
    """A level sheet 1 m long and so wide [m]."""
    return Part(name, role, SLAB * [width, 1, 1] + [0, 0, up], TWO)


@cache
def shares(*faults: str) -> dict[str, float]:
    scene = with_faults(load("cottage"), faults)
    return in_still_air(assemble(scene), scene.weather, drops=2000, seed=0)


def test_a_right_detail_has_none() -> None:
    """Derived: where nothing gets in there is nothing to call."""
    assert shares() == {}


def test_leaks_are_called_by_their_corners() -> None:
    """Sides over the gutter leak at both back corners, about alike; at one side, there alone."""
    both = shares("side over the gutter")
    corners = {"back gutter and left side flashing", "back gutter and right side flashing"}
    assert corners <= set(both)
    first, second = (both[name] for name in sorted(corners))
    assert first == pytest.approx(second, rel=0.3)
    one = shares("side over the gutter@left")
    assert all("left" in name for name in one)


def test_metal_by_weight() -> None:
    """Exact: a sheet of lead code 4, 20.41 kg/m2, that is 100 mm wider over 1 m takes 2.041 kg more; it
    alone is cut anew, and not where 2 % of its area are forgiven."""
    was = Assembly((sheet("a", 0.5), sheet("b", 0.5), sheet("roof", 3, Role.COVERING)))
    now = Assembly((sheet("a", 0.6), sheet("b", 0.505), sheet("roof", 4, Role.COVERING)))
    assert metal(was, now, "lead code 4") == pytest.approx((0.1 + 0.005) * 20.41)
    assert cut_anew(was, now) == ("a", "b")
    assert cut_anew(was, now, 0.02) == ("a",)
    assert metal(now, was, "lead code 4") < 0


def test_what_touches_a_way() -> None:
    """Exact: a sheet made 100 mm wider touches a way 20 mm beyond its old edge, not one 300 mm off, nor
    one that lies over its middle; a sheet that comes or goes touches what is near it."""
    was, now = Assembly((sheet("a", 0.5),)), Assembly((sheet("a", 0.6),))
    for x, there in ((0.52, True), (0.9, False), (0.25, False)):
        assert touches(was, now, np.array([[x, 0.5, 0.01]])) is there
    gone = Assembly((sheet("b", 0.5, up=1.0),))
    assert touches(was, gone, np.array([[0.25, 0.5, 0.01]]))
    assert not touches(was, was, np.array([[0.25, 0.5, 0.0]]))
    loft = Assembly((sheet("a", 0.5), sheet("loft", 0.5, Role.INSIDE)))
    assert not touches(was, loft, np.array([[0.25, 0.5, 0.0]]))
