"""Who sees the wind: the share of the wind's sky that is free over a point of a surface."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.cast import RayCaster
from sim.charts import Charts
from sim.laps_table import GAP
from sim.nearby import leaders
from sim.surface import Surface
from sim.tolerances import STANDOFF

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

AZIMUTHS = 16
"""Rays round a point, evenly: as many as the winds that are usually asked for."""
LIFTS = np.radians([5.0, 20.0, 40.0, 65.0])
"""Of the rays off the face. Wind along a face looks along the first three; wind square at it along the
last two, which lie round the way it comes from."""
WIDTH = np.pi / 4
"""How far to either side of the wind a ray still counts [rad]: gusts veer by about this (practice)."""
REACH = 5.0
"""Nothing farther off shelters [m]: the wake of a stack 0.5 m wide is closed ten widths behind it
(practice)."""
SQUARE = 0.2
"""A wind with less of its speed than this along a face is square to it: its drag there is under
4 % of a wind that runs along it."""
SMALL = 0.1
"""A face no longer than this is seen from its centroid only [m]: what shelters is wider, or so near that
its faces are small as well."""
COVER = 0.3
"""Air that is under cover and still is so this far along a ray stands [m]: under the covering and in
the loft no wind blows, though the model's rims are open; no edge that water drips off juts out as
far."""
HOLLOW = 1e-7
"""A body of air under this is rounding [m3]: a tenth of a cubic centimetre."""
CHUNK = 4096
"""Points looked at together, which bounds the memory."""
LEANING = -0.1
"""Upward part of a normal under which a face overhangs: its cover is then looked for straight up; and
of a ray under which it points down."""
WALL = 0.2
"""Upward part of a normal under which a face is a wall, and the wind along it is level."""
UPRIGHT = np.array([0.0, 0.0, 1.0])
TURNS = 2 * np.pi / AZIMUTHS * np.arange(AZIMUTHS)
FOUR = np.array([[1, 1, 1], [4, 1, 1], [1, 4, 1], [1, 1, 4]]) / np.array([[3.0], [6], [6], [6]])


def exposure(caster: RayCaster, points: ArrayLike, normals: ArrayLike, blow: ArrayLike) -> Floats:
    """Share of the wind's sky (n,), 0 to 1, seen from points on surfaces, for one wind (3,)."""
    return exposures(caster, points, normals, np.asarray(blow)[None])[0]


def exposures(caster: RayCaster, points: ArrayLike, normals: ArrayLike, blows: ArrayLike) -> Floats:
    """Share of the wind's sky (k, n), 0 to 1, seen from n points for each of k winds.

    points (n, 3) [m], in the assembly's own coordinates, on surfaces with unit normals (n, 3) to
    their air side; blows (k, 3) unit, the way each wind blows. Raises SceneError for others.

    Wind follows a face: what counts are rays to where it comes from along the face, 45 degrees to
    both sides with weights that fall evenly to nought, and 5, 20 and 40 degrees off the face. Wind
    square at a face: rays round the face's normal. On walls rays that point down are left out. A
    face turned square away from the wind: 0. So a bare plane, unless it hangs over, sees all of any
    wind but one square behind it. A ray that runs on under cover doesn't lead to the wind. The wake
    behind a ridge or a wall is not known: a face on the lee side counts as exposed to the wind
    along it, which is the safe side. Rays are the same for all winds, so that 16 winds cost about
    four times one.
    """
    start, up = np.asarray(points, np.float64), np.asarray(normals, np.float64)
    winds = np.asarray(blows, np.float64)
    sizes = np.linalg.norm(winds, axis=-1)
    fit = winds.ndim == 2 and winds.shape[1] == 3 and bool((np.abs(sizes - 1) < 1e-6).all())
    require(fit, "blows", blows, "unit vectors (k, 3)", SceneError)
    require(start.shape == up.shape, "points", start.shape, f"of shape {up.shape}", SceneError)
    share = np.zeros((len(winds), len(start)))
    for first in range(0, len(start), CHUNK):
        rows = slice(first, first + CHUNK)
        share[:, rows] = _shares(caster, start[rows], up[rows], winds)
    return share


def chart_exposure(charts: Charts, blow: ArrayLike) -> Floats:
    """Exposure of every chart (2m,), 0 to 1, to one wind (3,)."""
    return chart_exposures(charts, np.asarray(blow)[None])[0]


def chart_exposures(charts: Charts, blows: ArrayLike) -> Floats:
    """Exposure of every chart (k, 2m), 0 to 1, to each of k winds (k, 3).

    The mean over four points of its face, over the centroid alone where the face is small. Nil at
    points over which another face lies within a gap: there the air stands, and its pressure acts
    instead. Nil on the inside of closed solids, and on faces that are not solid.
    """
    face, points = _looked_from(charts.surface)
    chart = np.concatenate([2 * face, 2 * face + 1])
    points = np.concatenate([points, points])
    normals = charts.normals[chart]
    start = points + STANDOFF * normals
    free = np.flatnonzero(~enclosed(charts)[chart])
    free = free[~charts.caster.any_hit(start[free], normals[free], GAP - STANDOFF)]
    winds = np.asarray(blows, np.float64)
    seen = exposures(charts.caster, points[free], normals[free], winds)
    count = np.maximum(np.bincount(chart, minlength=len(charts.normals)), 1)
    sums = [np.bincount(chart[free], weights=row, minlength=len(count)) for row in seen]
    return np.reshape(sums, (len(winds), len(count))) / count


