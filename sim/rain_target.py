"""What rain is aimed at: a plane over the covering, and the room above it that anything stands in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.surface import Surface

APART: Final = 8  # every so many drops, one is aimed at what stands above the covering

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A piece of a plane, seen in plan as a rectangle.

    low and high (2,): its bounds in plan [m]; tilt (2,): its rise in a metre along x and y [1];
    level: its height at the middle [m]. All in the surface's own, recentred coordinates.
    """

    low: Floats
    high: Floats
    tilt: Floats
    level: float

    @property
    def area(self) -> float:
        """In plan [m2]."""
        return float(np.prod(self.high - self.low))

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

    def crossed(self, points: Floats, way: Floats) -> NDArray[np.bool_]:
        """Whether lines through points (n, 3) along ways (n, 3) meet it within its bounds (n,)."""
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -self.above(points) / self.across(way)
            plan = points[:, :2] + t[:, None] * way[:, :2]
        within: NDArray[np.bool_] = (plan >= self.low) & (plan <= self.high)
        return within[:, 0] & within[:, 1]


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """The room round all that stands above a plane: upright walls, and a lid along the plane.

    low and high (3,) [m]: its bounds in plan, and in height above the plane.
    """

    plane: Plane
    low: Floats
    high: Floats

    def shades_no_more_than_its_plane(self, flattest: Floats) -> bool:
        """Whether all rain from straight down to a flattest way (3,) that passes through the room
        meets the plane within its bounds."""
        pick = np.arange(8)[:, None] >> np.arange(3) & 1
        corners = self._points(np.where(pick, self.high, self.low))
        ways = np.broadcast_to(flattest, (8, 3))
        down = np.broadcast_to([0.0, 0.0, -1.0], (8, 3))
        falls = bool((self.plane.across(ways) < 0).all())
        ends = self.plane.crossed(corners, ways) & self.plane.crossed(corners, down)
        return falls and bool(ends.all())

    def entered(self, way: Floats) -> Floats:
        """Volume that passes through the room along ways (n, 3) and in a length of one (n,) [m3]."""
        return self._faces(way).sum(axis=1)

    def aimed(self, draws: Floats, way: Floats) -> Floats:
        """Places where lines along ways (n, 3) enter the room, spread evenly over what of it they
        see (n, 3) [m]; draws (n, 2), even in [0, 1). Not numbers where they see nothing of it."""
        share = np.cumsum(self._faces(way), axis=1)
        drawn = draws[:, 0] * share[:, -1]
        axis = np.minimum((drawn[:, None] >= share).sum(axis=1), 2)
        row = np.arange(len(way))
        before = np.where(axis > 0, share[row, axis - 1], 0.0)
        with np.errstate(invalid="ignore"):
            within = np.clip((drawn - before) / (share[row, axis] - before), 0.0, 1.0)
        place = np.empty((len(way), 3))
        place[row, (axis + 1) % 3] = within
        place[row, (axis + 2) % 3] = draws[:, 1]
        place[row, axis] = self._sheared(way)[row, axis] < 0
        return self._points(self.low + place * (self.high - self.low))

    def _sheared(self, way: Floats) -> Floats:
        return np.column_stack([way[:, :2], self.plane.across(way)])

    def _faces(self, way: Floats) -> Floats:
        # Heights are counted from the plane: that shears space, which leaves volumes as they are.
        along, up, tall = self.high - self.low
        return np.abs(self._sheared(way)) * np.array([up * tall, along * tall, along * up])

    def _points(self, place: Floats) -> Floats:
        points = self.plane.at(place[:, :2])
        points[:, 2] += place[:, 2]
        return points


@dataclass(frozen=True, slots=True, eq=False)
class Aim:
    """What each of n drops is aimed at.

    target (n, 3) [m], recentred; flow (n,) that it stands for [m3/s], nil: not to be released;
    apart (n,) bool: aimed at what stands above the plane, and not at the plane.
    """

    target: Floats
    flow: Floats
    apart: NDArray[np.bool_]
    plane: Plane


def aim_at(surface: Surface, draws: Floats, way: Floats, rain_m_s: float, flattest: Floats) -> Aim:
    """Aim drops evenly at the plane over the covering, and every eighth, and all that can't come down
    on that, at what stands above it, where there is any that rain would miss so.

    draws (n, 2), even in [0, 1); way (n, 3) of each drop; rain_m_s: on a level area [m/s]; flattest
    (3,): the flattest way that any drop might have, whatever their number.
    """
    upright = not flattest[:2].any()
    plane = plane_over(surface, upright=upright)
    room = None if upright else room_above(surface, plane)
    missed = room is not None and not room.shades_no_more_than_its_plane(flattest)
    falls = plane.across(way) < 0
    turn = np.zeros(len(draws), dtype=bool)
    turn[1::APART] = missed
    # Drops that can't come down on the plane are not wasted on it.
    apart = turn | (missed & ~falls)
    target = plane.at(plane.low + draws * (plane.high - plane.low))
    flow = rain_m_s * plane.area * np.maximum(0.0, plane.across(way) / way[:, 2])
    if room and missed:
        target[apart] = room.aimed(draws[apart], way[apart])
        # What would come down on the plane within its bounds is counted there.
        beyond = ~plane.crossed(target[apart], way[apart])
        entered = rain_m_s * room.entered(way[apart]) / -way[apart, 2]
        flow[apart] = np.where(beyond, entered, 0.0)
    sharing = np.where(turn, turn.sum(), (~turn).sum())
    sharing[missed & ~falls] = len(draws)
    return Aim(target, flow / sharing, apart, plane)


def plane_over(surface: Surface, *, upright: bool) -> Plane:
    """The plane that fits the corners of the covering parts best, laid on top of them.

    With no covering: level, over the plan bounds of everything; at the top for rain that comes
    straight down (upright), else at the bottom, so that all stands above it.
    """
    covering = surface.parts_with(Role.COVERING)
    if not covering:
        low, high = surface.bounds
        return Plane(low[:2], high[:2], np.zeros(2), float(high[2] if upright else low[2]))
    own = np.isin(surface.face_part, covering) & surface.solid
    points = surface.vertices[np.unique(surface.faces[own])]
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    middle = (low + high) / 2
    fit = np.column_stack([points[:, :2] - middle, np.ones(len(points))])
    rise_x, rise_y, level = np.linalg.lstsq(fit, points[:, 2], rcond=None)[0]
    tilt = np.array([rise_x, rise_y])
    # Lifted on top of every corner: rain that slants in lower than that would come under the eaves.
    lift = float((points[:, 2] - (points[:, :2] - middle) @ tilt - level).max())
    return Plane(low, high, tilt, float(level) + lift)


def room_above(surface: Surface, plane: Plane) -> Room | None:
    """The room above a plane that any part but the covering reaches into; None when none does."""
    other = ~np.isin(surface.face_part, surface.parts_with(Role.COVERING)) & surface.solid
    points = surface.vertices[surface.faces[other]]
    height = plane.above(points.reshape(-1, 3)).reshape(-1, 3)
    places = [points[height > 0]]
    for a, b in ((0, 1), (1, 2), (2, 0)):
        cut = (height[:, a] > 0) != (height[:, b] > 0)
        share = height[cut, a] / (height[cut, a] - height[cut, b])
        places.append(points[cut, a] + share[:, None] * (points[cut, b] - points[cut, a]))
    reached = np.concatenate(places)
    if not len(places[0]):
        return None
    reached[:, 2] = np.maximum(plane.above(reached), 0.0)
    return Room(plane, reached.min(axis=0), reached.max(axis=0))
