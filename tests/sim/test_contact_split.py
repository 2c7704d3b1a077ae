"""One triangle cut along lines: exact areas, and what is remembered of it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_array_equal
from numpy.typing import NDArray

from sim.contact_split import _pieces, split

CORNERS = [np.array(corner) for corner in ([0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0])]
UP = np.array([0.0, 0.0, 1.0])
INSIDE = st.floats(0.05, 0.4)

Cut = tuple[list[NDArray[np.float64]], list[tuple[int, int, int]]]


def cut(points: list[NDArray[np.float64]], lines: list[tuple[int, int]], shift: int = 0) -> Cut:
    """Vertices and triangles; `shift` vertices that nothing uses stand before those of the triangle."""
    vertices = [np.full(3, 9.0)] * shift + [*CORNERS, *points]

    def add(place: NDArray[np.float64]) -> int:
        vertices.append(place)
        return len(vertices) - 1

    ring = [shift, shift + 1, shift + 2]
    moved = [(a + shift, b + shift) for a, b in lines]
    return vertices, split(vertices, UP, ring, moved, add)


def area(made: Cut) -> float:
    vertices, triangles = made
    corners = np.array([[vertices[k] for k in triangle] for triangle in triangles])
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return float(across[:, 2].sum() / 2)


@settings(derandomize=True, deadline=None, phases=(Phase.explicit, Phase.generate), max_examples=40)
@given(st.lists(st.tuples(INSIDE, INSIDE), min_size=4, max_size=4, unique=True))
def test_pieces_fill_the_triangle_and_face_its_way(spots: list[tuple[float, float]]) -> None:
    """Exact geometry: half a square metre, whatever lines cross in it."""
    points = [np.array([x, y, 0.0]) for x, y in spots]
    made = cut(points, [(3, 4), (5, 6)])
    assert area(made) == pytest.approx(0.5, rel=1e-3)


def test_what_is_remembered_is_what_was_made() -> None:
    """Two computations: the pieces made anew, and those remembered under other numbers, where the first
    user has since moved the vertices that it was given."""
    points = [
        np.array(spot) for spot in ([0.1, 0.1, 0], [0.5, 0.4, 0], [0.1, 0.4, 0], [0.5, 0.1, 0])
    ]
    lines = [(3, 4), (5, 6)]
    _pieces.cache_clear()
    first, triangles = cut(points, lines)
    kept = [vertex.copy() for vertex in first]
    assert len(first) > 7  # They cross in a point of their own.
    first[-1] += 1.0
    again, renumbered = cut(points, lines, shift=5)
    assert _pieces.cache_info().hits == 1
    assert_array_equal(np.array(again[5:]), np.array(kept))
    assert [(a - 5, b - 5, c - 5) for a, b, c in renumbered] == triangles