def enclosed(charts: Charts) -> Flags:
    """Which charts (2m,) bound air that is shut in on all sides, such as the inside of a tile.

    Charts that hang together over their edges bound one body of air. By the divergence theorem the
    volume that their normals point out of is below nought where they point into a closed hollow, and
    nil for open sheets, which are gone round.
    """
    surface, beside = charts.surface, charts.edges.neighbour
    count = len(beside)
    pairs = np.column_stack([np.repeat(np.arange(count), 3), beside.ravel()])
    body = leaders(count, pairs[pairs[:, 1] >= 0])
    a, b, c = (surface.vertices[surface.faces[:, k]] for k in range(3))
    cone = (a * np.cross(b, c)).sum(axis=1) / 6 * surface.solid
    volume = np.bincount(body, weights=np.column_stack([cone, -cone]).ravel(), minlength=count)
    return np.asarray((volume < -HOLLOW)[body])


def _looked_from(surface: Surface) -> tuple[NDArray[np.int64], Floats]:
    """Faces (p,) and points (p, 3) on them [m], one or four a solid face."""
    ends = surface.vertices[surface.faces] + surface.centre
    sides = np.linalg.norm(ends - np.roll(ends, 1, axis=1), axis=2)
    large = surface.solid & (sides.max(axis=1) > SMALL)
    small = np.flatnonzero(surface.solid & ~large)
    many = np.einsum("pk,mkx->mpx", FOUR, ends[large])
    face = np.concatenate([small, np.repeat(np.flatnonzero(large), len(FOUR))])
    return face, np.concatenate([ends[small].mean(axis=1), many.reshape(-1, 3)])


def _shares(caster: RayCaster, points: Floats, normals: Floats, winds: Floats) -> Floats:
    level, rise = _axes(normals)
    across, up_slope, away = (-winds @ axes.T for axes in (level, rise, normals))
    wall = np.abs(normals[:, 2]) < WALL
    up_slope = np.where(wall, 0.0, up_slope)
    along: Flags = np.hypot(across, up_slope) >= SQUARE
    facing: Flags = ~along & (away > 0)
    off = np.arctan2(up_slope, across)[:, :, None] - TURNS
    off = np.abs((off + np.pi) % (2 * np.pi) - np.pi)
    weight = np.where(along[:, :, None], np.maximum(0.0, 1 - off / WIDTH), 0.0)

    # What stands before the foot of a wall is its roof, which no wind has to come through.
    height = np.cos(LIFTS)[:, None] * np.sin(TURNS) * rise[:, 2, None, None]
    height += np.sin(LIFTS)[:, None] * normals[:, 2, None, None]
    count = ~wall[:, None, None] | (height > LEANING)
    fan = (weight > 0).any(axis=0)
    ring = np.broadcast_to(np.asarray(facing.any(axis=0))[:, None], fan.shape)
    asked = np.stack([fan, fan, fan | ring, ring], axis=1) & count
    free = _free(caster, points, normals, level, rise, asked)
    # Both sums in the same way, so that where all is free the share is exactly 1.
    seen, most = (
        np.einsum("kna,na->kn", weight, rays[:, :3].sum(axis=1, dtype=float))
        for rays in (free, count)
    )
    square = free[:, 2:].sum(axis=(1, 2)) / count[:, 2:].sum(axis=(1, 2))
    return np.where(along, seen / np.where(along, most, 1.0), np.where(facing, square, 0.0))


def _free(
    caster: RayCaster, points: Floats, normals: Floats, level: Floats, rise: Floats, asked: Flags
) -> Flags:
    """Which of the rays asked for (n, lifts, turns) lead to the wind."""
    at, lift, side = np.nonzero(asked)
    flat = np.cos(TURNS)[:, None, None] * level + np.sin(TURNS)[:, None, None] * rise
    way = np.cos(LIFTS[lift])[:, None] * flat[side, at] + np.sin(LIFTS[lift])[:, None] * normals[at]
    lifted = points + STANDOFF * normals
    start = lifted[at]
    closed = caster.any_hit(start, way, REACH)
    # Out from the face as well as up, so that a cap that juts out over a wall is no cover.
    out = np.where(normals[:, 2:] > LEANING, normals, 0.0) + UPRIGHT
    covered = caster.any_hit(lifted, out, REACH)
    under = np.flatnonzero(~closed & covered[at])
    far = start[under] + COVER * way[under]
    closed[under] = caster.any_hit(far, out[at[under]], REACH)
    free = np.zeros(asked.shape, dtype=bool)
    free[at, lift, side] = ~closed
    return free


def _axes(normals: Floats) -> tuple[Floats, Floats]:
    """Level and rising axis in the planes of faces with unit normals (n, 3): each (n, 3) unit.

    A mirrored face has a mirrored pair up to its signs, so its 16 rays are mirrored too.
    """
    level = np.stack([-normals[:, 1], normals[:, 0], np.zeros(len(normals))], axis=1)
    size = np.linalg.norm(level, axis=1, keepdims=True)
    lying = size < 1e-6
    level = np.where(lying, [[1.0, 0.0, 0.0]], level / np.where(lying, 1.0, size))
    return level, np.cross(normals, level)
