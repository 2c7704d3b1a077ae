"""Where something is, in plain words, from the plan of the stack."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.parts import Role
from sim.surface import Surface

AT_A_CORNER = 0.010
"""A point this near to the line of the next face [m] is at the corner."""


def shaft_of(surface: Surface) -> NDArray[np.float64]:
    """Corners (n, 3) [m], recentred, of the stack's lower half: its shaft, without the capping."""
    faces = surface.faces[np.isin(surface.face_part, surface.parts_with(Role.STACK))]
    points = surface.vertices[np.unique(faces)]
    if not len(points):
        return points
    low, high = points[:, 2].min(), points[:, 2].max()
    return points[points[:, 2] <= (low + high) / 2]


@dataclass(frozen=True, slots=True)
class Places:
    """The plan of the stack's shaft [m], recentred: what is beside it, before it, behind it.

    Without a stack in the assembly the plan is its middle, and everything is to one side of it.
    """

    left: float
    right: float
    front: float
    back: float

    @staticmethod
    def of(surface: Surface) -> Places:
        """Places round the stack of a surface."""
        shaft = shaft_of(surface)
        if not len(shaft):
            return Places(0.0, 0.0, 0.0, 0.0)
        (left, front), (right, back) = shaft[:, :2].min(axis=0), shaft[:, :2].max(axis=0)
        return Places(float(left), float(right), float(front), float(back))

    def numbers(self, points: NDArray[np.float64]) -> NDArray[np.int64]:
        """Index in `WORDS` of the place of each point (n, 3) [m], recentred."""
        x, y = points[:, 0], points[:, 1]
        across = np.select([x - self.left < AT_A_CORNER, self.right - x < AT_A_CORNER], [1, 2], 0)
        ahead = np.select([y - self.front < AT_A_CORNER, self.back - y < AT_A_CORNER], [1, 2], 0)
        return across + 3 * ahead

    def sides(self, points: NDArray[np.float64]) -> NDArray[np.int64]:
        """Index in `WORDS` of the side of the stack that each point (n, 3) [m], recentred, is on:
        corners count as the front or the back."""
        place = self.numbers(points)
        return np.where(place >= 3, place // 3 * 3, place)

    def words(self, point: ArrayLike) -> str:
        """ "front", "back left", ... for a point (3,) [m], recentred."""
        return WORDS[int(self.numbers(np.asarray(point, dtype=np.float64)[None])[0])]


WORDS = (
    "stack itself", "left", "right", "front", "front left", "front right", "back", "back left",
    "back right",
)  # fmt: skip
"""Places in plain words, as in "at the front left"."""
