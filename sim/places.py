"""Where something is, in plain words, from the plan of the stack."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from meshes.parts import Role
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AT_A_CORNER = 0.010
"""A point this near to the line of the next face [m] is at the corner."""
STRAIGHT = 1e-3
"""Faces that turn by less than this at their common corner are one [rad]: rounding of a file."""
SAME_LINE = 1e-5
"""Corners of the plan this near to each other, or to a line between others, are rounding too [m]."""
EVEN = 1e-6
"""A direction this near to half-way between two words [rad] takes the shorter one."""

ROUNDING = 1e-9
"""Faces this nearly as near as the nearest are as near [m]."""


def shaft_of(surface: Surface) -> Floats:
    """Corners (n, 3) [m], recentred, of the stack's lower half: its shaft, without the capping."""
    faces = surface.faces[surface.of_role(surface.face_part, Role.STACK)]
    points = surface.vertices[np.unique(faces)]
    if not len(points):
        return points
    low, high = points[:, 2].min(), points[:, 2].max()
    return points[points[:, 2] <= (low + high) / 2]


def outline_of(shaft: Floats) -> Floats:
    """Corners (k, 2) [m] of the convex outline of a shaft (n, 3) in plan, anticlockwise; those of its
    bounds when it has no breadth, and of a point at the middle when it is empty."""
    if len(shaft):
        hull = shapely.convex_hull(shapely.multipoints(shaft[:, :2]))
        if hull.geom_type == "Polygon":
            hull = shapely.orient_polygons(shapely.simplify(hull, SAME_LINE))
            corners = shapely.get_coordinates(hull)[:-1]
            bent = np.abs(_turns(corners)) > STRAIGHT
            return corners[bent] if bent.sum() > 2 else corners
        low, high = shaft[:, :2].min(axis=0), shaft[:, :2].max(axis=0)
    else:
        low = high = np.zeros(2)
    return np.array([low, (high[0], low[1]), high, (low[0], high[1])])


def sharp_corners(outline: Floats, turn: float) -> Floats:
    """Those corners (j, 2) of an outline (k, 2) where it turns by more than `turn` [rad]."""
    return outline[_turns(outline) > turn]


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """The plan of the stack's shaft: what is beside it, before it, behind it.

    outline (k, 2) [m], recentred, anticlockwise; normals (k, 2): unit, outward, of the face from each
    corner to the next. Without a stack the plan is the assembly's middle, and everything is to one
    side of it.
    """

    outline: Floats
    normals: Floats

    @staticmethod
    def of(surface: Surface) -> Places:
        """Places round the stack of a surface."""
        outline = outline_of(shaft_of(surface))
        way = np.roll(outline, -1, axis=0) - outline
        size = np.linalg.norm(way, axis=1, keepdims=True)
        sides = np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
        # A plan without breadth is that of a rectangle, which has its faces all the same.
        normals = np.column_stack([way[:, 1], -way[:, 0]]) / np.where(size > 0, size, 1.0)
        return Places(outline, np.where(size > 0, normals, sides) if len(outline) == 4 else normals)

    def numbers(self, points: Floats) -> Ints:
        """Index in `WORDS` of the place of each point (n, 3) [m], recentred: by the direction that
        the nearest face of the shaft looks to, or between two faces the corner."""
        outline, after = self.outline, np.roll(self.outline, -1, axis=0)
        off = points[:, None, :2] - outline
        along = after - outline
        size = np.linalg.norm(along, axis=1)
        unit = np.column_stack([-self.normals[:, 1], self.normals[:, 0]])
        at = (off * unit).sum(axis=2)
        foot = np.clip(at, 0.0, size)
        away = np.linalg.norm(off - foot[:, :, None] * unit, axis=2)
        outward = (off * self.normals).sum(axis=2)
        nearest = away < away.min(axis=1, keepdims=True) + ROUNDING
        face = np.where(nearest, outward, -np.inf).argmax(axis=1)
        row = np.arange(len(points))
        inside = (outward <= -AT_A_CORNER).all(axis=1)
        at, size = at[row, face], size[face]
        reach = np.minimum(AT_A_CORNER, size / 2)
        ends = [at < reach, size - at < reach]
        other = np.select(ends, [face - 1, (face + 1) % len(outline)], face)
        looks = self.normals[face] + self.normals[other]
        return np.where(inside, 0, _words_of(looks))

    def sides(self, points: Floats) -> Ints:
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


def _words_of(looks: Floats) -> Ints:
    """Index in `WORDS` of directions (n, 2) in plan: within 22.5 degrees of an axis its one word."""
    reach = np.tan(np.pi / 8 + EVEN) * np.abs(looks[:, ::-1])
    across, ahead = (np.abs(looks) > reach).T
    x = np.where(across, np.where(looks[:, 0] < 0, 1, 2), 0)
    return x + 3 * np.where(ahead, np.where(looks[:, 1] < 0, 1, 2), 0)


def _turns(corners: Floats) -> Floats:
    """How much an anticlockwise outline (k, 2) turns at each corner (k,) [rad]."""
    before, after = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.arctan2(cross, (before * after).sum(axis=1))
