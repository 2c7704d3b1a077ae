"""Panels that can't lie over each other are told apart from those that may, whatever their shapes."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from scenes.cutting.apart import may_overlap
from scenes.cutting.lay_flat import OVERLAP


def star(seed: int, corners: int) -> NDArray[np.float64]:
    """A polygon of so many corners, often not convex, somewhere in 1 m: (k, 2) [m]."""
    draw = np.random.default_rng(seed)
    angles = np.sort(draw.uniform(0, 2 * np.pi, corners))
    far = draw.uniform(0.02, 0.3, corners)
    return draw.uniform(0, 1, 2) + np.column_stack([np.cos(angles), np.sin(angles)]) * far[:, None]


@settings(max_examples=30, derandomize=True, deadline=None, phases=(Phase.explicit, Phase.generate))
@given(st.lists(st.tuples(st.integers(0, 10**6), st.integers(3, 8)), min_size=2, max_size=10))
def test_all_that_overlap_are_among_the_pairs(drawn: list[tuple[int, int]]) -> None:
    """Two computations that share nothing: shapely's intersection of every pair, none left out."""
    panels = [star(*one) for one in drawn]
    half = len(panels) // 2
    first, second = panels[:half], panels[half:]
    found = set(zip(*(at.tolist() for at in may_overlap(first, second)), strict=True))
    for a, one in enumerate(first):
        for b, two in enumerate(second):
            shapes = [shapely.make_valid(shapely.Polygon(corners)) for corners in (one, two)]
            if shapely.intersection(*shapes).area > OVERLAP:
                assert (a, b) in found


def test_squares_side_by_side_are_told_apart() -> None:
    """Exact: squares that share an edge, or lie off each other, are no pairs; the deeper of two comes
    first, whatever their order."""
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    beside, off = square + np.array([1.0, 0.0]), square + np.array([3.0, 0.2])
    little, much = square + np.array([0.9, 0.0]), square + np.array([0.4, 0.1])
    at, other = may_overlap([square], [beside, little, off, much])
    assert at.tolist() == [0, 0]
    assert other.tolist() == [3, 1]
    assert all(len(rows) == 0 for rows in may_overlap([square], [beside, off]))
