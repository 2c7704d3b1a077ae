"""The roof's plane, read off the covering's triangles."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.nearby import groups
from sim.surface import Surface

Floats = NDArray[np.float64]

UPWARD = 0.1  # cosine from which a face of the covering is one that rain runs on
SAME_SLOPE = 1 - 1e-9  # cosine from which two faces that share an edge are one course
LOWEST = 1e-6  # [m] corners this near to a course's lowest are its nose
FEWEST = 4  # courses whose noses tell the roof's plane; fewer lie in it themselves


@dataclass(frozen=True, slots=True)
class Slope:
    """How much the roof rises per metre along x and y [1]: the plane that its courses follow."""

    along_x: float
    along_y: float

    @staticmethod
    def of(surface: Surface) -> Slope | None:
        """The plane through the noses of the covering; None without a covering that faces up.

        A covering of fewer than four courses has no noses to speak of: then its faces' own mean.
        """
        lies = np.isin(surface.face_part, surface.parts_with(Role.COVERING)) & surface.solid
        faces = np.flatnonzero(lies & (surface.normals[:, 2] > UPWARD))
        if not len(faces):
            return None
        noses = _noses(surface, faces)
        if noses is not None:
            base = np.column_stack([noses[:, :2], np.ones(len(noses))])
            found, _, rank, _ = np.linalg.lstsq(base, noses[:, 2], rcond=None)
            if rank == 3:
                return Slope(float(found[0]), float(found[1]))
        corners = surface.vertices[surface.faces[faces]]
        area = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).sum(axis=0)
        return Slope(float(-area[0] / area[2]), float(-area[1] / area[2]))

    @property
    def pitch(self) -> float:
        """Pitch of the plane [rad]."""
        return float(np.arctan(hypot(self.along_x, self.along_y)))

    def along(self, ways: Floats) -> Floats:
        """Ways (n, 3) [m] shifted upright onto the plane: what they cover of the slope."""
        level = ways[:, :2]
        return np.column_stack([level, level @ np.array([self.along_x, self.along_y])])


def _noses(surface: Surface, faces: NDArray[np.int64]) -> Floats | None:
    """Lowest corners (n, 3) of each course, or None when there are too few courses."""
    corners = surface.corners[surface.faces[faces]].astype(np.int64)
    low = np.minimum(corners, np.roll(corners, -1, axis=1))
    high = np.maximum(corners, np.roll(corners, -1, axis=1))
    key = (low * len(surface.vertices) + high).ravel()
    order = np.argsort(key, kind="stable")
    meet = np.flatnonzero(key[order][1:] == key[order][:-1])
    a, b = order[meet] // 3, order[meet + 1] // 3
    normals = surface.normals[faces]
    alike = (normals[a] * normals[b]).sum(axis=1) > SAME_SLOPE
    course = groups(len(faces), np.column_stack([a, b])[alike])
    count = int(course.max()) + 1
    if count < FEWEST:
        return None
    height = surface.vertices[corners, 2]
    lowest = np.full(count, np.inf)
    np.minimum.at(lowest, course, height.min(axis=1))
    rows, which = np.nonzero(height < lowest[course][:, None] + LOWEST)
    return surface.vertices[np.unique(corners[rows, which])]
