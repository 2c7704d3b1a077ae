"""Falls from rims: for each rim the faces that lie under it, worked out once.

A rim that drips sweeps a curtain along the drive. Along one curtain the distance down to a face and
the place on it (u, v) are linear in the place on the rim, so that a fall costs a few
multiplications.
"""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.cast import Caster
from sim.compiled import compiled
from sim.edges import Edges
from sim.surface import Surface
from sim.tolerances import LONGEST_LIST, NUDGE, STANDOFF, TOUCH, WIDEN
from sim.tree import DEPTH, places_within

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

CLOSE = 0.01
"""Beside a wall a fall begins at this share of its usual distance off the rim."""
SHORT = 4.0
"""Stand-offs: along a longer rim the wall is soon farther off than the fall."""


@dataclass(frozen=True, slots=True, eq=False)
class Curtains:
    """Curtains under the rims that drip.

    row (2m, 3) int32: row of a chart's edge in the arrays below, -1 where it doesn't drip; rim (k,
    6) [m]: where the fall from corner i + 1 begins, and the way to corner i + 2; ends (k, 2) int32:
    matched corners of the rim, whose faces the fall leaves behind; first (k, 2) int32: first and
    last-but-one candidate of each curtain; -1: too many, ask the tree; face (p,) int32: candidates,
    nearest possible landing first; line (p, 7): u, v, distance [m] at the rim's first end, their
    growth to the other end, and the least distance anywhere on the rim.
    """

    row: NDArray[np.int32]
    rim: NDArray[np.float64]
    ends: NDArray[np.int32]
    first: NDArray[np.int32]
    face: NDArray[np.int32]
    line: NDArray[np.float64]


def curtains_of(
    surface: Surface,
    edges: Edges,
    drips: NDArray[np.bool_],
    caster: Caster,
    down: NDArray[np.float64],
) -> Curtains:
    """The curtains of all edges that drip (2m, 3), for falls along the unit vector `down` (3,)."""
    chart, edge = np.nonzero(drips)
    row = np.full(drips.shape, -1, dtype=np.int32)
    row[chart, edge] = np.arange(len(chart))
    face = chart // 2
    normal = surface.normals[face] * np.where(chart % 2 == 0, 1.0, -1.0)[:, None]
    p = surface.faces[face, (edge + 1) % 3]
    q = surface.faces[face, (edge + 2) % 3]
    off = STANDOFF * normal + NUDGE * edges.outward[face, edge]
    ends = np.stack([surface.corners[p], surface.corners[q]], axis=1)
    start, end = surface.vertices[p], surface.vertices[q]
    beside = _beside_walls(caster, start + surface.centre, end + surface.centre, off, ends)
    start, end = (
        corner + np.where(near[:, None], CLOSE, 1.0) * off
        for corner, near in zip((start, end), beside, strict=True)
    )
    rim = np.concatenate([start, end - start], axis=1)
    low, high = surface.bounds
    reach = 2.0 * float(np.linalg.norm(high - low)) + 1.0
    first = np.empty((len(rim), 2), np.int32)
    room = 16 * len(rim) + LONGEST_LIST + 1
    while True:
        below, line = np.empty(room, np.int32), np.empty((room, 7))
        used = _hang(caster.tree, rim, ends, down, reach, first, below, line)
        if used >= 0:
            break
        room *= 2
    below, line = below[:used].copy(), line[:used].copy()
    return Curtains(row, rim, ends, first, below, line)


def _beside_walls(
    caster: Caster, start: Floats, end: Floats, off: Floats, ends: NDArray[np.int32]
) -> tuple[Flags, Flags]:
    """At which ends of rims (k, 3) [m] a sheet joins at so sharp an angle that it stands between the
    rim and the place `off` it (k, 3) from which a fall begins; short rims have both ends or none."""
    found = []
    for here, there in ((start, end), (end, start)):
        way = there - here
        size = np.linalg.norm(way, axis=1, keepdims=True)
        points = here + way * np.minimum(TOUCH / size, 0.5)
        found.append(caster.landings(points, off, 1.0, skip=ends)[1] >= 0)
    short = np.linalg.norm(end - start, axis=1) < SHORT * STANDOFF
    both = short & (found[0] | found[1])
    return found[0] | both, found[1] | both


