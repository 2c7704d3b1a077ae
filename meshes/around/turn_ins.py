"""Turn-ins of a run of upstands, and how they end at the stack's corners."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from math import hypot, tan

from meshes.around.rim import Rim
from meshes.around.sheets import Sheet
from meshes.piece import Named
from meshes.plan import Corner, Plan
from meshes.sheet import Point
from meshes.turn_in import BEFORE_CORNER, FALL, OFF_CORNER, PAST_CORNER, STOP

CLEAR_OF_MITRE = 0.0008  # [m] inside the wall a turn-in stops this far from its neighbour's
OFF_EDGE, IN_WALL = 0.0008, 0.0005  # [m] where a mitre enters the wall, past the stack's edge
NONE = 1e-8  # [m] and those that differ by less are one point of a sheet
SAME = 1e-7  # [m] heights that differ by less are one


class Ending(Enum):
    """How a turn-in ends: at the corner's mitre; square, at the corner or along an edge; a little way
    round the corner, so that nothing runs down past it; or as a nose over the return that it goes
    with, which throws off what runs along."""

    MITRE = 0
    SQUARE = 3
    PAST = 1
    NOSE = 2


@dataclass(frozen=True, slots=True)
class Stop:
    """How a turn-in's square end is turned up. high: how high [m], 0 not at all; short: whether it meets
    the wall a little short of its end, where another lies as high beside it, not past the corner."""

    high: float
    short: bool


NO_STOP = Stop(0.0, False)


def turn_in(
    sheet: Sheet,
    points: tuple[Corner, ...],
    depth: float,
    endings: tuple[Ending, Ending],
    stops: tuple[Stop, Stop] = (NO_STOP, NO_STOP),
) -> list[Named]:
    """The leg into the chase: one facet an edge, falling outward, mitred at the corners [m].

    stops: how its square ends are turned up, so that nothing runs off them behind what is below.
    """
    inner = _inner_line(sheet.rim.plan, points, depth)
    out = sheet.out(points)
    panels: list[list[Point]] = []
    joints: list[tuple[list[Point], list[Point]]] = []
    for number, (a, b) in enumerate(pairwise(out)):
        plane = _Plane(a, b, sheet)
        p, q = inner[number], inner[number + 1]
        first = [
            plane.moved(p, CLEAR_OF_MITRE),
            *end_of(sheet, points[0], endings[0], False, stop=stops[0]),
        ]
        last = [
            *reversed(end_of(sheet, points[-1], endings[1], True, stop=stops[1])),
            plane.moved(q, -CLEAR_OF_MITRE),
        ]
        here, there = (_beside_corner(sheet, points[at]) for at in (number, number + 1))
        start = first if number == 0 else [p, here, a]
        end = last if number == len(out) - 2 else [b, there, q]
        panels.append([plane.at(point) for point in (*start, *end)])
        joints.append(([plane.at(p), plane.at(here)], [plane.at(there), plane.at(q)]))
    found: list[Named] = [("turn-in", panel) for panel in panels]
    ends = (panels[0], list(reversed(panels[-1])))
    for ending, stop, panel in zip(endings, stops, ends, strict=True):
        if ending is Ending.NOSE:
            found.append(_stop(panel[1], panel[0], STOP))
        elif ending is Ending.SQUARE and stop.high > 0:
            found += [_stop(panel[3], panel[2], stop.high), _stop(panel[2], panel[1], stop.high)]
    for bend, before, after in zip(out[1:-1], joints, joints[1:], strict=False):
        (near, far), (far_after, near_after) = before[1], after[0]
        if abs(near[2] - near_after[2]) > SAME:
            found.append(("mitre", [(*bend, sheet.top(*bend)), near, near_after]))
            found += _between(near, far, far_after, near_after)
    return found


def _inner_line(plan: Plan, points: tuple[Corner, ...], depth: float) -> list[Corner]:
    """The inner edge within the stack, point for point: less deep at a corner where the mitres at the
    ends of an edge of the run would otherwise meet, with a tenth of its length to spare."""
    mitres = [
        tan(plan.turn_at(plan.corners.index(point)) / 2) if point in plan.corners else 0.0
        for point in points
    ]
    deep = [depth] * len(points)
    for at, (a, b) in enumerate(pairwise(points)):
        mitred = mitres[at] + mitres[at + 1]
        most = 0.9 * hypot(b[0] - a[0], b[1] - a[1]) / mitred if mitred > 0 else depth
        deep[at], deep[at + 1] = min(deep[at], most), min(deep[at + 1], most)
    return [Rim(plan, -least).at(point) for point, least in zip(points, deep, strict=True)]


def _between(near: Point, far: Point, far_after: Point, near_after: Point) -> list[Named]:
    """What closes two planes above each other from near to far; where they cross, on both sides."""
    apart, further = near[2] - near_after[2], far[2] - far_after[2]
    if min(abs(apart), abs(further)) < NONE:
        third = near_after if abs(further) < NONE else far_after
        return [("mitre", [near, far, third])] if max(abs(apart), abs(further)) > NONE else []
    if apart * further > 0:
        return [("mitre", [near, far, far_after, near_after])]
    share = apart / (apart - further)
    x, y, z = (a + (b - a) * share for a, b in zip(near, far, strict=True))
    return [("mitre", [near, (x, y, z), near_after]), ("mitre", [(x, y, z), far, far_after])]


def _beside_corner(sheet: Sheet, corner: Corner) -> Corner:
    """A point just within the wall, past a corner: a mitre through it misses the stack's upright edge,
    where three faces would meet in one point. Where a run only bends upright, as at a ridge, straight in."""
    if corner not in sheet.rim.plan.corners:
        return Rim(sheet.rim.plan, -IN_WALL).at(corner)
    (ex, ey), (nx, ny) = sheet.rim.onward(corner, at_end=False), sheet.rim.inward(corner, on=True)
    return (corner[0] - ex * OFF_EDGE + nx * IN_WALL, corner[1] - ey * OFF_EDGE + ny * IN_WALL)


def _stop(outer: Point, inner: Point, high: float) -> Named:
    """A turn-in's edge before the wall, turned up, so that nothing runs over it into the corner."""
    raised: list[Point] = [(x, y, z + high) for x, y, z in (inner, outer)]
    return ("stop", [outer, inner, *raised])


