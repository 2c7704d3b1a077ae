"""Slit corners: how an upstand and a lower one outside it, later dressed, are closed against each other.

Nothing is folded round such a corner, so the turn-ins only meet there: the lower one ends along a slanting
line, turned up. The higher upstand ends at that line, and above it its edge is dressed round the stack's
corner. What stays open below, the slit, is the patch's to cover.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import tan

from meshes.around.sheets import Sheet
from meshes.around.turn_ins import square_foot
from meshes.piece import TIGHT, Named
from meshes.plan import Corner
from meshes.turn_in import FALL

ROUND_CORNER = (0.0003, 0.0005)  # [m] it bends so far past the corner, and off its wall
HANGS = 0.002  # [m] over the stop it hangs down so far
ON_FACE = 0.0003  # [m] past the corner it ends on the other face, under its own turn-in
SLIT = 2e-5  # [m] beside a turn-in or its stop, to which an edge isn't joined


@dataclass(frozen=True, slots=True)
class Meeting:
    """The line along which the turn-in of the lower sheet ends at a corner, in plan: from its bend to
    the wall.

    stop: how high it is turned up there [m]; at_end: whether the higher sheet's run ends there, going
    anticlockwise, or starts.
    """

    higher: Sheet
    lower: Sheet
    stop: float
    corner: Corner
    at_end: bool

    def at(self, stand: float, sheet: Sheet) -> Corner:
        """The point of the line that stands so far off the wall [m] along which `sheet` runs."""
        a, b = (
            self.lower.rim.at(self.corner),
            square_foot(self.lower, self.corner, at_end=not self.at_end),
        )
        starts, ends = (self._stand(point, sheet) for point in (a, b))
        share = (starts - stand) / (starts - ends)
        return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)

    def end(self) -> Corner:
        """Where the higher upstand ends, just before the line."""
        x, y = self.at(self.higher.rim.distance, self.higher)
        ex, ey = self.higher.rim.onward(self.corner, at_end=self.at_end)
        return (x - ex * TIGHT, y - ey * TIGHT)

    def over(self, point: Corner, sheet: Sheet) -> float:
        """Height z [m] of a sheet's turn-in over a point in plan."""
        on_bend, into = self._bend_at(point, sheet)
        return sheet.top(*on_bend) + into * tan(FALL)

    def over_stop(self, point: Corner) -> float:
        """Height z [m] just over the stop on the lower turn-in, over a point in plan."""
        return self.over(point, self.lower) + self.stop + SLIT

    def _stand(self, point: Corner, sheet: Sheet) -> float:
        nx, ny = self._inward(sheet)
        return (self.corner[0] - point[0]) * nx + (self.corner[1] - point[1]) * ny

    def _bend_at(self, point: Corner, sheet: Sheet) -> tuple[Corner, float]:
        into = sheet.rim.distance - self._stand(point, sheet)
        nx, ny = self._inward(sheet)
        return (point[0] - nx * into, point[1] - ny * into), into

    def _inward(self, sheet: Sheet) -> Corner:
        return self.higher.rim.inward(self.corner, on=self.at_end is not (sheet is self.higher))


def edge_of_higher(meeting: Meeting) -> list[Named]:
    """The higher upstand's edge above the lower turn-in, dressed round the stack's corner on to the other
    face, that nothing blown along there gets behind it. Its lower border hangs down before the stop."""
    higher, lower, corner = meeting.higher, meeting.lower, meeting.corner
    ex, ey = higher.rim.onward(corner, at_end=meeting.at_end)
    ix, iy = higher.rim.inward(corner, on=not meeting.at_end)
    bx, by = lower.rim.onward(corner, at_end=not meeting.at_end)
    nx, ny = lower.rim.inward(corner, on=meeting.at_end)
    whole = higher.rim.at(corner)
    near = (
        corner[0] + ex * ROUND_CORNER[0] - ix * ROUND_CORNER[1],
        corner[1] + ey * ROUND_CORNER[0] - iy * ROUND_CORNER[1],
    )
    face = (corner[0] - bx * ON_FACE - nx * TIGHT, corner[1] - by * ON_FACE - ny * TIGHT)
    points = (whole, near, face)
    top = [(*whole, higher.top(*whole))]
    top += [(*point, meeting.over(point, higher) - TIGHT) for point in points[1:]]
    low = [(*point, meeting.over_stop(point) - HANGS) for point in points]
    return [("wall edge", [low[at], low[at + 1], top[at + 1], top[at]]) for at in (0, 1)]
