"""What water does at each edge of each chart: decided once, from directions alone."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from sim.edges import Edges
from sim.surface import Surface
from sim.tolerances import FLAT, LEVEL, PARALLEL


class Action(IntEnum):
    """What happens to a drop that its drive brings to an edge."""

    NONE = 0
    """It never gets here: the drive leads away from the edge, or along it."""
    CROSS = 1
    """It runs on in the neighbour, which belongs to the same part."""
    CROSS_PART = 2
    """It runs on in the neighbour, which belongs to another part (over a contact)."""
    SLIDE_FIRST = 3
    """Both sides push it into the crease: it runs along it to corner i + 1."""
    SLIDE_SECOND = 4
    """The same, to corner i + 2."""
    LEVEL = 5
    """The crease is level: it runs to the nearest outlet."""
    FALL = 6
    """It drips off."""


@dataclass(frozen=True, slots=True, eq=False)
class Classes:
    """Drives and edge classes of the 2m charts.

    direction (2m, 3): unit way that water runs, nil on a level face; slope (2m,): size of the drive
    in the face's plane over that of gravity (or the uniform drive); push (2m, 3): direction along
    each edge's outward normal, nil within PARALLEL; crease (2m, 3): what drives water in each edge
    towards its corner i + 2, over gravity; action (2m, 3) uint8 of `Action`.
    """

    direction: NDArray[np.float64]
    slope: NDArray[np.float64]
    push: NDArray[np.float64]
    crease: NDArray[np.float64]
    action: NDArray[np.uint8]


def classes_of(
    surface: Surface,
    edges: Edges,
    down: NDArray[np.float64],
    extra: NDArray[np.float64] | None = None,
) -> Classes:
    """Class each edge of each chart for a drive along the unit vector `down` (3,).

    extra (2m, 3): what drives each chart's water besides, over the size of that drive; in a crease
    the mean of its two charts counts.
    """
    normals = np.repeat(surface.normals, 2, axis=0)
    field = np.broadcast_to(down, normals.shape) if extra is None else down + extra
    lean = field - (normals * field).sum(axis=1, keepdims=True) * normals
    slope = np.linalg.norm(lean, axis=1)
    slope = np.where(np.repeat(surface.solid, 2) & (slope > LEVEL), slope, 0.0)
    direction = np.where(slope[:, None] > 0, lean / np.where(slope > 0, slope, 1.0)[:, None], 0.0)
    push = np.einsum("fik,fsk->fsi", edges.outward, direction.reshape(-1, 2, 3)).reshape(-1, 3)
    push = np.where(np.abs(push) > PARALLEL, push, 0.0)

    other = edges.neighbour
    joined = other >= 0
    other_edge = np.where(joined, 3 - edges.near - edges.far, 0)
    push_there = np.where(joined, push[other, other_edge], 0.0)
    exits = joined & (push > 0)
    flat = np.abs(edges.air - np.pi) < FLAT
    # Over a flat edge the two may drive against each other only where the drive is not the same.
    cross = exits & ((flat & (push_there < 2 * FLAT)) | (push_there < 0))
    part = np.repeat(surface.face_part, 2)
    changes_part = part[other] != part[:, None]
    valley = exits & ~cross & ((edges.air < np.pi) | flat)

    ends = surface.vertices[surface.faces]
    along = np.roll(ends, -2, axis=1) - np.roll(ends, -1, axis=1)
    length = np.linalg.norm(along, axis=2, keepdims=True)
    along = along / np.where(length > 0, length, 1.0)
    fall = np.repeat(along @ down, 2, axis=0)
    if extra is not None:
        both = extra[:, None] + np.where(joined[:, :, None], extra[other], 0.0)
        fall = fall + (np.repeat(along, 2, axis=0) * both).sum(axis=2) / 2

    action = np.full(push.shape, Action.NONE, dtype=np.uint8)
    action[exits] = Action.FALL
    action[cross] = Action.CROSS
    action[cross & changes_part] = Action.CROSS_PART
    action[valley & (fall < 0)] = Action.SLIDE_FIRST
    action[valley & (fall > 0)] = Action.SLIDE_SECOND
    action[valley & (np.abs(fall) < LEVEL)] = Action.LEVEL
    return Classes(direction, slope, push, fall, action)
