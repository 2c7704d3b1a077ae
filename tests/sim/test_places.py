"""Places round a stack, in plain words."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.laps_table import RUN_TURN
from sim.places import Places, outline_of, shaft_of, sharp_corners
from sim.surface import Surface
from tests.sim.shapes import prism, regular
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


def corners(sides, radius, first_deg=0.0):
    """Corners of a regular polygon in a circle, the first that far round from +x."""
    return regular(sides, radius * np.cos(np.pi / sides), np.radians(first_deg))


def words_at(plan, x, y):
    surface = Surface.of(Assembly((prism(plan, 0.0, 1.0),)))
    return Places.of(surface).words(np.array([x, y, 0.5]) - surface.centre)


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (0.2, -0.2, "front right"),
        (0.25, -0.3, "front right"),
        (-0.21, -0.2, "front left"),
        (0.3, 0.3, "back right"),
        (-0.2, 0.25, "back left"),
        (0.0, -0.42, "front"),
        (0.005, -0.4, "front"),
        (0.6, 0.05, "right"),
        (0.0, 0.5, "back"),
        (-0.4, 0.001, "left"),
        (0.15, -0.2, "stack itself"),
        (0.0, 0.0, "stack itself"),
    ],
)
def test_round_a_stack_set_diamond_wise(x, y, words):
    """Derived: its faces look half-way between the sides; its corners look to them. A point beside a
    face is within the bounds of the plan, but not at the stack itself."""
    assert words_at(corners(4, 0.4), x, y) == words


@pytest.mark.parametrize("first_deg", [0.0, 180 / 32])
@pytest.mark.parametrize("sides", [32, 64])
def test_round_a_round_stack_the_direction_tells(sides, first_deg):
    """Derived: half of 45 degrees to both sides of each of eight directions, to within a facet; the
    same close by and a way off."""
    names = [
        "right",
        "back right",
        "back",
        "back left",
        "left",
        "front left",
        "front",
        "front right",
    ]
    for turn in np.arange(0, 360, 7.3):
        nearest = round(turn / 45) % 8
        if abs((turn + 22.5) % 45) < 360 / sides or abs((turn + 22.5) % 45 - 45) < 360 / sides:
            continue
        for radius in (0.152, 0.2, 0.5):
            x, y = radius * np.cos(np.radians(turn)), radius * np.sin(np.radians(turn))
            assert words_at(corners(sides, 0.15, first_deg), x, y) == names[nearest]


@pytest.mark.parametrize(("sides", "count"), [(3, 3), (4, 4), (8, 8), (16, 0), (64, 0)])
def test_a_round_stack_has_no_corners(sides, count):
    """The model: a plan has a corner where it turns by more than 30 degrees (`laps_table`): an octagon's
    do by 45, those of 16 sides by 22.5."""
    surface = Surface.of(Assembly((prism(corners(sides, 0.2, 7.0), 0.0, 1.0),)))
    assert len(sharp_corners(outline_of(shaft_of(surface)), RUN_TURN)) == count


def test_a_direction_half_way_between_two_words_is_the_same_on_both_sides():
    """Derived: faces of a turned octagon look 22.5 degrees off the axes: mirrored places have mirrored
    words, whatever the rounding."""
    plan = corners(8, 0.3)
    for x, y in ((0.11, 0.27), (0.27, 0.11)):
        for across, side in ((1, "right"), (-1, "left")):
            for ahead, end in ((1, "back"), (-1, "front")):
                want = end if y > x else side
                assert words_at(plan, 1.1 * across * x, 1.1 * ahead * y) == want


@pytest.mark.parametrize("rounding", [0.0, 2e-7])
def test_a_rectangle_keeps_its_words_on_a_grid(rounding):
    """Derived from the bounds alone: beyond or within 10 mm of the lines of its faces; also where a file
    gives each corner three times, a rounding apart, and points along the faces."""
    plan = np.array([(-0.3, 0.0), (0.3, 0.0), (0.3, 0.4), (-0.3, 0.4)])
    if rounding:
        along_it = (plan + np.roll(plan, -1, axis=0)) / 2
        plan = np.stack([plan, plan, plan, along_it], axis=1).reshape(-1, 2)
        plan = plan + rounding * np.random.default_rng(3).uniform(-1, 1, plan.shape)
    surface = Surface.of(Assembly((prism(plan, 0.0, 1.0),)))
    x, y = (a.ravel() for a in np.meshgrid(np.linspace(-0.5, 0.5, 83), np.linspace(-0.3, 0.7, 89)))
    got = Places.of(surface).numbers(np.column_stack([x, y, 0 * x]) - surface.centre)
    across = np.select([x + 0.3 < 0.01, 0.3 - x < 0.01], [1, 2], 0)
    ahead = np.select([y < 0.01, 0.4 - y < 0.01], [1, 2], 0)
    assert (got == across + 3 * ahead).all()


def test_without_a_stack_the_middle_tells():
    """Derived: left of the middle is left, and nothing is at the stack."""
    sheet = along([(0.0, 0.0), (1.0, 0.2)], -1, 1, name="covering", role=Role.COVERING)
    places = Places.of(Surface.of(Assembly((sheet,))))
    assert places.words((-0.5, -0.3, 0.0)) == "front left"
    assert places.words((0.5, 0.3, 0.0)) == "back right"
