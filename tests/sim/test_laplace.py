"""Laplace's equation on triangles in space, against fields known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from sim.errors import TraceError
from sim.laplace import Ties, element_stiffness, gradients, laplace

GRID = 7


def grid(across: int = GRID, along: int = GRID) -> tuple[np.ndarray, np.ndarray]:
    """Points (n, 2) and triangles (t, 3) of the unit square."""
    x, y = np.meshgrid(np.linspace(0, 1, across), np.linspace(0, 1, along))
    cells = np.arange((along - 1) * across).reshape(-1, across)[:, :-1].ravel()
    lower = np.stack([cells, cells + 1, cells + across + 1], axis=1)
    upper = np.stack([cells, cells + across + 1, cells + across], axis=1)
    return np.stack([x.ravel(), y.ravel()], axis=1), np.concatenate([lower, upper])


def folded(points: np.ndarray) -> np.ndarray:
    """The square folded by a right angle along x = 0.5, then tilted."""
    x, y = points.T
    flat = np.stack([np.minimum(x, 0.5), y, np.maximum(x - 0.5, 0)], axis=1)
    turn = np.linalg.qr(np.array([[1.0, 2, 0], [0, 1, 3], [2, 0, 1]]))[0]
    return flat @ turn.T


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_a_linear_field_is_exact_however_the_triangles_lie(seed: int) -> None:
    """Derived: a field linear in the unfolded plane is harmonic, and linear elements hold it exactly
    (patch test), over a fold too."""
    random = np.random.default_rng(seed)
    points, faces = grid()
    inner = (np.abs(points - 0.5) < 0.499).all(axis=1)
    # Points on the fold stay on it.
    moved = random.uniform(-0.05, 0.05, points.shape) * inner[:, None]
    moved[np.abs(points[:, 0] - 0.5) < 1e-9, 0] = 0
    points = points + moved
    slope = random.normal(size=2)
    values = (points @ slope)[:, None]
    corners = folded(points)[faces]
    field = laplace(corners, faces, ~inner, values)
    assert field == pytest.approx(values, abs=1e-12)
    size = np.linalg.norm(gradients(corners, faces, field)[:, 0], axis=1)
    assert size == pytest.approx(np.linalg.norm(slope), rel=1e-9)


def test_many_cases_at_once_are_the_same_as_one_by_one() -> None:
    """Derived: the equation is linear."""
    points, faces = grid()
    corners = folded(points)[faces]
    given_ = (np.abs(points - 0.5) > 0.499).any(axis=1)
    values = np.random.default_rng(0).normal(size=(len(points), 3))
    together = laplace(corners, faces, given_, values)
    for k in range(3):
        alone = laplace(corners, faces, given_, values[:, k : k + 1])
        assert together[:, k : k + 1] == pytest.approx(alone, abs=1e-13)


def test_a_border_without_values_lets_nothing_pass() -> None:
    """Derived: between 1 and 0 at two ends, with closed sides, the field is linear."""
    points, faces = grid()
    ends = np.isin(points[:, 1], (0, 1))
    field = laplace(folded(points)[faces], faces, ends, points[:, 1:])
    assert field[:, 0] == pytest.approx(points[:, 1], abs=1e-12)


def test_a_piece_with_no_given_node_stays_at_nought() -> None:
    """Rule of the model: a gap with no open border has no pressure."""
    points, faces = grid()
    both = np.concatenate([faces, faces + len(points)])
    corners = np.concatenate([folded(points)[faces]] * 2)
    ends = np.concatenate([np.isin(points[:, 1], (0, 1)), np.zeros(len(points), bool)])
    field = laplace(corners, both, ends, np.ones((2 * len(points), 1)))
    assert field[: len(points)] == pytest.approx(1.0)
    assert (field[len(points) :] == 0).all()


def test_sheets_tied_to_one_another_are_one() -> None:
    """Derived: two strips end to end, whose corners don't match at the joint, carry a linear field.

    Not exactly: the flow over the joint is shared out over other corners than it came from, which
    moves the field by a share of one triangle's rise (1/12 here).
    """
    low, first = grid(5)
    high, second = grid(4)
    high = high + np.array([0, 1])
    points = np.concatenate([low, high])
    nodes = np.concatenate([first, second + len(low)])
    hung = len(low) + np.arange(4)
    row = [next(t for t in range(len(first)) if holds(low[first[t]], high[k])) for k in range(4)]
    share = np.stack([barycentric(low[first[t]], high[k]) for k, t in enumerate(row)])
    ends = np.isin(points[:, 1], (0, 2))
    corners = np.column_stack([points, np.zeros(len(points))])[nodes]
    field = laplace(corners, nodes, ends, points[:, 1:] / 2, Ties(hung, first[row], share))
    assert field[:, 0] == pytest.approx(points[:, 1] / 2, abs=0.02)
    assert field[hung, 0] == pytest.approx(np.einsum("si,si->s", share, field[first[row], 0]))
    apart = laplace(corners, nodes, ends, points[:, 1:] / 2)
    assert apart[:, 0] != pytest.approx(points[:, 1] / 2, abs=0.1)


def barycentric(triangle: np.ndarray, point: np.ndarray) -> np.ndarray:
    return np.linalg.solve(np.vstack([triangle.T, np.ones(3)]), np.append(point, 1.0))


def holds(triangle: np.ndarray, point: np.ndarray) -> bool:
    return bool((barycentric(triangle, point) > -1e-9).all())


def test_stiffness_of_a_right_triangle() -> None:
    """Derived: half the cotangents of the angles; a textbook's reference element (memory)."""
    corners = np.array([[[0.0, 0, 0], [2, 0, 0], [0, 2, 0]]])
    wanted = np.array([[1, -0.5, -0.5], [-0.5, 0.5, 0], [-0.5, 0, 0.5]])
    assert element_stiffness(corners)[0] == pytest.approx(wanted, abs=1e-15)


def test_a_triangle_without_area_is_ours_to_mend() -> None:
    """Rule of the project: a broken invariant of ours is a TraceError."""
    corners = np.array([[[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]])
    with pytest.raises(TraceError, match="must have an area"):
        laplace(corners, np.array([[0, 1, 2]]), np.array([True, False, False]), np.ones((3, 1)))


def test_no_triangles_are_no_trouble() -> None:
    """Derived: nothing to solve."""
    field = laplace(np.zeros((0, 3, 3)), np.zeros((0, 3), int), np.zeros(0, bool), np.zeros((0, 2)))
    assert field.shape == (0, 2)
