"""What sheets lie on: heights, draping and feet against computations that share nothing with them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from numpy.typing import NDArray

from meshes.around.lie import Lie
from meshes.piece import Named

STEPS = np.array([(-1.0, -0.8), (-0.4, -0.38), (-0.4, -0.36), (0.2, 0.06), (0.2, 0.08), (1.0, 0.6)])
WAVE = np.array([(-1.0, 0.03), (-0.5, 0.0), (-0.1, 0.0), (0.3, 0.03), (0.6, 0.03), (1.0, 0.0)])
FLAT = np.array([(-1.0, 0.0), (1.0, 0.0)])
SHARES = np.array([1.0, 1.0, 1.0, 0.2, 0.2, 0.0])
LIES = {
    "steps": Lie.of(STEPS, FLAT),
    "steps and a wave": Lie.of(STEPS, WAVE),
    "a wave that runs out": Lie(STEPS, WAVE, SHARES),
}
CIRCLE = shapely.Point(0.05, -0.1).buffer(0.7)


def expected(lie: Lie, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Height z = f(y) + share(y) h(x) [m], by numpy's interpolation; away from risers."""
    f = np.interp(y, lie.rows[:, 0], lie.rows[:, 1])
    share = np.interp(y, lie.rows[:, 0], lie.shares)
    return f + share * np.interp(x, lie.wave[:, 0], lie.wave[:, 1])


def in_plan(named: list[Named]) -> list[shapely.Polygon]:
    """Facets seen from above; upright ones have no area."""
    return [shapely.Polygon([(x, y) for x, y, _ in corners]) for _, corners in named]


def space_area(corners: list[tuple[float, float, float]]) -> float:
    """Area of a flat polygon [m2], by Newell's sum."""
    p = np.array(corners)
    return float(np.linalg.norm(np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0))) / 2


@pytest.mark.parametrize("name", LIES)
def test_height_is_steps_plus_wave(name: str) -> None:
    """Independent: numpy's interpolation. Where a wave runs out the surface twists, and between the
    corners of its cells two triangles stand in for it: height() is the twisted surface itself."""
    lie = LIES[name]
    random = np.random.default_rng(3)
    x, y = random.uniform(-0.99, 0.99, (2, 200))
    heights = [lie.height(*point) for point in zip(x, y, strict=True)]
    assert_allclose(heights, expected(lie, x, y), atol=1e-12)


def test_at_a_riser_the_height_is_that_of_its_foot() -> None:
    """By definition."""
    assert LIES["steps"].height(0.3, -0.4) == pytest.approx(-0.38)
    assert LIES["steps"].height(0.3, 0.2) == pytest.approx(0.06)


@pytest.mark.parametrize("name", LIES)
def test_a_drape_covers_its_region_once_and_is_flat(name: str) -> None:
    """Exact geometry: in plan the facets fill the region without overlap, each is flat, and without a
    twist each corner is at the surface's height on one side of a riser or the other."""
    lie = LIES[name]
    named = lie.drape("cover", CIRCLE)
    plans = in_plan(named)
    assert sum(plan.area for plan in plans) == pytest.approx(CIRCLE.area, rel=1e-9)
    assert shapely.unary_union([p for p in plans if p.area > 1e-12]).symmetric_difference(
        CIRCLE
    ).area == pytest.approx(0, abs=1e-9)
    for _, corners in named:
        p = np.array(corners)
        off = np.linalg.svd(p - p.mean(axis=0))[1]
        assert len(p) < 4 or off[2] < 1e-9
    if name == "a wave that runs out":
        return
    points = np.array([corner for _, corners in named for corner in corners])
    sides = [expected(lie, points[:, 0], points[:, 1] + by) for by in (-1e-7, 1e-7)]
    assert np.min(np.abs(points[:, 2] - np.array(sides)), axis=0).max() < 1e-6


def test_the_area_of_a_drape() -> None:
    """Derived: treads have their plan area over the cosine of their pitch; each riser its height times
    the chord of the circle at its line."""
    named = LIES["steps"].drape("cover", CIRCLE)
    area = sum(space_area(corners) for _, corners in named)
    treads = 0.0
    for (y0, z0), (y1, z1) in pairwise(STEPS):
        if y1 > y0:
            strip = CIRCLE.intersection(shapely.box(-2, y0, 2, y1))
            treads += strip.area * np.hypot(1, (z1 - z0) / (y1 - y0))
    chords = [
        CIRCLE.intersection(shapely.LineString([(-2, y), (2, y)])).length for y in (-0.4, 0.2)
    ]
    assert area == pytest.approx(treads + 0.02 * sum(chords), rel=1e-9)


