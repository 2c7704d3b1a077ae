"""Rays: the fast caster against the plain one, and against known hits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from meshes.parts import Assembly, Part, Role
from sim.cast import Caster, PlainCaster
from sim.surface import Surface
from tests.sim.shapes import pitched, sheet

BOTH = pytest.mark.parametrize("kind", [Caster, PlainCaster])


def surface_of(*parts: Part) -> Surface:
    return Surface.of(Assembly(parts))


def wavy(cells: int) -> Part:
    """A sheet whose corners lie on sine waves: no two neighbours in one plane."""
    line = np.linspace(-1, 1, cells + 1)
    return sheet(lambda x, y: 0.1 * np.sin(9 * x) * np.cos(7 * y), line, line)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), faces=st.integers(1, 60))
def test_both_casters_agree(seed: int, faces: int) -> None:
    """Two implementations of one contract: any rays at any triangles, also at corners and edges."""
    rng = np.random.default_rng(seed)
    soup = rng.uniform(-1, 1, (3 * faces, 3))
    surface = surface_of(Part("soup", Role.FLASHING, soup, np.arange(3 * faces).reshape(-1, 3)))
    targets = np.concatenate(
        [soup, (soup + np.roll(soup, 1, axis=0)) / 2, rng.uniform(-1, 1, (60, 3))]
    )
    origins = rng.uniform(-2, 2, targets.shape)
    way = targets - origins
    for reach in (np.inf, 0.9):
        t, face = Caster.of(surface).first_hit(origins, way, reach)
        t_plain, face_plain = PlainCaster.of(surface).first_hit(origins, way, reach)
        assert_allclose(t, t_plain, rtol=1e-12)
        # Where two faces are met at one distance either may be named, if rounding parts them.
        differ = face != face_plain
        assert (np.abs(t[differ] - t_plain[differ]) < 1e-12).all()
        # What ends at the first face found says the same as what looks for the nearest.
        assert (Caster.of(surface).any_hit(origins, way, reach) == (face >= 0)).all()


@BOTH
@pytest.mark.parametrize("way", [(0, 0, -1), (0.3, -0.2, -1), (-1, 0.5, -0.4)])
def test_no_ray_falls_through_a_corner_or_an_edge(kind: type, way: tuple[float, ...]) -> None:
    """Derived: rays aimed exactly at inner corners and at middles of edges of a closed sheet hit it."""
    surface = surface_of(wavy(12))
    points = surface.vertices + surface.centre
    inner = points[(np.abs(points[:, :2]) < 0.95).all(axis=1)]
    ends = points[surface.faces]
    middles = ((ends + np.roll(ends, 1, axis=1)) / 2).reshape(-1, 3)
    middles = middles[(np.abs(middles[:, :2]) < 0.95).all(axis=1)]
    targets = np.concatenate([inner, middles])
    direction = np.array(way, float)
    # From 0.3 m above: the whole ray stays over the sheet, and no wave hides another.
    t, face = kind.of(surface).first_hit(targets - 0.3 * direction, direction)
    assert (face >= 0).all()
    assert (t <= 0.3 + 1e-12).all()


@BOTH
def test_distance_side_reach_and_misses(kind: type) -> None:
    """Derived: a level square 2 m below; a ray of twice the length counts half as far."""
    caster = kind.of(surface_of(sheet(lambda x, y: 0 * x, [-1, 1], [-1, 1])))
    t, face = caster.first_hit([(0.2, 0.1, 2), (0.2, 0.1, -2), (3, 0, 2)], (0, 0, -1))
    assert_allclose(t, [2, np.inf, np.inf])
    assert face.tolist() == [0, -1, -1]
    assert caster.first_hit((0.2, 0.1, 2), (0, 0, -2))[0][0] == 1.0
    assert caster.first_hit((0.2, 0.1, 2), (0, 0, -1), 1.9)[1][0] == -1
    assert caster.first_hit((0.2, 0.1, 2), (0, 0, -1), 2.0)[1][0] == 0


@BOTH
def test_a_face_parallel_to_the_ray_is_missed(kind: type) -> None:
    """The contract: water that falls along a wall doesn't land on it."""
    upright = Part("wall", Role.STACK, np.array([(0, 0, 0), (1, 0, 0), (1, 0, 1)], float),
                   np.array([(0, 1, 2)]))  # fmt: skip
    caster = kind.of(surface_of(upright))
    assert caster.first_hit((0.7, 0, 5), (0, 0, -1))[1][0] == -1
    assert caster.first_hit((0.7, -1, 0.2), (0, 1, 0))[1][0] == 0


@BOTH
def test_of_faces_at_one_place_the_lowest_counts(kind: type) -> None:
    """The contract: ties go to the lowest face."""
    one = sheet(pitched(20), [-1, 1], [-1, 1], name="one")
    two = sheet(pitched(20), [-1, 1], [-1, 1], name="two")
    assert kind.of(surface_of(one, two)).first_hit((0.3, -0.2, 4), (0, 0, -1))[1][0] in (0, 1)


def test_any_hit_looks_no_further_than_it_should() -> None:
    """Derived: a square 2 m away."""
    caster = Caster.of(surface_of(sheet(lambda x, y: 0 * x, [-1, 1], [-1, 1])))
    assert caster.any_hit([(0, 0.1, 2)], (0, 0, -1), 2.1).tolist() == [True]
    assert caster.any_hit([(0, 0.1, 2)], (0, 0, -1), 1.9).tolist() == [False]
