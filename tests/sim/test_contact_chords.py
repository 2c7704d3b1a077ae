"""Triangles cut from border to border, against a general-purpose geometry library and exact areas."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from sim.contact_chords import Flat, cut_by_chords, few_triangles, twice

CHEAP = settings(phases=(Phase.explicit, Phase.generate), derandomize=True, deadline=None)
SQUARE: tuple[Flat, ...] = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
angles = st.lists(st.floats(0.02, 2 * pi), min_size=4, max_size=9, unique_by=lambda a: round(a, 1))


def ring_of(turns: list[float]) -> list[Flat]:
    """Points on a circle, turned to the left."""
    return [(float(np.cos(turn)), float(np.sin(turn))) for turn in sorted(turns)]


@CHEAP
@given(angles, st.data())
def test_chords_cut_as_the_library_does(turns: list[float], data: st.DataObject) -> None:
    """shapely's polygonize of the same lines gives the same polygons."""
    ring = ring_of(turns)
    pairs = st.tuples(*[st.integers(0, len(ring) - 1)] * 2).filter(lambda pair: pair[0] < pair[1])
    chords = data.draw(st.lists(pairs, max_size=3, unique=True))
    found = cut_by_chords(ring, chords)
    lines = [shapely.LineString([ring[a], ring[b]]) for a, b in chords]
    crossing = any(one.crosses(other) for at, one in enumerate(lines) for other in lines[at + 1 :])
    assert (found is None) == crossing
    if found is not None:
        whole = shapely.union_all([shapely.Polygon(ring).exterior, *lines])
        theirs = shapely.get_parts(shapely.polygonize(shapely.get_parts(whole)))
        assert sorted(shapely.Polygon(own).area for own in found) == pytest.approx(
            sorted(shapely.area(theirs).tolist())
        )
        assert all(shapely.Polygon(own).exterior.is_ccw for own in found)


def test_lines_along_the_border_or_at_points_are_left_to_others() -> None:
    """Exact geometry: a line over a point of the ring, and one that runs along a side with a point on it."""
    side = [(0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (0.5, 1.0)]
    assert cut_by_chords(side, [(0, 2)]) is None
    hexagon = [(0.0, 0.0), (1.0, 0.0), (2.0, 1.0), (1.0, 2.0), (0.0, 2.0), (1.0, 1.0)]
    assert cut_by_chords(hexagon, [(0, 2), (1, 4)]) is None
    assert cut_by_chords([*SQUARE, (0.0, 0.0)], []) is None
    assert cut_by_chords(list(SQUARE), [(0, 1)]) == [SQUARE], "an edge cuts nothing off"


@CHEAP
@given(angles.map(lambda turns: turns[:4]), st.floats(0.2, 5.0), st.floats(-0.4, 0.4))
def test_four_points_get_delaunays_diagonal(turns: list[float], wide: float, lean: float) -> None:
    """scipy's Delaunay triangulation of four points in convex position has the same two triangles."""
    from scipy.spatial import Delaunay

    ring = [(x * wide + lean * y, y) for x, y in ring_of(turns)]
    found = few_triangles(tuple(ring))
    assert found is not None
    assert sum(map(twice, found)) == pytest.approx(2 * shapely.Polygon(ring).area)
    theirs = {frozenset(row) for row in Delaunay(ring).simplices.tolist()}
    ours = {frozenset(ring.index(point) for point in triangle) for triangle in found}
    tie = np.ptp([np.hypot(x, y) for x, y in ring]) < 1e-6
    assert ours == theirs or tie


def test_a_point_on_a_side_or_just_inside_it_is_used() -> None:
    """Exact: the only two triangles there are."""
    for depth in (0.0, 1e-4):
        found = few_triangles(((0.0, 0.0), (0.5, depth), (1.0, 0.0), (0.3, 1.0)))
        assert found is not None
        assert all((0.5, depth) in triangle and (0.3, 1.0) in triangle for triangle in found)
    assert few_triangles(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0))) is None
    assert few_triangles((*SQUARE, (-0.5, 0.5))) is None
