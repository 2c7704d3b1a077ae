"""Finer triangles: long edges are halved, face by face, so that the surface stays without cracks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.errors import TraceError
from sim.refine_flips import diagonals, flipped
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Limits = Callable[[Floats, Ints], Floats]
"""Longest edge (m,) [m] of pieces, from their corners (m, 3, 3) [m] and the faces (m,) they are of."""

SHORTEST = 2e-3
"""No edge shorter than this is halved [m]: pieces stay longer than 1 mm."""
MOST_ROUNDS = 64
SAME = 1e-9
"""Edges of a face whose lengths differ by less than this share are equally long."""

ROUNDING = 1e-7
"""Normals of pieces that differ by less from their face's differ by rounding."""


def refine(
    surface: Surface, longest: Floats, kind: NDArray[np.integer], by_place: Limits | None = None
) -> Surface:
    """The same surface with no edge of a face longer than its limit, in fat triangles.

    longest (m,) [m]: the limit of each face, above 0; kind (m,): edges between faces of one plane and
    one kind may be laid anew, all others stay; faces of one kind have one limit. by_place: a limit of
    each piece besides, which is told by where it lies. Edges that stay
    are halved first, then edges that are the longest of all their faces and still too long (Rivara,
    Int. J. Numer. Methods Eng. 20 (1984) 745, memory), and after each round diagonals are changed over where
    that makes fatter triangles. Whoever has an edge that is halved is cut there too. Pieces keep
    side, part and plane, and follow each other in the order of their faces; faces that are not
    `solid` are left away.
    """
    points = surface.vertices
    # Faces are joined by matched corners; those are at the same place exactly.
    faces = surface.corners[surface.faces].astype(np.int64)
    owner = np.flatnonzero(surface.solid)
    faces = faces[owner]
    kind = np.unique([surface.face_part, kind], axis=1, return_inverse=True)[1].ravel()
    borders_first = True
    for _ in range(MOST_ROUNDS):
        flat = kind[owner], surface.normals[owner]
        faces = flipped(points, faces, *flat)
        edge, ends = _edges(faces, len(points))
        length = np.linalg.norm(points[ends[:, 1]] - points[ends[:, 0]], axis=1)
        limit = longest[owner]
        if by_place is not None:
            limit = np.minimum(limit, by_place(points[faces], owner))
        limit = np.maximum(limit, SHORTEST)
        if borders_first:
            loose = np.concatenate(diagonals(points, faces, *flat))
            fixed = np.setdiff1d(np.arange(3 * len(faces)), loose, assume_unique=True)
            marked = _too_long(edge, length, limit, fixed)
            borders_first = bool(marked.any())
        if not borders_first:
            half = 3 * np.arange(len(faces)) + _longest_side(length[edge], points, ends, edge)
            marked = _too_long(edge, length, limit, half)
            # Where neighbours differ about which is the longest, halving both would crowd points.
            users = np.bincount(edge.ravel(), minlength=len(ends))
            agreed = marked & (np.bincount(edge.ravel()[half], minlength=len(ends)) == users)
            marked = agreed if agreed.any() else marked
        if not marked.any():
            break
        middle = np.full(len(ends), -1)
        middle[marked] = len(points) + np.arange(marked.sum())
        first = _longest_side(np.where(marked, length, 0.0)[edge], points, ends, edge)
        points = np.concatenate([points, points[ends[marked]].mean(axis=1)])
        faces, owner = _halved(faces, owner, middle[edge], first)
    else:
        raise TraceError(f"halving edges must end. Got more than {MOST_ROUNDS} rounds")
    corners = np.arange(len(points))
    corners[: len(surface.corners)] = surface.corners
    fine = Surface.from_arrays(
        points, surface.centre, faces, surface.face_part[owner], surface.part_names,
        surface.part_roles, corners,
    )  # fmt: skip
    # Pieces of one face lie in its plane exactly, so that no crease comes between them; on meshes
    # that were rounded a changed diagonal has a plane of its own.
    whole = surface.normals[owner]
    same = np.linalg.norm(fine.normals - whole, axis=1) < ROUNDING
    normals = np.where(same[:, None], whole, fine.normals)
    normals.flags.writeable = False
    return replace(fine, normals=normals)


def _edges(faces: Ints, total: int) -> tuple[Ints, Ints]:
    """Number of the edge opposite each corner (m, 3), and the ends (k, 2) of every edge."""
    one, other = np.roll(faces, -1, axis=1), np.roll(faces, -2, axis=1)
    key = np.minimum(one, other) * total + np.maximum(one, other)
    unique, edge = np.unique(key, return_inverse=True)
    return edge.reshape(-1, 3), np.stack([unique // total, unique % total], axis=1)


def _too_long(edge: Ints, length: Floats, limit: Floats, half: Ints) -> NDArray[np.bool_]:
    """Which edges (k,) are longer than a limit (m,) [m], of half-edges 3 face + corner opposite."""
    marked = np.zeros(len(length), dtype=bool)
    own = edge.ravel()[half]
    marked[own[length[own] > limit[half // 3] * (1 + SAME)]] = True
    return marked


def _longest_side(side: Floats, points: Floats, ends: Ints, edge: Ints) -> Ints:
    """Which edge (m,) of each face is the longest: of equal ones that with the highest middle.

    side (m, 3) [m]. The height of its middle tells edges apart alike on both sides of a mirror.
    """
    height = (points[ends[:, 0], 2] + points[ends[:, 1], 2])[edge]
    most = side.max(axis=1, keepdims=True)
    rank = np.where(side >= most * (1 - SAME), height, -np.inf)
    level = rank >= rank.max(axis=1, keepdims=True) - SAME * most
    return np.asarray(np.where(level, edge, len(ends)).argmin(axis=1))


def _halved(faces: Ints, owner: Ints, middle: Ints, first: Ints) -> tuple[Ints, Ints]:
    """Faces cut from the middle of their longest edge, and their halves once more.

    middle (m, 3): vertex in the middle of the edge opposite each corner, -1 for an edge that is not
    halved; first (m,): the longest edge that is.
    """
    rows = np.arange(len(faces))
    a, b, c = (faces[rows, (first + k) % 3] for k in range(3))
    ab, bc, ca = (middle[rows, (first + k) % 3] for k in (2, 0, 1))
    cut, left, right = bc >= 0, ab >= 0, ca >= 0
    made = [
        (~cut, (a, b, c)),
        (cut & ~left, (a, b, bc)),
        (cut & left, (a, ab, bc)),
        (cut & left, (ab, b, bc)),
        (cut & ~right, (a, bc, c)),
        (cut & right, (a, bc, ca)),
        (cut & right, (ca, bc, c)),
    ]
    row = np.concatenate([rows[chosen] for chosen, _ in made])
    pieces = np.concatenate([np.stack(ends, axis=1)[chosen] for chosen, ends in made])
    order = np.argsort(row, kind="stable")
    return pieces[order], owner[row[order]]
