"""Cutting a mesh by planes: areas, corners, winding and seams, on plates whose areas are known."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from meshes.parts import Part, Role
from scenes.faults.cutting import between, cut_away, kept_faces, plane, split
from scenes.faults.finding import normals_of

X, Y = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
KEPT = settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)


def plate(pitch_deg: float = 0.0) -> Part:
    """A plate of 1 m by 1 m in four triangles, its wet side up, pitched about x."""
    flat = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0.4, 0.7)], dtype=float)
    rise = radians(pitch_deg)
    points = np.column_stack([flat[:, 0], flat[:, 1] * cos(rise), flat[:, 1] * sin(rise)])
    return Part(
        "plate", Role.FLASHING, points, np.array([(0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4)])
    )


def area(part: Part) -> float:
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def borders(part: Part) -> NDArray[np.float64]:
    """Lengths of edges that one face alone has."""
    f = part.faces
    edges = np.sort(np.vstack([f[:, [0, 1]], f[:, [1, 2]], f[:, [2, 0]]]), axis=1)
    once, count = np.unique(edges, axis=0, return_counts=True)
    ends = part.vertices[once[count == 1]]
    return np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1)


@KEPT
@given(
    st.floats(0.01, 0.6), st.floats(0.01, 0.6), st.floats(0.001, 0.3), st.floats(0.001, 0.3),
    st.floats(0, 60),
)  # fmt: skip
def test_a_hole(x: float, y: float, wide: float, long: float, pitch_deg: float) -> None:
    """Exact geometry: a hole of so much in plan takes its area over the pitch's cosine, has its own border
    and no other, and leaves every face wound as it was."""
    was = plate(pitch_deg)
    fall = cos(radians(pitch_deg))
    low = y * fall
    now = cut_away(was, between(X, x, x + wide) + between(Y, low, low + long * fall))
    assert now is not None
    assert area(was) - area(now) == pytest.approx(wide * long, abs=1e-7)
    assert borders(now).sum() == pytest.approx(4 + 2 * (wide + long), abs=1e-5)
    assert np.allclose(normals_of(now), normals_of(was)[0], atol=1e-6)


@KEPT
@given(st.floats(0, 360), st.floats(0.1, 0.9))
def test_parting_keeps_the_sheet(turn_deg: float, at: float) -> None:
    """Invariance: parted along any plane it is the same sheet; no crack opens along the seam."""
    was = plate(30)
    way = [cos(radians(turn_deg)), sin(radians(turn_deg)), 0.0]
    now = split(was, [plane([at, at / 2, 0], way)])
    assert area(now) == pytest.approx(area(was), abs=1e-7)
    assert borders(now).sum() == pytest.approx(4, abs=1e-6)
    assert np.array_equal(now.vertices[:5], was.vertices)


def test_beside_the_sheet_nothing_is_cut() -> None:
    """The same part comes back when nothing lies within the planes."""
    was = plate()
    assert cut_away(was, between(X, 2, 3)) is was
    assert cut_away(was, between(X, 0.2, 0.4) + between(Y, 1.5, 2)) is was


@pytest.mark.parametrize("rounding", [-1e-15, 0.0, 1e-15])
def test_what_lies_on_a_plane_is_not_cut(rounding: float) -> None:
    """Derived: an upright sheet at y = 0 has no part between y = 0 and 1, however its corners round."""
    wall = plate(90)
    points = np.array(wall.vertices)
    points[:, 1] += rounding
    was = Part(wall.name, wall.role, points, wall.faces)
    assert cut_away(was, between(Y, 0, 1)) is was


def test_nothing_is_left() -> None:
    """None in place of an empty part."""
    assert cut_away(plate(), between(X, -1, 2)) is None
    assert kept_faces(plate(), np.zeros(4, dtype=bool)) is None


def test_a_plane_through_a_corner_leaves_no_sliver() -> None:
    """A hundredth of a micrometre beside a corner counts as through it."""
    now = split(plate(), [plane([0.4 + 1e-8, 0, 0], [1, 0, 0])])
    assert area(now) == pytest.approx(1, abs=1e-7)
    assert len(now.vertices) == 7
