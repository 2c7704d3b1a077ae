"""What water does at each edge of each chart: decided once, from directions alone."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from sim.compiled import compiled, inlined
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
    """The crease is level: it runs to an outlet (`sim.level`)."""
    FALL = 6
    """It drips off."""


NONE, CROSS, CROSS_PART = int(Action.NONE), int(Action.CROSS), int(Action.CROSS_PART)
SLIDE_FIRST, SLIDE_SECOND = int(Action.SLIDE_FIRST), int(Action.SLIDE_SECOND)
ALONG_LEVEL, FALL = int(Action.LEVEL), int(Action.FALL)


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
    count = 2 * len(surface.faces)
    some = np.zeros((1, 3)) if extra is None else np.ascontiguousarray(extra)
    direction, slope, push = _drives(surface.normals, surface.solid, edges.outward, down, some)
    crease, action = np.empty((count, 3)), np.empty((count, 3), np.uint8)
    _act(
        edges.along, push, surface.face_part, surface.normals, edges.neighbour, edges.near, edges.far,
        edges.air, down, some, crease, action,
    )  # fmt: skip
    return Classes(direction, slope, push, crease, action)


@compiled
def _drives(normals, solid, outward, down, extra):
    """Direction, slope and push of each chart; one row of nought for `extra`: there is none."""
    count, less = 2 * len(normals), len(extra) > 1
    direction, slope, push = np.zeros((count, 3)), np.zeros(count), np.zeros((count, 3))
    for c in range(count):
        f = c >> 1
        x, y, z = down[0], down[1], down[2]
        if less:
            x, y, z = x + extra[c, 0], y + extra[c, 1], z + extra[c, 2]
        square = x * normals[f, 0] + y * normals[f, 1] + z * normals[f, 2]
        x, y, z = x - square * normals[f, 0], y - square * normals[f, 1], z - square * normals[f, 2]
        size = np.sqrt(x * x + y * y + z * z)
        if not solid[f] or size <= LEVEL:
            continue
        x, y, z = x / size, y / size, z / size
        slope[c] = size
        direction[c, 0], direction[c, 1], direction[c, 2] = x, y, z
        for i in range(3):
            out = x * outward[f, i, 0] + y * outward[f, i, 1] + z * outward[f, i, 2]
            push[c, i] = out if abs(out) > PARALLEL else 0.0
    return direction, slope, push


@compiled
def runs_of(push, altitude):
    """How fast barycentric coordinates change along the way water runs, and how far it is to each edge:
    (2m, 6), see `Tables.run`."""
    run = np.empty((len(push), 6))
    for c in range(len(push)):
        for i in range(3):
            out, high = push[c, i], altitude[c >> 1, i]
            run[c, i] = -out / high if out != 0.0 else 0.0
            run[c, 3 + i] = high / out if out > 0.0 else -1.0
    return run


@inlined
def _faces_up(normals, down, c):
    """Whether a chart faces up, against the drive."""
    f = c >> 1
    lean = normals[f, 0] * down[0] + normals[f, 1] * down[1] + normals[f, 2] * down[2]
    return (lean if c & 1 == 0 else -lean) < -FLAT


@compiled
def _act(
    along, push, face_part, normals, neighbour, near, far, air, down, extra, crease, action
):  # fmt: skip
    """Fill in what drives water along each edge, and what it does there."""
    less = len(extra) > 1
    for c in range(len(push)):
        f = c >> 1
        for i in range(3):
            x, y, z = along[f, i, 0], along[f, i, 1], along[f, i, 2]
            n = np.int64(neighbour[c, i])
            fall = x * down[0] + y * down[1] + z * down[2]
            if less:
                fall += (x * extra[c, 0] + y * extra[c, 1] + z * extra[c, 2]) / 2
                if n >= 0:
                    fall += (x * extra[n, 0] + y * extra[n, 1] + z * extra[n, 2]) / 2
            crease[c, i] = fall
            action[c, i] = NONE
            if n < 0 or push[c, i] <= 0.0:
                continue
            there = push[n, 3 - near[c, i] - far[c, i]]
            flat = abs(air[c, i] - np.pi) < FLAT
            # Over a flat edge the two drive against each other only where they are not the same.
            if (flat and there < 2 * FLAT) or there < 0.0:
                action[c, i] = CROSS if face_part[n >> 1] == face_part[f] else CROSS_PART
            elif (
                flat
                or air[c, i] < np.pi
                or (_faces_up(normals, down, c) and _faces_up(normals, down, n))
            ):
                # In a crease; or up two sides of a ridge, off which nothing can drip.
                level = abs(fall) < LEVEL
                action[c, i] = ALONG_LEVEL if level else (SLIDE_SECOND if fall > 0 else SLIDE_FIRST)
            else:
                action[c, i] = FALL
