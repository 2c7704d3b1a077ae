"""An assembly flattened to one set of triangles, recentred, with its corners matched up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from meshes.parts import Assembly, Role
from sim.nearby import leaders, pairs_within
from sim.tolerances import DEGENERATE, WELD

MOST_PARTS = 64


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """All triangles of an assembly, in the order of its parts and of their faces.

    vertices (n, 3) float64 [m], less `centre`; centre (3,) [m], the middle of the bounds;
    faces (m, 3) int32; face_part (m,) int32; part_names and part_roles, one a part;
    corners (n,) int32: the lowest vertex at the same place (to within WELD) in the same part, so that
    triangle soups have neighbours; normals (m, 3) unit, to the wet side, nil where not `solid`;
    solid (m,) bool: False for a triangle with no area, and for one on the same corners as an earlier
    one, either way round: those are left out of everything.
    """

    vertices: NDArray[np.float64]
    centre: NDArray[np.float64]
    faces: NDArray[np.int32]
    face_part: NDArray[np.int32]
    part_names: tuple[str, ...]
    part_roles: tuple[Role, ...]
    corners: NDArray[np.int32]
    normals: NDArray[np.float64]
    solid: NDArray[np.bool_]

    @staticmethod
    def of(assembly: Assembly) -> Surface:
        """Flatten an assembly. Raises SceneError for more than 64 parts or nothing but slivers."""
        names = tuple(part.name for part in assembly)
        require(len(names) <= MOST_PARTS, "parts", len(names), f"at most {MOST_PARTS}", SceneError)
        sizes = [len(part.vertices) for part in assembly]
        starts = np.cumsum([0, *sizes[:-1]])
        vertices = np.concatenate([part.vertices for part in assembly]) + 0.0
        faces = np.concatenate(
            [part.faces + start for part, start in zip(assembly, starts, strict=True)]
        )
        counts = [len(part.faces) for part in assembly]
        face_part = np.repeat(np.arange(len(names)), counts)
        centre = (vertices.min(axis=0) + vertices.max(axis=0)) / 2
        corners = matched_corners(vertices, np.repeat(np.arange(len(names)), sizes))
        vertices = vertices[corners]
        return Surface.from_arrays(
            vertices - centre, centre, faces, face_part, names,
            tuple(part.role for part in assembly), corners,
        )  # fmt: skip

    @staticmethod
    def from_arrays(
        vertices: NDArray[np.float64],
        centre: NDArray[np.float64],
        faces: NDArray[np.integer],
        face_part: NDArray[np.integer],
        part_names: tuple[str, ...],
        part_roles: tuple[Role, ...],
        corners: NDArray[np.integer],
    ) -> Surface:
        """A surface from its arrays, shapes as in the class. Raises SceneError if all is slivers."""
        normals, solid = _normals(vertices, faces, corners)
        require(bool(solid.any()), "triangles", "none", "at least one with an area", SceneError)
        surface = Surface(
            np.ascontiguousarray(vertices), centre, np.ascontiguousarray(faces, dtype=np.int32),
            face_part.astype(np.int32), part_names, part_roles, corners.astype(np.int32),
            normals, solid,
        )  # fmt: skip
        for array in (surface.vertices, surface.centre, surface.faces, surface.face_part,
                      surface.corners, surface.normals, surface.solid):  # fmt: skip
            array.flags.writeable = False
        return surface

    @property
    def bounds(self) -> NDArray[np.float64]:
        """Lowest and highest coordinates (2, 3) [m], recentred."""
        return np.stack([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    def parts_with(self, *roles: Role) -> tuple[int, ...]:
        """Indices of the parts that have one of the roles."""
        return tuple(i for i, role in enumerate(self.part_roles) if role in roles)

    def of_role(self, parts: NDArray[np.integer], *roles: Role) -> NDArray[np.bool_]:
        """Which of some parts, by their indices, have one of the roles, shape of parts; -1 has none."""
        one_of = np.array([role in roles for role in (*self.part_roles, None)])
        flags: NDArray[np.bool_] = one_of[parts]
        return flags


def matched_corners(
    vertices: NDArray[np.float64], vertex_part: NDArray[np.integer]
) -> NDArray[np.int32]:
    """For each vertex (n,) the lowest vertex of its part at the same place, to within WELD."""
    order = np.lexsort((vertices[:, 2], vertices[:, 1], vertices[:, 0], vertex_part))
    place, part = vertices[order], vertex_part[order]
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = (place[1:] != place[:-1]).any(axis=1) | (part[1:] != part[:-1])
    # lexsort is stable, so the first of each run is the lowest index.
    corners = np.empty(len(order), dtype=np.int64)
    corners[order] = order[fresh][np.cumsum(fresh) - 1]
    own = np.flatnonzero(corners == np.arange(len(corners)))
    near = pairs_within(vertices[own], WELD)
    alike = vertex_part[own[near[:, 0]]] == vertex_part[own[near[:, 1]]]
    lead = np.arange(len(corners))
    lead[own] = own[leaders(len(own), near[alike])]
    return lead[corners].astype(np.int32)


def _normals(
    vertices: NDArray[np.float64], faces: NDArray[np.integer], corners: NDArray[np.integer]
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    twice = np.cross(b - a, c - a)
    size = np.linalg.norm(twice, axis=1)
    longest = np.max([np.linalg.norm(p - q, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    solid = size > DEGENERATE * longest
    ends = np.sort(corners[faces], axis=1)
    solid &= (ends[:, 1:] != ends[:, :-1]).all(axis=1)
    order = np.lexsort(ends.T)
    again = (ends[order[1:]] == ends[order[:-1]]).all(axis=1)
    solid[order[1:][again]] = False
    return np.where(solid[:, None], twice / np.where(solid, size, 1.0)[:, None], 0.0), solid
