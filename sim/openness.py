"""What lies over or under a sheet: the layers that a ray meets, one part after the other."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.cast import Caster
from sim.looks import layers, sees_any
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

SHEETS = (Role.COVERING, Role.FLASHING, Role.UNDERLAY)


def in_a_gap(
    caster: Caster, surface: Surface, points: Floats, directions: Floats, reach: float
) -> Flags:
    """Whether a covering, a flashing or an underlay lies within `reach` [m] of each point (n, 3),
    recentred, along its direction (n, 3) unit."""
    _, face = layers(caster, points, directions, reach, 1)
    sheet = surface.of_role(surface.face_part, *SHEETS)
    return (face[0] >= 0) & sheet[face[0]]


def sees_sky(caster: Caster, points: Floats, slant: float) -> Flags:
    """Whether anything of the sky is seen from each point (n, 3), recentred: straight up, or
    `slant` [rad] off it on one of eight sides."""
    turn = np.arange(8) * np.pi / 4
    aside = np.column_stack(
        [np.sin(slant) * np.cos(turn), np.sin(slant) * np.sin(turn), np.full(8, np.cos(slant))]
    )
    return sees_any(caster, points, np.concatenate([[[0.0, 0.0, 1.0]], aside]))


def lies_bare(caster: Caster, points: Floats, normals: Floats, beside: float) -> Flags:
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


def closest_beside(caster: Caster, surface: Surface, points: Floats, reach: float) -> Ints:
    """The flashing's face (n,) nearest to each point (n, 3), recentred, on eight level sides, within
    `reach` [m]; -1 for none."""
    turn = np.arange(8) * np.pi / 4
    ways = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(8)])
    start = np.repeat(points + surface.centre, 8, axis=0)
    distance, face = caster.first_hit(start, np.tile(ways, (len(points), 1)), reach)
    flashing = surface.of_role(surface.face_part, Role.FLASHING)
    distance = np.where((face >= 0) & flashing[face], distance, np.inf).reshape(-1, 8)
    nearest = np.round(distance, 9).argmin(axis=1)
    rows = np.arange(len(points))
    found = face.reshape(-1, 8)[rows, nearest].astype(np.int64)
    return np.where(np.isfinite(distance[rows, nearest]), found, -1)
