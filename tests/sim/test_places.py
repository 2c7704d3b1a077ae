"""Places round a stack, in plain words."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.places import Places
from sim.surface import Surface
from tests.sim.sheets_for_laps import along


def stack(half=0.3, depth=0.4, height=1.0):
    """Upright faces at the front and the back of a stack, and a capping that overhangs them."""
    points = []
    for y in (0.0, depth):
        points += [(-half, y, 0), (half, y, 0), (half, y, height), (-half, y, height)]
    points += [(-1, -1, height), (1, -1, height), (0, 1, height)]
    faces = [(0, 1, 2), (0, 2, 3), (4, 5, 6), (4, 6, 7), (8, 9, 10)]
    return Part("stack", Role.STACK, np.array(points), np.array(faces))


@pytest.mark.parametrize(
    ("point", "words"),
    [
        ((0.0, -0.1, 0.0), "front"),
        ((0.0, 0.0, 0.5), "front"),
        ((0.0, 0.5, 0.0), "back"),
        ((-0.35, 0.2, 0.0), "left"),
        ((0.35, 0.2, 0.0), "right"),
        ((-0.31, -0.01, 0.0), "front left"),
        ((0.295, 0.41, 0.0), "back right"),
        ((0.0, 0.2, 0.9), "stack itself"),
    ],
)
def test_a_place_is_named_from_the_shaft(point, words):
    """Derived: beside, before or behind the shaft, whose capping doesn't count; 10 mm to a corner."""
    surface = Surface.of(Assembly((stack(),)))
    assert Places.of(surface).words(np.array(point) - surface.centre) == words


def test_without_a_stack_the_middle_tells():
    """Derived: left of the middle is left, and nothing is at the stack."""
    sheet = along([(0.0, 0.0), (1.0, 0.2)], -1, 1, name="covering", role=Role.COVERING)
    places = Places.of(Surface.of(Assembly((sheet,))))
    assert places.words((-0.5, -0.3, 0.0)) == "front left"
    assert places.words((0.5, 0.3, 0.0)) == "back right"