@pytest.mark.parametrize(
    ("low", "high", "risers"), [(-0.9, 0.9, 2), (-0.3, 0.1, 0), (-0.5, 0.1, 1), (-0.4, 0.2, 0)]
)
def test_how_many_risers(low: float, high: float, risers: int) -> None:
    """A riser within the region is draped, one on its edge or outside it is not."""
    named = LIES["steps"].drape("cover", shapely.box(-0.3, low, 0.4, high))
    upright = [plan for plan in in_plan(named) if plan.area < 1e-15]
    assert len(upright) == risers


@settings(max_examples=40, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
@given(
    name=st.sampled_from(sorted(LIES)),
    cut=st.floats(-0.5, 0.5),
    level=st.booleans(),
)
def test_the_drape_of_a_region_is_the_sum_of_its_parts(name: str, cut: float, level: bool) -> None:
    """Property: cut anywhere but along a riser, the parts have the whole's area in space."""
    cut = cut + 1e-3 if min(abs(cut + 0.4), abs(cut - 0.2)) < 1e-4 else cut
    first = shapely.box(-2, -2, 2, cut) if level else shapely.box(-2, -2, cut, 2)
    parts = [CIRCLE.intersection(first), CIRCLE.difference(first)]
    areas = [
        sum(space_area(corners) for _, corners in LIES[name].drape("cover", region))
        for region in (CIRCLE, *parts)
    ]
    assert areas[0] == pytest.approx(areas[1] + areas[2], rel=1e-7)


@settings(max_examples=60, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
@given(
    name=st.sampled_from(sorted(LIES)),
    ends=st.tuples(*[st.floats(-0.95, 0.95)] * 4),
)
def test_a_foot_lies_on_the_drape(name: str, ends: tuple[float, float, float, float]) -> None:
    """Property: every point of a foot, and every point half way between two, lies on a facet draped
    round it (so that an upstand and its cover share an edge), and it starts and ends where told."""
    lie, (a, b, c, d) = LIES[name], ends
    if np.hypot(c - a, d - b) < 0.02:
        return
    foot = lie.foot((a, b), (c, d))
    assert foot[0][:2] == (a, b)
    assert foot[-1][:2] == (c, d)
    points = np.array([*foot, *(np.add(p, q) / 2 for p, q in pairwise(foot))])
    band = shapely.LineString([(a, b), (c, d)]).buffer(0.02)
    off = np.full(len(points), np.inf)
    for _, corners in lie.drape("cover", band):
        p = np.array(corners)
        centre = p.mean(axis=0)
        _, _, axes = np.linalg.svd(p - centre)
        flat, spots = (p - centre) @ axes[:2].T, (points - centre) @ axes.T
        shape = shapely.convex_hull(shapely.Polygon(flat)).buffer(1e-7)
        within = shapely.contains_xy(shape, spots[:, 0], spots[:, 1])
        off = np.where(within, np.minimum(off, np.abs(spots[:, 2])), off)
    assert off.max() < 1e-6


def test_a_foot_across_a_riser_has_both_its_ends() -> None:
    """Exact: straight up the slope over one riser: four points, two of them on the riser."""
    foot = LIES["steps"].foot((0.1, -0.5), (0.1, -0.3))
    assert [y for _, y, _ in foot] == pytest.approx([-0.5, -0.4, -0.4, -0.3])
    assert [z for *_, z in foot[1:3]] == pytest.approx([-0.38, -0.36])
    assert LIES["steps"].foot((0.1, -0.3), (0.1, -0.5)) == foot[::-1]


def test_lifted_is_square_to_the_section() -> None:
    """Exact: a plane at 45 degrees moved out by d stands sqrt(2) d higher."""
    plane = Lie.of(np.array([(-1.0, -1.0), (1.0, 1.0)]), FLAT)
    assert plane.lifted(0.01).height(0.2, 0.3) == pytest.approx(0.3 + 0.01 * np.sqrt(2))
