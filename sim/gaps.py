"""Gaps: where two sheets lie so near each other that wind pushes water between them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.cast import Caster
from sim.edges import Edges
from sim.laplace import Ties
from sim.laps_table import GAP, INSIDE_EDGE
from sim.nearby import groups
from sim.surface import Surface
from sim.tolerances import CLOSED

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

FACING = 0.5
"""Cosine: two charts make a gap when they lie within 60 degrees of parallel."""
LIFT = 1e-6
"""How far off its own chart a ray starts [m]."""
UPRIGHT = 0.1
"""Where the upward parts of two normals differ by less, neither chart lies more than the other."""
CLOSING = np.pi / 3
"""A gap whose walls meet at less than this [rad] is closed there."""
ROUND = 1.75 * np.pi
"""Over an edge with this much air [rad] a chart leads round a rim, to the sheet's other side."""


class Sheets(Protocol):
    """What gaps are found on: a `Ground`, or charts."""

    @property
    def surface(self) -> Surface: ...
    @property
    def edges(self) -> Edges: ...
    @property
    def caster(self) -> Caster: ...


@dataclass(frozen=True, slots=True, eq=False)
class Gaps:
    """The gaps of the 2m charts, and the mesh that the pressure in them is found on.

    faced (2m,): the chart that lies opposite each, farther off than CLOSED and within GAP, -1 for
    none; across (2m,): its part, -1 for none; width (2m,) [m]: how far off, inf for none. Of the two
    walls of a gap one is its floor, on which water lies. floor (d,): those charts; corners
    (d, 3, 3) [m]: where their corners are, recentred; nodes (d, 3): their numbers, one for each
    place that hangs together over edges; count: how many there are. rim (b, 2), chart and edge:
    borders of floors, less those where the gap closes; ends (b, 2): their nodes. ties: where a floor
    ends over another, as at the nose of a course between two sheets, its nodes hang on that one.
    """

    faced: Ints
    across: Ints
    width: Floats
    floor: Ints
    corners: Floats
    nodes: Ints
    count: int
    rim: Ints
    ends: Ints
    ties: Ties

    @staticmethod
    def of(sheets: Sheets) -> Gaps:
        """Find all gaps. A chart is asked at its centroid: split it along outlines first."""
        faced, width = _faced(sheets)
        floor = np.flatnonzero(_is_floor(sheets, faced))
        place = np.full(len(faced), -1)
        place[floor] = np.arange(len(floor))
        edges = sheets.edges
        other = edges.neighbour[floor].astype(np.int64)
        joined = (other >= 0) & (place[other] >= 0) & (edges.air[floor] < ROUND)
        row, edge = np.nonzero(joined)
        chart = floor[row]
        there = place[other[row, edge]]
        pairs = [
            np.stack([3 * row + (edge + step) % 3, 3 * there + at[chart, edge]], axis=1)
            for step, at in ((1, edges.near), (2, edges.far))
        ]
        node = groups(3 * len(floor), np.concatenate(pairs)) if len(floor) else np.zeros(0, int)
        nodes = node.reshape(-1, 3)
        air = edges.air[floor]
        ends_on = ~joined & (other >= 0) & (faced[other] >= 0) & (air > CLOSING) & (air < ROUND)
        row, edge = np.nonzero(~joined & (other >= 0) & (air > CLOSING) & ~ends_on)
        ends = np.stack([nodes[row, (edge + 1) % 3], nodes[row, (edge + 2) % 3]], axis=1)
        surface = sheets.surface
        ties = _hung(sheets, floor, nodes, place, np.argwhere(ends_on))
        loose = ~np.isin(ties.slave, ends)
        ties = Ties(ties.slave[loose], ties.master[loose], ties.share[loose])
        across = np.where(faced >= 0, surface.face_part[faced // 2], -1).astype(np.int64)
        return Gaps(
            faced=faced, across=across, width=width, floor=floor,
            corners=surface.vertices[surface.faces[floor // 2]], nodes=nodes,
            count=int(nodes.max(initial=-1)) + 1, rim=np.stack([floor[row], edge], axis=1), ends=ends,
            ties=ties,
        )  # fmt: skip

    @property
    def lies(self) -> Flags:
        """Whether each chart (2m,) lies in a gap."""
        return self.faced >= 0


def chart_normals(surface: Surface) -> Floats:
    """Unit normal of each chart, to its air side (2m, 3)."""
    both = np.repeat(surface.normals, 2, axis=0)
    both[1::2] *= -1
    return both


def _faced(sheets: Sheets) -> tuple[Ints, Floats]:
    """The chart (2m,) opposite each chart, -1 for none, and how far off it is [m]."""
    surface = sheets.surface
    chart = np.flatnonzero(np.repeat(surface.solid, 2))
    normals = chart_normals(sheets.surface)[chart]
    middle = surface.vertices[surface.faces[chart // 2]].mean(axis=1) + surface.centre
    away, face = sheets.caster.first_hit(middle + LIFT * normals, normals, GAP - LIFT)
    lean = (normals * surface.normals[face]).sum(axis=1)
    # What all but touches is closed: no air passes there, and contacts keep water out.
    met = (face >= 0) & (np.abs(lean) > FACING) & (away > CLOSED)
    faced = np.full(2 * len(surface.faces), -1, dtype=np.int64)
    width = np.full(len(faced), np.inf)
    faced[chart[met]] = 2 * face[met].astype(np.int64) + (lean[met] > 0)
    width[chart[met]] = away[met] + LIFT
    return faced, width


def _is_floor(sheets: Sheets, faced: Ints) -> Flags:
    """Which charts (2m,) are floors: of two that face each other the one that faces up more; of
    upright ones the wet side before the dry side, then the earlier part, then the earlier chart."""
    here = np.arange(len(faced))
    other = np.where(faced >= 0, faced, 0)
    up = chart_normals(sheets.surface)[:, 2]
    lead = up - up[other]
    side = other % 2 - here % 2
    owner = np.repeat(sheets.surface.face_part, 2)
    part = owner[other] - owner
    first = np.where(side != 0, side > 0, np.where(part != 0, part > 0, other > here))
    return (faced >= 0) & np.where(np.abs(lead) > UPRIGHT, lead > 0, first)


def _hung(sheets: Sheets, floor: Ints, nodes: Ints, place: Ints, ends_on: Ints) -> Ties:
    """Ties of the nodes at edges (k, 2; row of the floor and edge) where a floor ends at another
    gap's upper wall, to the floor below that wall."""
    row, edge = ends_on.T
    chart = floor[row]
    surface, edges = sheets.surface, sheets.edges
    wall = edges.neighbour[chart, edge].astype(np.int64)
    over = 3 - edges.near[chart, edge] - edges.far[chart, edge]
    corner = np.stack([(edge + 1) % 3, (edge + 2) % 3])
    slave = nodes[row, corner].ravel()
    spot = surface.vertices[surface.faces[chart // 2, corner]].reshape(-1, 3)
    # A little way in, and off the ends of the edge, so that the ray falls inside the gap.
    middle = surface.vertices[surface.faces[wall // 2]].mean(axis=1)
    inward = -edges.outward[wall // 2, over]
    spot = spot + np.tile(INSIDE_EDGE * inward, (2, 1))
    spot += 0.01 * (np.tile(middle, (2, 1)) - spot)
    way = np.tile(chart_normals(sheets.surface)[wall], (2, 1))
    start = spot + LIFT * way + surface.centre
    _, face, share = sheets.caster.landings(start, way, 2 * GAP)
    lean = (way * surface.normals[face]).sum(axis=1)
    below = place[2 * face.astype(np.int64) + (lean > 0)]
    master = nodes[below]
    good = (face >= 0) & (below >= 0) & (master != slave[:, None]).all(axis=1)
    _, first = np.unique(np.where(good, slave, -1), return_index=True)
    kept = [int(at) for at in first if good[at]]
    # No node hangs on one that hangs itself.
    hangs = set(slave[kept].tolist())
    for at in kept[:]:
        if hangs.intersection(master[at].tolist()):
            kept.remove(at)
            hangs.discard(int(slave[at]))
    return Ties(slave[kept], master[kept], share[kept])
