"""What lies over or under a sheet: the layers that a ray meets, one part after the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.cast import RayCaster
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

NEXT = 1e-6
"""How far beyond a sheet the next ray starts [m]: far under a bedding gap, far over rounding."""

SHEETS = (Role.COVERING, Role.FLASHING, Role.UNDERLAY)


def layers(
    caster: RayCaster,
    surface: Surface,
    points: Floats,
    directions: Floats,
    reach: float,
    deep: int,
) -> tuple[Floats, Ints]:
    """Distances (deep, n) [m] and faces (deep, n) that rays from points (n, 3), recentred, meet in
    turn within `reach` [m]; inf and -1 where there is no more.

    directions (n, 3) unit. The first ray starts on the point itself.
    """
    count = len(points)
    distance, face = np.full((deep, count), np.inf), np.full((deep, count), -1, dtype=np.int64)
    gone = np.zeros(count)
    live = np.arange(count)
    for layer in range(deep):
        if not len(live):
            break
        start = points[live] + directions[live] * gone[live, None] + surface.centre
        t, hit = caster.first_hit(start, directions[live], reach)
        total = gone[live] + t
        met = (hit >= 0) & (total <= reach)
        live, hit, total = live[met], hit[met], total[met]
        distance[layer, live], face[layer, live] = total, hit
        gone[live] = total + NEXT
    return distance, face


def in_a_gap(
    caster: RayCaster, surface: Surface, points: Floats, directions: Floats, reach: float
) -> Flags:
    """Whether a covering, a flashing or an underlay lies within `reach` [m] of each point (n, 3),
    recentred, along its direction (n, 3) unit."""
    _, face = layers(caster, surface, points, directions, reach, 1)
    sheet = np.isin(surface.face_part, surface.parts_with(*SHEETS))
    return (face[0] >= 0) & sheet[face[0]]


def sees_sky(caster: RayCaster, surface: Surface, points: Floats, slant: float) -> Flags:
    """Whether anything of the sky is seen from each point (n, 3), recentred: straight up, or
    `slant` [rad] off it on one of eight sides."""
    turn = np.arange(8) * np.pi / 4
    aside = np.column_stack(
        [np.sin(slant) * np.cos(turn), np.sin(slant) * np.sin(turn), np.full(8, np.cos(slant))]
    )
    start = points + surface.centre
    seen = ~caster.any_hit(start, np.broadcast_to([0.0, 0.0, 1.0], start.shape))
    left = np.flatnonzero(~seen)
    if len(left):
        met = caster.any_hit(np.repeat(start[left], 8, axis=0), np.tile(aside, (len(left), 1)))
        seen[left] = ~met.reshape(len(left), 8).all(axis=1)
    return seen


def lies_bare(caster: RayCaster, points: Floats, normals: Floats, beside: float) -> Flags:
    """Whether nothing is over points (n, 3) [m] on faces with unit normals (n, 3): straight up, and
    within `beside` [m] at 45 degrees to the normal on four sides."""
    flat = np.where(np.abs(normals[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    first = np.cross(normals, flat)
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(normals, first)
    bare = ~caster.any_hit(points, np.broadcast_to([0.0, 0.0, 1.0], points.shape))
    for side in (first, -first, second, -second):
        bare &= ~caster.any_hit(points, (normals + side) / np.sqrt(2.0), beside)
    return bare


def closest_beside(caster: RayCaster, surface: Surface, points: Floats, reach: float) -> Ints:
    """The flashing's face (n,) nearest to each point (n, 3), recentred, on eight level sides, within
    `reach` [m]; -1 for none."""
    turn = np.arange(8) * np.pi / 4
    ways = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(8)])
    start = np.repeat(points + surface.centre, 8, axis=0)
    distance, face = caster.first_hit(start, np.tile(ways, (len(points), 1)), reach)
    flashing = np.isin(surface.face_part, surface.parts_with(Role.FLASHING))
    distance = np.where((face >= 0) & flashing[face], distance, np.inf).reshape(-1, 8)
    nearest = np.round(distance, 9).argmin(axis=1)
    rows = np.arange(len(points))
    found = face.reshape(-1, 8)[rows, nearest].astype(np.int64)
    return np.where(np.isfinite(distance[rows, nearest]), found, -1)
