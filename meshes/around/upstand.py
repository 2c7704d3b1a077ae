"""Upstands along a run of edges, their turn-ins, and the returns that close them at a corner."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, tan

from meshes.around.lie import Lie
from meshes.around.rim import Rim
from meshes.around.saddle import Saddle
from meshes.piece import TIGHT, Named
from meshes.plan import Corner
from meshes.sheet import Point
from meshes.turn_in import FALL

Top = Callable[[float, float], float]

CLEAR_OF_MITRE = 0.0008  # [m] a turn-in stops this far from the corner, clear of its neighbour's
CLEAR_OF_TOP = 0.006  # [m] a return keeps this far from the turn-in of the sheet that it lies on
UNDER_TOP = (
    0.012  # [m] and one that is tucked under this far below the turn-in of the sheet over it
)
RETURN_DROP = 0.35  # [1] fall of a return's top edge away from the corner: no source
BEFORE_WALL = 0.0006  # [m] an edge dressed to the wall stops this far before it
OFF_BEND = 0.00015  # [m] and its top lip begins so far from the bend: less than water passes
LEAST = 0.010  # [m] a return less high than this is left off


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet beside a stack: its rim, what it lies on in plan, and the height of its top edge."""

    rim: Rim
    lie: Callable[[Corner], Lie | Saddle]
    top: Top

    def out(self, points: Sequence[Corner]) -> list[Corner]:
        """Points of the outline moved out to the upstand."""
        return [self.rim.at(point) for point in points]

    def foot(self, a: Corner, b: Corner) -> list[Point]:
        """The foot of the upstand from a to b in plan."""
        return self.lie(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)).foot(a, b)


def upstand(sheet: Sheet, points: Sequence[Corner]) -> list[Named]:
    """One upright facet an edge of a run, from its foot to a straight top edge."""
    return [
        ("upstand", [*sheet.foot(a, b), (*b, sheet.top(*b)), (*a, sheet.top(*a))])
        for a, b in pairwise(sheet.out(points))
    ]


def turn_in(sheet: Sheet, points: Sequence[Corner], depth: float) -> list[Named]:
    """The leg into the chase: one facet an edge, falling outward, mitred at the corners [m]."""
    inner = Rim(sheet.rim.plan, -depth)
    out = sheet.out(points)
    panels = []
    for number, (a, b) in enumerate(pairwise(out)):
        p, q = inner.at(points[number]), inner.at(points[number + 1])
        panels.append(_panel(a, b, p, q, sheet.top, (number == 0, number == len(out) - 2)))
    found: list[Named] = [("turn-in", panel) for panel in panels]
    for before, after in pairwise(panels):
        if abs(before[2][2] - after[3][2]) > 1e-6:
            found.append(("mitre", [before[1], before[2], after[3]]))
    return found


def _panel(
    a: Corner, b: Corner, p: Corner, q: Corner, top: Top, ends: Sequence[bool]
) -> list[Point]:
    """a, b along the bend, q, p inside, in one plane that rises inward."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    slope = (top(*b) - top(*a)) / length

    def at(point: Corner, by: float) -> Point:
        x, y = point[0] + along[0] * by, point[1] + along[1] * by
        run = (x - a[0]) * along[0] + (y - a[1]) * along[1]
        into = abs((x - a[0]) * along[1] - (y - a[1]) * along[0])
        return (x, y, top(*a) + run * slope + into * tan(FALL))

    first, last = (CLEAR_OF_MITRE if end else 0.0 for end in ends)
    return [at(a, first), at(b, -last), at(q, -last), at(p, first)]


def return_over(
    sheet: Sheet, corner: Corner, beside: Sheet, reach: float, *, on: bool
) -> list[Named]:
    """The upstand turned round a corner onto the next face, over the sheet there, edges dressed tight.

    reach: how far [m]; on: to the next face anticlockwise (True) or the one before.
    """
    a, b = sheet.rim.at(corner), sheet.rim.past(corner, reach, on=on)
    inward = sheet.rim.inward(corner, on=on)
    apart = sheet.rim.distance - beside.rim.distance - TIGHT
    near, back = ((x + inward[0] * apart, y + inward[1] * apart) for x, y in (a, b))
    # Along the fall line the cover's own edge is at its foot; else it is cut to the sheet beside it.
    falls = abs(b[0] - a[0]) < 1e-9
    foot = sheet.foot(a, b) if falls else _tight(beside, a, b)
    high, end = sheet.top(*a), sheet.top(*b)
    theirs = beside.top(*back)
    lower = end < theirs - CLEAR_OF_TOP
    if lower:
        end = max(min(end, high - RETURN_DROP * reach), (foot[-1][2] + high) / 2)
    edge = min(end, theirs - CLEAR_OF_TOP)
    low = beside.lie(back).height(*back) + TIGHT
    found: list[Named] = [("return", [*foot, (*b, end), (*a, high)])]
    if edge > foot[-1][2] + LEAST:
        found.append(("return edge", [foot[-1], (*b, edge), (*back, edge), (*back, low)]))
    if lower:
        share = OFF_BEND / reach
        first, inner = (
            (p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share)
            for p, q in ((a, b), (near, back))
        )
        start = high + (end - high) * share
        found.append(("return top", [(*first, start), (*b, end), (*back, end), (*inner, start)]))
    elif end > theirs + CLEAR_OF_TOP + LEAST:
        to_wall = sheet.rim.distance - BEFORE_WALL
        wall = (b[0] + inward[0] * to_wall, b[1] + inward[1] * to_wall)
        start = theirs + CLEAR_OF_TOP
        found.append(("wall edge", [(*b, start), (*b, end), (*wall, end), (*wall, start)]))
    return found


def return_under(
    sheet: Sheet, corner: Corner, over: Sheet, reach: float, *, on: bool
) -> list[Named]:
    """The upstand turned round a corner, behind the sheet that lies over it there."""
    a, b = sheet.rim.at(corner), sheet.rim.past(corner, reach, on=on)
    foot = sheet.lie(a).height(*a)
    rise = max(sheet.lie(b).height(*b) - foot, 0.0)
    tops = [min(sheet.top(*p), over.top(*p) - UNDER_TOP) for p in (a, b)]
    if min(tops[0] - foot, tops[1] - foot - rise) < LEAST:
        return []
    return [("return", [(*a, foot), (*b, foot + rise), (*b, tops[1]), (*a, tops[0])])]


def edge_lip(sheet: Sheet, beside: Sheet, start: Corner, length: float) -> list[Named]:
    """The free edge of a cover, straight down the slope from `start` in plan, dressed tight to the
    sheet below it over a length in plan [m]."""
    end = (start[0], start[1] - length)
    above = sheet.foot(end, start)
    below = _tight(beside, end, start)
    return [("cover lip", [*above, *reversed(below)])]


def _tight(beside: Sheet, a: Corner, b: Corner) -> list[Point]:
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    return beside.lie(middle).lifted(TIGHT).foot(a, b)
