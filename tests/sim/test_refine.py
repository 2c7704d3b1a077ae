"""Finer triangles: no edge too long, no crack, the same surface."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.parts import Assembly, Part
from sim.contacts import join_contacts
from sim.refine import refine
from sim.refine_flips import flipped
from sim.surface import Surface
from sim.tolerances import CLOSED
from tests.sim.measured import areas, edge_counts, lengths
from tests.sim.shapes import box, pitched, sheet

PLAIN = settings(
    derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=15, deadline=None
)


def refined(surface: Surface, longest: float | np.ndarray, kind: object = 0) -> Surface:
    faces = len(surface.faces)
    return refine(surface, np.full(faces, longest), np.full(faces, kind))


@PLAIN
@given(st.integers(0, 2**32 - 1), st.floats(0.05, 0.4))
def test_nothing_is_lost_torn_or_left_long(seed: int, longest: float) -> None:
    """Derived: area stays to rounding, rims keep their length, inner edges have two faces each."""
    random = np.random.default_rng(seed)
    bumpy = sheet(lambda x, y: random.uniform(0, 0.2, x.shape), [0, 0.3, 1], [0, 0.5, 0.6, 1.2])
    surface = Surface.of(Assembly((bumpy, box([2, 0, 0], [2.4, 0.6, 1.0], turn=0.3))))
    fine = refined(surface, longest)
    assert fine.solid.all()
    assert lengths(fine).max() <= longest * (1 + 1e-8)
    assert areas(fine) == pytest.approx(areas(surface), rel=1e-12)
    rims = edge_counts(surface)[1]
    assert set(edge_counts(fine)) == {1, 2}
    assert edge_counts(fine)[1] == pytest.approx(rims, rel=1e-12)


def test_side_and_plane_are_kept_exactly() -> None:
    """Derived: pieces of a face lie in its plane, so that no crease comes between them."""
    surface = Surface.of(Assembly((sheet(pitched(37), [0, 1.3], [0, 0.7]),)))
    fine = refined(surface, 0.1)
    assert (fine.normals == surface.normals[0]).all()
    a, b, c = np.moveaxis(fine.vertices[fine.faces], 1, 0)
    assert (np.einsum("fk,fk->f", np.cross(b - a, c - a), fine.normals) > 0).all()


def test_triangles_are_as_fat_as_their_sheet_lets_them() -> None:
    """Derived: a strip of 1.8 m by 12 mm needs two triangles for each piece of its length, no more."""
    surface = Surface.of(Assembly((sheet(pitched(0), [0, 1.8], [0, 0.012]),)))
    pieces = 2 ** np.ceil(np.log2(1.8 / 0.12))
    assert len(refined(surface, 0.12).faces) == 2 * pieces


def test_edges_between_kinds_stay_where_they_are() -> None:
    """Derived: an outline that faces were split along is an edge still, at every size."""
    surface = Surface.of(Assembly((sheet(pitched(20), [0, 0.05, 1], [0, 1]),)))
    kind = (surface.vertices[surface.faces][:, :, 0].mean(axis=1) > -0.4).astype(int)
    fine = refined(surface, 0.09, kind)
    x = fine.vertices[fine.faces][:, :, 0] - (0.05 - 0.5)
    assert ((x > -1e-12).all(axis=1) | (x < 1e-12).all(axis=1)).all()


def test_a_limit_of_its_own_for_each_face() -> None:
    """Derived: only what is asked to be fine, and what touches it, is made fine."""
    surface = Surface.of(Assembly((sheet(pitched(0), [0, 1, 2], [0, 1]),)))
    right = surface.vertices[surface.faces][:, :, 0].mean(axis=1) > 0
    fine = refine(surface, np.where(right, 0.1, np.inf), right.astype(int))
    there = fine.vertices[fine.faces][:, :, 0].mean(axis=1) > 0
    assert lengths(fine)[there].max() <= 0.1 * (1 + 1e-8)
    assert there.sum() > 10 * (~there).sum()


def test_the_same_bytes_each_time() -> None:
    """Rule of the project."""
    surface = Surface.of(Assembly((sheet(pitched(30), [0, 0.4, 1], [0, 0.3, 1]),)))
    one, two = refined(surface, 0.07), refined(surface, 0.07)
    assert one.vertices.tobytes() == two.vertices.tobytes()
    assert one.faces.tobytes() == two.faces.tobytes()


def test_flips_leave_no_wide_angles_across_an_edge() -> None:
    """Delaunay's criterion: angles on both sides of an inner edge add up to half a turn at most."""
    random = np.random.default_rng(3)
    surface = refined(Surface.of(Assembly((sheet(pitched(0), [0, 1], [0, 1]),))), 0.1)
    points = surface.vertices.copy()
    inner = (np.abs(points[:, :2]) < 0.499).all(axis=1)
    points[inner, :2] += random.uniform(-0.008, 0.008, (inner.sum(), 2))
    faces = surface.faces.astype(np.int64)
    made = flipped(points, faces, np.zeros(len(faces), int), surface.normals)
    assert (made != faces).any()
    wide: dict[tuple[int, int], float] = {}
    for face in made.tolist():
        for i in range(3):
            a, b, tip = face[(i + 1) % 3], face[(i + 2) % 3], face[i]
            p, q = points[a] - points[tip], points[b] - points[tip]
            angle = np.arctan2(np.linalg.norm(np.cross(p, q)), p @ q)
            key = (min(a, b), max(a, b))
            wide[key] = wide.get(key, 0.0) + float(angle)
    assert max(wide.values()) <= np.pi + 1e-5


