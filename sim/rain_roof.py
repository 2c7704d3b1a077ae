"""The roof as rain sees it: one plane over each slope of the covering, laid on top of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.slope import Slopes
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

BEFORE = 1e-9
"""A line meets one plane before another when it does so by more than this share of its way."""


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A plane over a rectangle in plan.

    low and high (2,): its bounds in plan [m]; tilt (2,): its rise in a metre along x and y [1];
    level: its height at the middle [m]. All in the surface's own, recentred coordinates.
    """

    low: Floats
    high: Floats
    tilt: Floats
    level: float

    def at(self, plan: Floats) -> Floats:
        """Points (n, 3) [m] of the plane, over places in plan (n, 2) [m]."""
        height = self.level + (plan - (self.low + self.high) / 2) @ self.tilt
        return np.column_stack([plan, height])

    def above(self, points: Floats) -> Floats:
        """How far above the plane points (n, 3) are, straight up (n,) [m]."""
        return points[:, 2] - self.at(points[:, :2])[:, 2]

    def across(self, way: Floats) -> Floats:
        """Way (n, 3) from one height above the plane to another, in any unit (n,)."""
        return way[:, 2] - way[:, 0] * self.tilt[0] - way[:, 1] * self.tilt[1]

    def crossing(self, points: Floats, way: Floats) -> tuple[Floats, Floats, Flags]:
        """Where lines through points (n, 3) along ways (n, 3) meet it: how many ways on (n,), the place
        in plan (n, 2) [m], and whether that is within its bounds (n,)."""
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -self.above(points) / self.across(way)
            plan = points[:, :2] + t[:, None] * way[:, :2]
        within: Flags = (plan >= self.low) & (plan <= self.high)
        return t, plan, within[:, 0] & within[:, 1]


@dataclass(frozen=True, slots=True, eq=False)
class Roof:
    """The planes over the slopes of a covering, each where its slope is the roof (`Slopes.at`).

    planes: all over the same bounds, those of the whole covering; slopes: None for one plane.
    """

    planes: tuple[Plane, ...]
    slopes: Slopes | None

    @property
    def low(self) -> Floats:
        """Least x and y (2,) [m]."""
        return self.planes[0].low

    @property
    def high(self) -> Floats:
        """Greatest x and y (2,) [m]."""
        return self.planes[0].high

    @property
    def area(self) -> float:
        """In plan [m2]."""
        return float(np.prod(self.high - self.low))

    def number(self, plan: Floats) -> Ints:
        """Which plane (n,) counts at places in plan (n, 2) [m]."""
        if self.slopes is None or not len(plan):
            return np.zeros(len(plan), dtype=np.int64)
        return self.slopes.at(plan)

    def at(self, plan: Floats) -> Floats:
        """Points (n, 3) [m] of the roof, over places in plan (n, 2) [m]."""
        return _chosen(self.number(plan), [plane.at(plan) for plane in self.planes])

    def above(self, points: Floats) -> Floats:
        """How far above the roof points (n, 3) are, straight up (n,) [m]."""
        return _chosen(self.number(points[:, :2]), [plane.above(points) for plane in self.planes])

    def across(self, plan: Floats, way: Floats) -> Floats:
        """Way (n, 3) from one height above the roof, as it is at places in plan (n, 2), to another."""
        return _chosen(self.number(plan), [plane.across(way) for plane in self.planes])

    def falls(self, way: Floats) -> Flags:
        """Whether what goes along ways (n, 3) comes down on any of the slopes."""
        return np.any([plane.across(way) < 0 for plane in self.planes], axis=0)

    def crossed(self, points: Floats, way: Floats) -> Flags:
        """Whether lines through points (n, 3) along ways (n, 3) meet the roof within its bounds (n,)."""
        return np.any([meets for _, meets in self._crossings(points, way)], axis=0)

    def met_before(self, points: Floats, way: Floats) -> Flags:
        """Whether what goes along ways (n, 3) to points (n, 3) of the roof meets another of its slopes
        before, from above or from below."""
        if len(self.planes) == 1:
            return np.zeros(len(points), dtype=bool)
        crossings = self._crossings(points, way)
        return np.any([meets & (t < -BEFORE) for t, meets in crossings], axis=0)

    def _crossings(self, points: Floats, way: Floats) -> list[tuple[Floats, Flags]]:
        found = []
        for row, plane in enumerate(self.planes):
            t, plan, meets = plane.crossing(points, way)
            rows = np.flatnonzero(meets)
            meets[rows] = self.number(plan[rows]) == row
            found.append((t, meets))
        return found


def roof_over(surface: Surface, *, upright: bool) -> Roof:
    """The plane that fits the corners of the covering parts best, or one a slope, laid on top of them.

    With no covering: level, over the plan bounds of everything; at the top for rain that comes
    straight down (upright), else at the bottom, so that all stands above it.
    """
    covering = surface.parts_with(Role.COVERING)
    if not covering:
        low, high = surface.bounds
        level = float(high[2] if upright else low[2])
        return Roof((Plane(low[:2], high[:2], np.zeros(2), level),), None)
    own = np.flatnonzero(np.isin(surface.face_part, covering) & surface.solid)
    points = surface.vertices[np.unique(surface.faces[own])]
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    slopes = Slopes.of(surface)
    if slopes is None or len(slopes.each) == 1:
        return Roof((_laid_on(points, low, high),), None)
    level = slopes.rise @ ((low + high) / 2) + slopes.level
    planes = zip(slopes.rise, level.tolist(), strict=True)
    return Roof(tuple(Plane(low, high, tilt, height) for tilt, height in planes), slopes)


def _laid_on(points: Floats, low: Floats, high: Floats) -> Plane:
    middle = (low + high) / 2
    fit = np.column_stack([points[:, :2] - middle, np.ones(len(points))])
    rise_x, rise_y, level = np.linalg.lstsq(fit, points[:, 2], rcond=None)[0]
    tilt = np.array([rise_x, rise_y])
    # Lifted on top of every corner: rain that slants in lower than that would come under the eaves.
    lift = float((points[:, 2] - (points[:, :2] - middle) @ tilt - level).max())
    return Plane(low, high, tilt, float(level) + lift)


def _chosen(number: Ints, each: list[Floats]) -> Floats:
    if len(each) == 1:
        return each[0]
    return np.stack(each)[number, np.arange(len(number))]
