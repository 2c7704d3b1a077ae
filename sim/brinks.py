"""Brinks: where water that runs down a wall falls onto a flashing close below, as into an open chase."""

from __future__ import annotations

import numpy as np

from meshes.parts import Role
from sim.charts import Charts
from sim.mouths import ROUND_AN_EDGE, Mouths, mouths_at
from sim.tolerances import STANDOFF

UPRIGHT = 0.5
"""Upward part of a normal below which a face is a wall."""
CLOSE = 0.050
"""A flashing farther below a brink than this [m] is not in an opening: no chase is raked out so tall."""


def brinks_of(charts: Charts) -> Mouths:
    """Drops along the lower edges of walls of the stack that overhang a flashing close below, one row
    just above each edge that is in the rain.

    No pressure of a gap drives them: they fall clear, and wind blows them on where they land.
    """
    surface, edges = charts.surface, charts.edges
    normals = charts.normals
    wall = surface.of_role(charts.part, Role.STACK) & (np.abs(normals[:, 2]) < UPRIGHT)
    outward = np.repeat(edges.outward, 2, axis=0)
    other = edges.neighbour.astype(np.int64)
    overhangs = (normals[other][:, :, 2] < -UPRIGHT) & (edges.air > ROUND_AN_EDGE)
    brink = wall[:, None] & (other >= 0) & overhangs & (outward[:, :, 2] < 0)
    chart, edge = np.nonzero(brink)
    ends = [surface.vertices[surface.faces[chart // 2, (edge + k) % 3]] for k in (1, 2)]
    middle = (ends[0] + ends[1]) / 2
    down = np.broadcast_to([0.0, 0.0, -1.0], middle.shape)
    start = middle + STANDOFF * normals[chart] + surface.centre
    _, hit = charts.caster.first_hit(start, down, CLOSE)
    flashed = (hit >= 0) & surface.of_role(surface.face_part, Role.FLASHING)[hit]
    return mouths_at(charts, chart[flashed], edge[flashed])