@compiled
def _hang(tree, rim, ends, down, reach, first, face, line):
    """Candidates under each rim, nearest first; returns how many, or -1 if there is no room for
    them.
    """
    rims, room = len(rim), len(face)
    used = 0
    stack, place = np.empty(DEPTH, np.int32), np.empty(len(tree.face), np.int32)
    low, high = np.empty(3), np.empty(3)
    for r in range(rims):
        if used + LONGEST_LIST + 1 > room:
            return -1
        begin = used
        for k in range(3):
            a, b, d = rim[r, k], rim[r, k] + rim[r, k + 3], reach * down[k]
            low[k] = min(a, b) + min(d, 0.0)
            high[k] = max(a, b) + max(d, 0.0)
        for i in place[: places_within(tree, low, high, stack, place)]:
            has_p, has_q = False, False
            for k in range(3):
                has_p = has_p or tree.ends[i, k] == ends[r, 0]
                has_q = has_q or tree.ends[i, k] == ends[r, 1]
            if (has_p and has_q) or used - begin > LONGEST_LIST:
                continue
            if _lies_under(tree.corner[i], tree.graze[i], rim[r], down, line[used]):
                face[used] = tree.face[i]
                used += 1
        if used - begin > LONGEST_LIST:
            used = begin
            first[r, 0] = first[r, 1] = -1
            continue
        first[r, 0], first[r, 1] = begin, used
        for i in range(begin + 1, used):
            k = i
            while k > begin and _comes_before(face, line, k, k - 1):
                face[k], face[k - 1] = face[k - 1], face[k]
                for col in range(7):
                    line[k, col], line[k - 1, col] = line[k - 1, col], line[k, col]
                k -= 1
    return used


@compiled
def _comes_before(face, line, a, b):
    return line[a, 6] < line[b, 6] or (line[a, 6] == line[b, 6] and face[a] < face[b])


@compiled
def _lies_under(corner, graze, rim, down, line):
    """Whether a face meets the curtain of a rim; fills its `line` (7,)."""
    ax, ay, az = corner[3], corner[4], corner[5]
    bx, by, bz = corner[6], corner[7], corner[8]
    px, py, pz = (
        down[1] * bz - down[2] * by,
        down[2] * bx - down[0] * bz,
        (down[0] * by - down[1] * bx),
    )
    det = ax * px + ay * py + az * pz
    if abs(det) <= graze:
        return False
    for end in range(2):
        sx, sy, sz = (
            rim[0] + end * rim[3] - corner[0],
            rim[1] + end * rim[4] - corner[1],
            rim[2] + end * rim[5] - corner[2],
        )
        qx, qy, qz = sy * az - sz * ay, sz * ax - sx * az, sx * ay - sy * ax
        line[3 * end] = (sx * px + sy * py + sz * pz) / det
        line[3 * end + 1] = (down[0] * qx + down[1] * qy + down[2] * qz) / det
        line[3 * end + 2] = (bx * qx + by * qy + bz * qz) / det
    line[3] -= line[0]
    line[4] -= line[1]
    line[5] -= line[2]
    least, most = 0.0, 1.0
    for k in range(3):
        # u >= 0, v >= 0, 1 - u - v >= 0, each linear along the rim.
        value = line[k] if k < 2 else 1.0 - line[0] - line[1]
        grow = line[3 + k] if k < 2 else -line[3] - line[4]
        value += 2 * WIDEN
        if value < 0.0 and value + grow < 0.0:
            return False
        if grow > 0.0 and value < 0.0:
            least = max(least, -value / grow)
        elif grow < 0.0 and value + grow < 0.0:
            most = min(most, -value / grow)
    if least > most + WIDEN:
        return False
    near, far = line[2] + least * line[5], line[2] + most * line[5]
    line[6] = min(near, far) - WIDEN
    return max(near, far) >= 0.0
