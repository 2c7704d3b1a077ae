"""The roof's slopes, read off the covering's triangles."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.parts import Role
from sim.facings import facings
from sim.nearby import groups
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

UPWARD = 0.1  # cosine from which a face of the covering is one that rain runs on
SAME_SLOPE = 1 - 1e-9  # cosine from which two faces that share an edge are one course
FALLS = 0.05  # slope from which an edge runs down the roof: a trough's, not a nose's
NEARLY_ALL = 0.98  # share of a covering in plan that tells how its slopes meet
LOWEST = 1e-6  # [m] corners this near to a course's lowest are its nose
FEWEST = 4  # courses whose noses tell a slope's plane; fewer lie in it themselves


@dataclass(frozen=True, slots=True)
class Slope:
    """How much a roof rises per metre along x and y [1]: the plane that its courses follow."""

    along_x: float
    along_y: float

    @property
    def pitch(self) -> float:
        """Pitch of the plane [rad]."""
        return float(np.arctan(hypot(self.along_x, self.along_y)))


@dataclass(frozen=True, slots=True, eq=False)
class Slopes:
    """The slopes of a roof: one, two with a ridge or a valley, or more.

    each: the largest in plan first, at least one; rise (k, 2): their along_x and along_y [1]; level
    (k,): of each, laid on top of its faces, over the recentred origin [m]; number (f,): the slope of
    each face of the covering that faces up; meet: 1 where the slopes meet in ridges and hips alone, so
    that at each place the lowest is the roof, -1 in valleys alone, the highest, 0 in both; plan: those
    faces seen in plan, None where nobody asks.
    """

    each: tuple[Slope, ...]
    rise: Floats
    level: Floats
    number: Ints
    plan: shapely.STRtree | None
    meet: int

    @staticmethod
    def of(surface: Surface) -> Slopes | None:
        """The planes through the noses of the covering; None without a covering that faces up.

        A slope of fewer than four courses has no noses to speak of: then its faces' own mean.
        """
        lies = surface.of_role(surface.face_part, Role.COVERING) & surface.solid
        faces = np.flatnonzero(lies & (surface.normals[:, 2] > UPWARD))
        if not len(faces):
            return None
        corners = surface.vertices[surface.faces[faces]]
        normals, middle = surface.normals[faces], corners.mean(axis=1)
        area = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] / 2
        number = facings(middle, -normals[:, :2] / normals[:, 2:], area)
        each = tuple(_slope(surface, faces[number == k]) for k in range(int(number.max()) + 1))
        rise = np.array([(slope.along_x, slope.along_y) for slope in each])
        level = np.full(len(each), -np.inf)
        off = corners[:, :, 2] - (corners[:, :, :2] * rise[number][:, None]).sum(axis=2)
        np.maximum.at(level, number, off.max(axis=1))
        meet = 0
        for sign in (-1, 1):
            right = (sign * (middle[:, :2] @ rise.T + level)).argmin(axis=1) == number
            meet = sign if area[right].sum() >= NEARLY_ALL * area.sum() else meet
        plan = None if meet else shapely.STRtree(shapely.polygons(corners[:, [0, 1, 2, 0], :2]))
        return Slopes(each, rise, level, number, plan, meet)

    def at(self, points: Floats) -> Ints:
        """Number of the slope (n,) that points (n, 2 or 3) [m], recentred, are over: beyond the
        covering, and in its openings, the slope that would go on there."""
        if len(self.each) == 1:
            return np.zeros(len(points), dtype=np.int64)
        if self.plan is None:
            height = points[:, :2] @ self.rise.T + self.level
            return (self.meet * height).argmin(axis=1).astype(np.int64)
        return self.number[self.plan.nearest(shapely.points(points[:, :2]))]

    def pitches(self, points: Floats) -> Floats:
        """Pitch (n,) [rad] of the roof at points (n, 3) [m], recentred."""
        return np.array([slope.pitch for slope in self.each])[self.at(points)]

    def along(self, points: Floats, ways: Floats) -> Floats:
        """Ways (n, 3) [m] from points (n, 3), recentred, shifted upright onto the roof's plane there:
        what they cover of the slope."""
        level = ways[:, :2]
        return np.column_stack([level, (level * self.rise[self.at(points)]).sum(axis=1)])


def _slope(surface: Surface, faces: Ints) -> Slope:
    noses = _noses(surface, faces)
    if noses is not None:
        base = np.column_stack([noses[:, :2], np.ones(len(noses))])
        found, _, rank, _ = np.linalg.lstsq(base, noses[:, 2], rcond=None)
        if rank == 3:
            return Slope(float(found[0]), float(found[1]))
    corners = surface.vertices[surface.faces[faces]]
    area = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]).sum(axis=0)
    return Slope(float(-area[0] / area[2]), float(-area[1] / area[2]))


def _noses(surface: Surface, faces: Ints) -> Floats | None:
    """Lowest corners (n, 3) of each course, or None when there are too few courses.

    Faces that share an edge are one course where they lie in one plane, or where the edge runs down the
    roof, as between the sides of a trough.
    """
    corners = surface.corners[surface.faces[faces]].astype(np.int64)
    low = np.minimum(corners, np.roll(corners, -1, axis=1))
    high = np.maximum(corners, np.roll(corners, -1, axis=1))
    key = (low * len(surface.vertices) + high).ravel()
    order = np.argsort(key, kind="stable")
    meet = np.flatnonzero(key[order][1:] == key[order][:-1])
    a, b = order[meet] // 3, order[meet + 1] // 3
    normals = surface.normals[faces]
    alike = (normals[a] * normals[b]).sum(axis=1) > SAME_SLOPE
    way = surface.vertices[high.ravel()[order[meet]]] - surface.vertices[low.ravel()[order[meet]]]
    alike |= np.abs(way[:, 2]) > FALLS * np.linalg.norm(way, axis=1)
    course = groups(len(faces), np.column_stack([a, b])[alike])
    count = int(course.max()) + 1
    if count < FEWEST:
        return None
    height = surface.vertices[corners, 2]
    lowest = np.full(count, np.inf)
    np.minimum.at(lowest, course, height.min(axis=1))
    rows, which = np.nonzero(height < lowest[course][:, None] + LOWEST)
    return surface.vertices[np.unique(corners[rows, which])]