def named(part: Part, name: str) -> Part:
    return Part(name, part.role, part.vertices, part.faces)


def _on_line(surface: Surface, part: int, line: np.ndarray) -> np.ndarray:
    """Edges (k, 2) of a part, by its corners, that lie on the line between two points (2, 3) [m]; those
    shorter than what contacts draw together left out."""
    faces = surface.corners[surface.faces[surface.face_part == part]]
    edges = np.unique(np.sort(np.vstack([faces[:, [k, (k + 1) % 3]] for k in range(3)])), axis=0)
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    off = surface.vertices + surface.centre - line[0]
    on = np.linalg.norm(off - (off @ way)[:, None] * way, axis=1) < 1e-7
    long = np.linalg.norm(np.diff(surface.vertices[edges], axis=1)[:, 0], axis=1) > 2 * CLOSED
    return edges[on[edges].all(axis=1) & long]


TORN = (132, 155, 186, 220, 230, 260, 265, 309, 317, 322)
"""Seeds at which a diagonal along the contact was once changed over in one of the two sheets."""


@pytest.mark.parametrize("seed", [*range(12), *TORN])
def test_a_contact_stays_an_edge_of_both_parts(seed: int) -> None:
    """Invariance: where two sheets cut each other the pieces of both still meet edge for edge, however
    finely they are cut and however their diagonals are changed over."""
    random = np.random.default_rng(seed)
    lean = random.uniform(5, 85)
    limits = random.uniform(0.01, 0.1), random.uniform(0.02, 0.3)
    cells = random.integers(1, 8)
    xs, ys = (np.sort([0.0, 1.0, *random.uniform(0.02, 0.98, cells)]) for _ in range(2))
    at = random.uniform(0.1, 0.9)
    wide, deep = (
        np.sort([0.0, 1.0, *random.uniform(0.02, 0.98, random.integers(0, 5))]) for _ in range(2)
    )
    flat = sheet(lambda x, y: 0.0 * x, xs, ys)
    tilted = sheet(lambda x, y: (y - at) * np.tan(np.radians(lean)), wide, deep)
    joined = join_contacts(Surface.of(Assembly((flat, named(tilted, "other")))))
    line = np.array([[0.0, at, 0.0], [1.0, at, 0.0]])
    fine = refine(joined, np.where(joined.face_part == 0, *limits), joined.face_part)
    for surface in (joined, fine):
        mine, theirs = (_on_line(surface, part, line) for part in (0, 1))
        assert len(mine) > 0
        assert mine.tolist() == theirs.tolist()
