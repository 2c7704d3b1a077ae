"""Laps of a collar round stacks of any plan: diamond, octagon, round."""

from __future__ import annotations

from math import cos, radians, sin, sqrt, tan

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.contacts import join_contacts
from sim.gap_surface import storm_surface
from sim.laps import Lap, measure_laps
from sim.surface import Surface
from tests.sim.shapes import pitched, prism, regular, sheet

PITCH, HALF, GAP = 30.0, 0.15, 0.001
COVER = 0.10  # the collar's breadth in plan, square to each of its edges [m]


def collar(sides: int, first: float) -> Part:
    """A sleeve one gap off a stack with this many faces, and a base plate along the roof round it."""
    narrow, wide = HALF + GAP, HALF + GAP + COVER
    rings = [
        regular(sides, narrow, first),
        regular(sides, narrow, first),
        regular(sides, wide, first),
    ]
    lift = [0.15, 0.0, 0.0]
    points = [
        (x, y, y * tan(radians(PITCH)) + GAP + up)
        for ring, up in zip(rings, lift, strict=True)
        for x, y in ring
    ]
    faces = []
    for k in range(sides):
        after = (k + 1) % sides
        for low, high in ((sides, 0), (2 * sides, sides)):
            faces += [(low + k, low + after, high + after), (low + k, high + after, high + k)]
    return Part("collar", Role.FLASHING, np.array(points), np.array(faces))


def laps_round(sides: int, first: float, *, fine: bool = False) -> dict[str, list[Lap]]:
    """Laps of the collar over the roof, by place."""
    roof = sheet(pitched(PITCH), [-1, 1], [-1.5, 1.5])
    parts = (roof, collar(sides, first), prism(regular(sides, HALF, first), -1.0, 1.0))
    surface = join_contacts(Surface.of(Assembly(parts)))
    found: dict[str, list[Lap]] = {}
    for lap in measure_laps(storm_surface(surface) if fine else surface):
        found.setdefault(lap.where, []).append(lap)
    return found


def square_to_the_edge(turned: float) -> float:
    """Derived: breadth along the slope of a strip COVER wide in plan, whose edge looks `turned` [rad]
    aside from straight down the slope: COVER / cos(pitch) over how much longer the edge is than in
    plan."""
    return COVER / cos(radians(PITCH)) / sqrt(1 + (tan(radians(PITCH)) * sin(turned)) ** 2)


@pytest.mark.parametrize("fine", [False, True])
def test_covers_of_a_diamond_are_told_apart_and_measured_square_to_their_edges(fine: bool) -> None:
    """Derived: edges at 45 degrees to the slope; at its own face each cover is on that side."""
    laps = laps_round(4, 0.0, fine=fine)
    assert "stack itself" not in laps
    for place in ("front left", "front right"):
        (lap,) = laps[place]
        assert lap.length == pytest.approx(square_to_the_edge(np.pi / 4), abs=1e-3)
        assert not lap.ok


def test_covers_of_a_square_set_straight_are_as_before() -> None:
    """Derived: COVER over the cosine of the pitch at the front, COVER at the sides."""
    laps = laps_round(4, np.pi / 4)
    assert [len(laps[place]) for place in ("front", "left", "right")] == [1, 1, 1]
    assert laps["front"][0].length == pytest.approx(COVER / cos(radians(PITCH)), abs=1e-3)
    assert laps["left"][0].length == pytest.approx(COVER, abs=1e-3)


@pytest.mark.parametrize("fine", [False, True])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("sides", [16, 64])
def test_a_collar_round_a_round_stack_is_judged_place_by_place(
    sides: int, turned: bool, fine: bool
) -> None:
    """Derived: its edge has no corner; each eighth of it is a lap, at its weakest where its edge looks
    farthest aside from down the slope: at 22.5 degrees for the front, at a right angle for the sides, to
    within a facet. No edge line runs to and fro: it is as long as its eighth of the outline, to a facet
    or two."""
    laps = laps_round(sides, np.pi / sides if turned else 0.0, fine=fine)
    facet = 2 * np.pi / sides
    for place, aside in (("front", 22.5), ("front left", 67.5), ("left", 90.0), ("right", 90.0)):
        (lap,) = laps[place]
        least = square_to_the_edge(min(radians(aside) + facet, np.pi / 2))
        most = square_to_the_edge(radians(aside) - facet)
        assert least - 1e-3 <= lap.length <= most + 1e-3
        run = float(np.linalg.norm(np.diff(lap.edge[:, :2], axis=0), axis=1).sum())
        assert run <= (HALF + COVER + GAP) * (np.pi / 4 + 2 * facet) + 1e-3
    front, left = laps["front"][0], laps["left"][0]
    assert left.length < front.length
    assert laps["left"][0].length == pytest.approx(laps["right"][0].length, abs=1e-3)
