"""The outline of a stack grown by a sheet's stand-off: where its upstand is, corner for corner."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import shapely

from meshes.plan import Corner, Edge, Kind, Plan

FAR = 50.0  # [m] farther than any roof reaches
SAME = 1e-7  # [m] a point of a run this near to a corner of the plan is that corner


@dataclass(frozen=True, slots=True)
class Rim:
    """A plan's outline moved outward by `distance` [m] (inward below nought), mitred."""

    plan: Plan
    distance: float

    def at(self, point: Corner) -> Corner:
        """Where a point of the outline comes to lie: a corner by its mitre, else square to its edge."""
        before, after = self._edges_at(point)
        (nx, ny), (mx, my) = before.normal, after.normal
        share = self.distance / (1 + nx * mx + ny * my)
        return (point[0] + (nx + mx) * share, point[1] + (ny + my) * share)

    def past(self, point: Corner, reach: float, *, on: bool) -> Corner:
        """A point `reach` [m] past a corner on the outline moved: on (True) or back along it."""
        before, after = self._edges_at(point)
        way = after.along if on else (-before.along[0], -before.along[1])
        x, y = self.at(point)
        return (x + way[0] * reach, y + way[1] * reach)

    def inward(self, point: Corner, *, on: bool) -> Corner:
        """Unit vector into the stack, square to the edge that starts at a corner, or ends there."""
        before, after = self._edges_at(point)
        x, y = (after if on else before).normal
        return (-x, -y)

    def outward_along(self, point: Corner, *, on: bool) -> Corner:
        """Unit vector along the edge round a corner, carried on past that corner, off the stack."""
        before, after = self._edges_at(point)
        x, y = (-after.along[0], -after.along[1]) if on else before.along
        return (x, y)

    def onward(self, point: Corner, *, at_end: bool) -> Corner:
        """Unit vector along a run's own edge, past its last corner (at_end) or its first."""
        before, after = self._edges_at(point)
        x, y = before.along if at_end else (-after.along[0], -after.along[1])
        return (x, y)

    def square(self, point: Corner, *, at_end: bool) -> Corner:
        """Where a corner comes to lie square to a run's own edge, at its last corner or its first."""
        before, after = self._edges_at(point)
        x, y = (before if at_end else after).normal
        return (point[0] + x * self.distance, point[1] + y * self.distance)

    def shifted(self, point: Corner, by: float, *, at_end: bool) -> Corner:
        """The corner on the rim, moved back along a run's own edge [m]."""
        x, y = self.at(point)
        ex, ey = self.onward(point, at_end=at_end)
        return (x - ex * by, y - ey * by)

    def room_past(self, point: Corner, *, on: bool) -> float:
        """Length [m] of the plan's edge past a corner."""
        before, after = self._edges_at(point)
        return after.length if on else before.length

    def ends_run_past(self, point: Corner, *, on: bool) -> bool:
        """Whether the plan's edge past a corner is the only one of its kind there: another kind of piece
        begins at its far end too."""
        before, after = self._edges_at(point)
        edge = after if on else before
        edges = self.plan.edges
        beyond = edges[(edges.index(edge) + (1 if on else -1)) % len(edges)]
        return beyond.kind is not edge.kind

    @property
    def polygon(self) -> shapely.Polygon:
        """The outline moved."""
        return shapely.Polygon([self.at(corner) for corner in self.plan.corners])

    def shadow(self, way: int, upto: float | None = None) -> shapely.Geometry:
        """What is behind the outline (way 1): itself, and straight up the slope of the edges that face
        up it; or (way -1) what it covers when it is swept down the slope.

        upto: y of a ridge, past which it is the outline itself.
        """
        here = self.polygon
        if way < 0:
            return shapely.union(here, _moved_far(here, -1)).convex_hull
        back = [edge for edge in self.plan.edges if edge.kind is Kind.BACK]
        points = [self.at(corner) for edge in back for corner in (edge.start, edge.end)]
        line = shapely.MultiPoint(points)
        swept = shapely.union(line, _moved_far(line, 1)).convex_hull
        if upto is not None:
            swept = swept.intersection(shapely.box(-FAR, -FAR, FAR, upto))
        return shapely.union(swept, here)

    def _edges_at(self, point: Corner) -> tuple[Edge, Edge]:
        edges = self.plan.edges
        for number, edge in enumerate(edges):
            if _near(edge.start, point):
                return edges[number - 1], edge
        for edge in edges:
            along = edge.along
            at = (point[0] - edge.start[0]) * along[0] + (point[1] - edge.start[1]) * along[1]
            foot = (edge.start[0] + along[0] * at, edge.start[1] + along[1] * at)
            if -SAME < at < edge.length + SAME and _near(foot, point):
                return edge, edge
        raise ValueError(f"{point} is not on the outline")


def _moved_far(shape: shapely.Geometry, way: int) -> shapely.Geometry:
    return shapely.affinity.translate(shape, 0, way * FAR)


def _near(a: Corner, b: Corner) -> bool:
    return hypot(a[0] - b[0], a[1] - b[1]) < SAME
