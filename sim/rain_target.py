"""What rain is aimed at: the roof, and the room above it that anything stands in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.rain_roof import Plane, Roof, roof_over
from sim.surface import Surface

APART: Final = 8  # every so many drops, one is aimed at what stands above the covering

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """The room round all that stands above a roof: upright walls, and a lid along a plane.

    low and high (3,) [m]: its bounds in plan, and in height above the plane: the roof's own, or a
    level one where the roof has more than one slope.
    """

    roof: Roof
    plane: Plane
    low: Floats
    high: Floats

    def shades_no_more_than_its_roof(self, flattest: Floats) -> bool:
        """Whether it is known that all rain from straight down to a flattest way (3,) that passes
        through the room meets the roof within its bounds."""
        if len(self.roof.planes) > 1:
            return False
        pick = np.arange(8)[:, None] >> np.arange(3) & 1
        corners = self._points(np.where(pick, self.high, self.low))
        ways = np.broadcast_to(flattest, (8, 3))
        down = np.broadcast_to([0.0, 0.0, -1.0], (8, 3))
        falls = bool((self.plane.across(ways) < 0).all())
        ends = self.roof.crossed(corners, ways) & self.roof.crossed(corners, down)
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
    apart (n,) bool: aimed at what stands above the roof, and not at the roof.
    """

    target: Floats
    flow: Floats
    apart: NDArray[np.bool_]
    roof: Roof


def aim_at(surface: Surface, draws: Floats, way: Floats, rain_m_s: float, flattest: Floats) -> Aim:
    """Aim drops evenly at the roof, and every eighth, and all that can't come down on that, at what
    stands above it, where there is any that rain would miss so.

    draws (n, 2), even in [0, 1); way (n, 3) of each drop; rain_m_s: on a level area [m/s]; flattest
    (3,): the flattest way that any drop might have, whatever their number.
    """
    upright = not flattest[:2].any()
    roof = roof_over(surface, upright=upright)
    room = None if upright else room_above(surface, roof)
    missed = room is not None and not room.shades_no_more_than_its_roof(flattest)
    falls = roof.falls(way)
    turn = np.zeros(len(draws), dtype=bool)
    turn[1::APART] = missed
    # Drops that can't come down on the roof are not wasted on it.
    apart = turn | (missed & ~falls)
    plan = roof.low + draws * (roof.high - roof.low)
    target = roof.at(plan)
    flow = rain_m_s * roof.area * np.maximum(0.0, roof.across(plan, way) / way[:, 2])
    flow[roof.met_before(target, way)] = 0.0
    if room and missed:
        target[apart] = room.aimed(draws[apart], way[apart])
        # What would come down on the roof within its bounds is counted there.
        beyond = ~roof.crossed(target[apart], way[apart])
        entered = rain_m_s * room.entered(way[apart]) / -way[apart, 2]
        flow[apart] = np.where(beyond, entered, 0.0)
    sharing = np.where(turn, turn.sum(), (~turn).sum())
    sharing[missed & ~falls] = len(draws)
    return Aim(target, flow / sharing, apart, roof)


def room_above(surface: Surface, roof: Roof) -> Room | None:
    """The room above a roof that any part but the covering reaches into; None when none does."""
    other = ~surface.of_role(surface.face_part, Role.COVERING) & surface.solid
    points = surface.vertices[surface.faces[other]]
    height = roof.above(points.reshape(-1, 3)).reshape(-1, 3)
    if not (height > 0).any():
        return None
    if len(roof.planes) > 1:
        return _level_room(roof, points[(height > 0).any(axis=1)].reshape(-1, 3))
    (plane,) = roof.planes
    places = [points[height > 0]]
    for a, b in ((0, 1), (1, 2), (2, 0)):
        cut = (height[:, a] > 0) != (height[:, b] > 0)
        share = height[cut, a] / (height[cut, a] - height[cut, b])
        places.append(points[cut, a] + share[:, None] * (points[cut, b] - points[cut, a]))
    reached = np.concatenate(places)
    reached[:, 2] = np.maximum(plane.above(reached), 0.0)
    return Room(roof, plane, reached.min(axis=0), reached.max(axis=0))


def _level_room(roof: Roof, reached: Floats) -> Room:
    """The upright box round points (n, 3), down to the lowest that the roof can be within it."""
    low, high = reached.min(axis=0), reached.max(axis=0)
    corners = np.array([(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])])
    lowest = min(float(plane.at(corners)[:, 2].min()) for plane in roof.planes)
    low[2] = min(max(low[2], lowest), high[2])
    return Room(roof, Plane(roof.low, roof.high, np.zeros(2), 0.0), low, high)
