"""What the wind does in gaps: pressure on their borders, between them, and the push on water."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.gaps import CLOSING, LIFT, ROUND, Gaps, Sheets, chart_normals
from sim.laplace import gradients, laplace
from sim.laps_table import OUTSIDE_EDGE
from sim.tolerances import STANDOFF
from sim.water import WATER_DENSITY

Floats = NDArray[np.float64]
Seen = Callable[[Floats, Floats, Floats], Floats]

LYING = 0.5 - 1e-9
"""Upward part of a normal above which a face lies: up to 60 degrees steep, whatever the rounding."""
ACROSS = 0.2
"""Part in plan of the way into a gap above which wind along the face can be blown into it."""


def pressure_coefficient(way_in: ArrayLike, normal: ArrayLike, blow: ArrayLike) -> Floats:
    """Pressure on the mouth of a gap over the stagnation pressure, (k, n), 0 to 1.

    way_in (n, 3) unit, along the lower sheet into the gap; normal (n, 3) unit, of the lower sheet to
    its air side; blow (k, 3) unit and level, the way each wind blows. Lying sheets: cosine in plan
    between the wind and the way in. Upright ones: that too, unless the way in is all but plumb; or
    the cosine between the wind and the way square at the face, if that is more: wind that stands at
    a wall presses into all its joints. Never below 0: suction is left out, which is on the safe side
    where a gap leads behind and on the other side where it pulls from behind.
    Source: assumption of this model, after wind pressure at head laps (a test institute's account).
    """
    way, up = np.asarray(way_in, dtype=np.float64), np.asarray(normal, dtype=np.float64)
    winds = np.atleast_2d(np.asarray(blow, dtype=np.float64))
    plan = np.hypot(way[:, 0], way[:, 1])
    level = way[:, :2] / np.where(plan > 0, plan, 1.0)[:, None]
    along = np.where(plan > ACROSS, winds[:, :2] @ level.T, 0.0)
    square = -winds @ up.T
    lies = np.abs(up[:, 2]) > LYING
    return np.clip(np.where(lies, along, np.maximum(along, square)), 0.0, 1.0)


def border_pressure(sheets: Sheets, gaps: Gaps, blows: ArrayLike, seen: Seen) -> Floats:
    """Pressure on the borders of gaps over the stagnation pressure, (k, b), for k winds.

    blows (k, 3) unit, the way each wind blows; seen(points (n, 3), normals (n, 3), blows (k, 3)) ->
    (k, n): the share of the wind's sky seen from points on surfaces. Nil where a border is hidden from
    the wind, as those are that lead behind.
    """
    winds = np.atleast_2d(np.asarray(blows, dtype=np.float64))
    chart, edge = gaps.rim.T
    way_in = -sheets.edges.outward[chart // 2, edge]
    coefficient = pressure_coefficient(way_in, chart_normals(sheets.surface)[chart], winds)
    share = np.zeros_like(coefficient)
    asked = np.flatnonzero((coefficient > 0).any(axis=0))
    if len(asked):
        points, normals = _outside(sheets, gaps, asked)
        share[:, asked] = seen(points, normals, winds)
    return coefficient * share


def gap_field(gaps: Gaps, border: Floats) -> Floats:
    """Pressure at the nodes of gaps over the stagnation pressure, (n, k), for border values (k, b).

    Harmonic between the borders (Hele-Shaw: air in a gap of one width flows along the gradient);
    on a border, the mean of the border's edges that meet at a node, by their lengths.
    """
    chart_row = np.searchsorted(gaps.floor, gaps.rim[:, 0])
    ends = [gaps.corners[chart_row, (gaps.rim[:, 1] + step) % 3] for step in (1, 2)]
    length = np.linalg.norm(ends[1] - ends[0], axis=1)
    at = gaps.ends.T.ravel()
    weight = np.bincount(at, np.tile(length, 2), gaps.count)
    sums = [np.bincount(at, np.tile(length * row, 2), gaps.count) for row in border]
    given = weight > 0
    values: Floats = np.stack(sums, axis=1) / np.where(given, weight, 1.0)[:, None]
    return laplace(gaps.corners, gaps.nodes, given, values, gaps.ties)


def gap_drive_per_q(sheets: Sheets, gaps: Gaps, field: Floats) -> Floats:
    """Push of the pressure in gaps on water, -grad(p) / rho, (k, 2m, 3) [m/s2 per Pa].

    Per pascal of stagnation pressure; field (n, k) from `gap_field`. It lies in the plane of each
    chart; a wall that faces a floor gets the floor's, all that lies in no gap 0. Source: Hele-Shaw
    flow, u = -b^2 / (12 mu) grad(p + rho g z): the push adds to gravity.
    """
    push = np.zeros((field.shape[1], len(gaps.faced), 3))
    slopes = gradients(gaps.corners, gaps.nodes, field)
    push[:, gaps.floor] = -np.moveaxis(slopes, 1, 0) / WATER_DENSITY
    on_floor = np.zeros(len(gaps.faced), dtype=bool)
    on_floor[gaps.floor] = True
    wall = np.flatnonzero((gaps.faced >= 0) & ~on_floor)
    wall = wall[on_floor[gaps.faced[wall]]]
    normal = chart_normals(sheets.surface)[wall]
    carried = push[:, gaps.faced[wall]]
    off = np.einsum("kwx,wx->kw", carried, normal)
    push[:, wall] = carried - off[:, :, None] * normal
    return push


def _outside(sheets: Sheets, gaps: Gaps, rows: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Points (r, 3) [m] just outside borders, over the chart that lies there, and its normal."""
    chart, edge = gaps.rim[rows].T
    surface, edges = sheets.surface, sheets.edges
    face = chart // 2
    ends = [surface.faces[face, (edge + step) % 3] for step in (1, 2)]
    middle = (surface.vertices[ends[0]] + surface.vertices[ends[1]]) / 2 + surface.centre
    other = edges.neighbour[chart, edge].astype(np.int64)
    over = 3 - edges.near[chart, edge] - edges.far[chart, edge]
    out, normal = edges.outward[face, edge], chart_normals(sheets.surface)[chart]
    air = edges.air[chart, edge]
    goes_on = ((air > CLOSING) & (air < ROUND))[:, None]
    out = np.where(goes_on, -edges.outward[other // 2, over], out)
    normal = np.where(goes_on, chart_normals(sheets.surface)[other], normal)
    # In the middle of the gap, where it goes on: rays start a stand-off above their points.
    above = np.maximum(gaps.width[chart] / 2 - STANDOFF, 0.0)[:, None]
    start = middle + above * normal
    # Short of what stands there, so that the point isn't behind it.
    room, _ = sheets.caster.first_hit(start + LIFT * normal, out, 2 * OUTSIDE_EDGE)
    return start + np.minimum(OUTSIDE_EDGE, room / 2)[:, None] * out, normal
