"""The section of a level gutter, cut square to its crease from the charts on both sides of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.channel_section import Section
from sim.charts import Charts
from sim.tolerances import WELD

Floats = NDArray[np.float64]

MOST_CHARTS = 10_000
"""A wall that is cut across more charts than this ends there."""


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """One side of a gutter, from its crease up for as long as it rises.

    out (k,) [m]: level distance from the crease, to the side that `across` points to; up (k,) [m]:
    height over the crease, never falling; own: how many of these points lie on the part it begins
    with, before another takes over (as masonry above an upstand); crest (3,) [m]: the last of them.
    """

    out: Floats
    up: Floats
    own: int
    crest: Floats

    @property
    def height(self) -> float:
        """Height over the crease up to which it is of one part [m]."""
        return float(self.up[self.own - 1])

    @property
    def steepness(self) -> float:
        """Rise over the straight way from crease to crest, 0 to 1."""
        return self.height / max(float(np.hypot(self.out[self.own - 1], self.height)), WELD)


def wall(charts: Charts, chart: int, edge: int, point: Floats, across: Floats) -> Wall:
    """The wall that begins with a chart at its edge, in the plane through a point (3,) [m] of that
    edge, recentred; across (3,): level unit vector square to the edge.

    It ends where it stops rising: at a rim, or at a bend beyond which it falls.
    """
    along = np.array([-across[1], across[0], 0.0])
    surface, edges = charts.surface, charts.edges
    points, own, part = [point], 1, charts.part[chart]
    for _ in range(MOST_CHARTS):
        corners = surface.vertices[surface.faces[chart // 2]]
        side = (corners - point) @ along >= 0
        first, last = (edge + 1) % 3, (edge + 2) % 3
        # Out by the edge whose ends lie on different sides of the plane: opposite the odd corner.
        leaves = last if side[edge] == side[last] else first
        a, b = corners[(leaves + 1) % 3], corners[(leaves + 2) % 3]
        far, near = float((a - point) @ along), float((b - point) @ along)
        share = 0.5 if far == near else far / (far - near)
        there = a + min(max(share, 0.0), 1.0) * (b - a)
        if there[2] < points[-1][2] - WELD:
            break
        points.append(there)
        if own == len(points) - 1 and charts.part[chart] == part:
            own += 1
        other = int(edges.neighbour[chart, leaves])
        if other < 0:
            break
        edge = 3 - int(edges.near[chart, leaves]) - int(edges.far[chart, leaves])
        chart = other
    line = np.array(points) - point
    up = np.maximum.accumulate(np.maximum(line[:, 2], 0.0))
    return Wall(line @ across, up, own, points[own - 1] + surface.centre)


def section_between(one: Wall, other: Wall) -> Section | None:
    """The section up to where the lower of two walls ends, upright above; None if that is nowhere, and
    where one wall leans over the other: a slit has no open water."""
    top = min(float(one.up[-1]), float(other.up[-1]))
    if top <= WELD:
        return None
    heights = np.unique(np.clip(np.concatenate([one.up, other.up]), 0.0, top))
    both = np.repeat(heights, 2)
    ends = [_out(side, heights) for side in (one, other)]
    if ends[0][-1] * ends[1][-1] > WELD**2:
        return None
    widths = np.abs(ends[0] - ends[1])
    keep = np.ones(len(both), dtype=bool)
    keep[1::2] = widths[1::2] != widths[::2]
    both, widths = both[keep], widths[keep]
    # Where the walls lean together to a slit, what is left of the width counts.
    widths[1:] = np.maximum(widths[1:], WELD)
    return Section(both, widths)


def _out(side: Wall, heights: Floats) -> Floats:
    """Level distance of a wall just under and just over each height, one after the other (2k,) [m]."""
    below = np.searchsorted(side.up, heights, side="left")
    above = np.searchsorted(side.up, heights, side="right") - 1
    found = np.empty(2 * len(heights))
    rise = np.diff(side.up)
    for k, (y, low, high) in enumerate(zip(heights, below, above, strict=True)):
        if low <= high:
            found[2 * k], found[2 * k + 1] = side.out[low], side.out[high]
        else:
            share = (y - side.up[high]) / rise[high]
            found[2 * k : 2 * k + 2] = side.out[high] + share * (side.out[low] - side.out[high])
    return found