def nose(sheet: Sheet, corner: Corner, *, on: bool) -> tuple[Corner, Corner]:
    """The nose's outer corner, on the line of the return, and its inner one, just off the wall.

    on: round the corner to the next face anticlockwise (True), or to the one before.
    """
    rim = sheet.rim
    (nx, ny), (ux, uy) = rim.inward(corner, on=on), rim.outward_along(corner, on=on)
    x, y = corner[0] + ux * OFF_CORNER, corner[1] + uy * OFF_CORNER
    far, near = rim.distance, BEFORE_CORNER
    return (x - nx * far, y - ny * far), (x - nx * near, y - ny * near)


def on_plane(sheet: Sheet, points: tuple[Corner, ...], point: Corner, *, at_end: bool) -> float:
    """Height z [m], over a point in plan, of the turn-in along a run's last edge, or its first."""
    a, b = sheet.out(points[-2:] if at_end else points[:2])
    return _Plane(a, b, sheet).at(point)[2]


def end_of(
    sheet: Sheet, corner: Corner, ending: Ending, at_end: bool, *, stop: Stop = NO_STOP
) -> list[Corner]:
    """Corners from just off the wall out to the bend.

    stop: how its square end is turned up.
    """
    rim = sheet.rim
    if ending is Ending.MITRE:
        return [rim.shifted(corner, CLEAR_OF_MITRE, at_end=at_end)]
    if ending is Ending.NOSE:
        outer, near = nose(sheet, corner, on=at_end)
        return [near, outer, rim.at(corner)]
    if ending is Ending.SQUARE:
        (ex, ey), (x, y) = rim.onward(corner, at_end=at_end), rim.square(corner, at_end=at_end)
        # Within the wall it keeps to its own side of the mitre.
        within = Rim(rim.plan, -IN_WALL).shifted(corner, CLEAR_OF_MITRE, at_end=at_end)
        if stop.short:
            foot = Rim(rim.plan, -IN_WALL / 2).shifted(corner, OFF_EDGE / 2, at_end=at_end)
            back = 0.0 if corner in rim.plan.corners else OFF_EDGE / 2
            return [within, foot, (x - ex * back, y - ey * back)]
        if stop.high > 0:
            return [within, square_foot(sheet, corner, at_end=at_end), rim.at(corner)]
        past = OFF_EDGE / 2
        foot = (corner[0] + ex * past, corner[1] + ey * past)
        return [within, foot, (x + ex * past, y + ey * past)]
    (nx, ny), (ex, ey) = rim.inward(corner, on=not at_end), rim.onward(corner, at_end=at_end)
    past = PAST_CORNER
    foot = (corner[0] + ex * past, corner[1] + ey * past)
    return [foot, (foot[0] - nx * past, foot[1] - ny * past), rim.square(corner, at_end=at_end)]


def square_foot(sheet: Sheet, corner: Corner, *, at_end: bool) -> Corner:
    """Where a square end that is turned up past a corner bends towards the chase, in plan: round the
    corner and within the wall, so that it covers what is dressed to the other face there."""
    (ex, ey), (nx, ny) = (
        sheet.rim.onward(corner, at_end=at_end),
        sheet.rim.inward(corner, on=not at_end),
    )
    past = OFF_EDGE / 2
    return (corner[0] + (ex + nx) * past, corner[1] + (ey + ny) * past)


class _Plane:
    """The plane of a turn-in along an edge from a to b, rising into the stack."""

    def __init__(self, a: Corner, b: Corner, sheet: Sheet) -> None:
        length = hypot(b[0] - a[0], b[1] - a[1])
        self.start, self.height = a, sheet.top(*a)
        self.along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        self.slope = (sheet.top(*b) - self.height) / length

    def at(self, point: Corner) -> Point:
        """The point in plan, raised into the plane."""
        dx, dy = point[0] - self.start[0], point[1] - self.start[1]
        run = dx * self.along[0] + dy * self.along[1]
        into = dy * self.along[0] - dx * self.along[1]
        return (*point, self.height + run * self.slope + into * tan(FALL))

    def moved(self, point: Corner, by: float) -> Corner:
        """The point moved along the edge [m]."""
        return (point[0] + self.along[0] * by, point[1] + self.along[1] * by)
