"""What lies over the pieces of paths: looked for from many places along each, where there can be any."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.cast import RAYS, Caster
from sim.compiled import compiled
from sim.pointers import pointer
from sim.surface import Surface
from sim.tables import hot_tree
from sim.threads import in_threads
from sim.tree import DEPTH, along, first_hit, places_within

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

NEAR = 1e-7
"""Faces this near to the room over a chart [m] count as in it: far over rounding."""


def met_along(
    caster: Caster,
    surface: Surface,
    points: Floats,
    chart: NDArray[np.int32],
    asked: Flags,
    counts: Flags,
    *,
    step: float,
    lift: float,
    reach: float,
    facing: float,
) -> Flags:
    """Whether the first face over any place of a piece of path counts, is of another part, and near
    parallel: (p,), False where not `asked` (p,).

    points (p, 3) [m]: piece k runs from point k to the next; chart (p,): those that are asked for run
    on it; counts (m,): faces that do. It is looked from places about `step` apart, `lift` off the chart,
    no farther than `reach`, all [m]; facing: least cosine between the normals of face and chart.
    """
    n = len(points)
    met = np.zeros(n, dtype=np.bool_)
    used = np.zeros(2 * len(surface.faces), dtype=np.bool_)
    used[chart[asked]] = True
    few = np.flatnonzero(used)
    may = np.zeros(len(used), dtype=np.bool_)
    of_faces = (surface.normals, surface.face_part, np.ascontiguousarray(counts))
    start = points - surface.centre
    asked = np.ascontiguousarray(asked)

    def sort_out(first: int, last: int) -> None:
        _may_meet(
            caster.lying, surface.vertices, surface.faces, *of_faces, few[first * RAYS : last * RAYS],
            lift + reach, may,
        )  # fmt: skip

    def work(first: int, last: int) -> None:
        _look(
            caster.lying, start, chart, asked, *of_faces, may, first * RAYS, min(last * RAYS, n),
            step, lift, reach, facing, met,
        )  # fmt: skip

    in_threads(sort_out, -(-len(few) // RAYS), None)
    in_threads(work, -(-n // RAYS), None)
    return met


@compiled
def _may_meet(tree, vertices, faces, normals, part, counts, charts, far, may):
    """Which charts have a face that counts in the room over them, as deep as `far`."""
    stack, place = np.empty(DEPTH, np.int32), np.empty(len(tree.face), np.int32)
    room, low, high = np.empty((6, 3)), np.empty(3), np.empty(3)
    for chart in charts:
        face = chart >> 1
        side = 1.0 if chart & 1 == 0 else -1.0
        for i in range(3):
            for k in range(3):
                room[i, k] = vertices[faces[face, i], k]
                room[i + 3, k] = room[i, k] + side * normals[face, k] * far
        along(tree, room, low, high)
        low -= NEAR
        high += NEAR
        for i in place[: places_within(tree, low, high, stack, place)]:
            other = tree.face[i]
            if not counts[other] or part[other] == part[face]:
                continue
            if not _apart(vertices, faces, normals, face, side, other, far):
                may[chart] = True
                break


@compiled
def _apart(vertices, faces, normals, face, side, other, far):
    """Whether a face lies wholly under, above or beside the room over one side of another."""
    n0, n1, n2 = normals[face, 0], normals[face, 1], normals[face, 2]
    least, most = np.inf, -np.inf
    base = vertices[faces[face, 0]]
    for c in range(3):
        v = vertices[faces[other, c]]
        h = side * (n0 * (v[0] - base[0]) + n1 * (v[1] - base[1]) + n2 * (v[2] - base[2]))
        least, most = min(least, h), max(most, h)
    if most < -NEAR or least > far + NEAR:
        return True
    for i in range(3):
        p, q = vertices[faces[face, i]], vertices[faces[face, (i + 1) % 3]]
        ex, ey, ez = q[0] - p[0], q[1] - p[1], q[2] - p[2]
        ix, iy, iz = n1 * ez - n2 * ey, n2 * ex - n0 * ez, n0 * ey - n1 * ex
        size = np.sqrt(ix * ix + iy * iy + iz * iz)
        inmost = -np.inf
        for c in range(3):
            v = vertices[faces[other, c]]
            inmost = max(inmost, ix * (v[0] - p[0]) + iy * (v[1] - p[1]) + iz * (v[2] - p[2]))
        if inmost < -NEAR * size:
            return True
    return False


@compiled
def _look(
    tree,
    points,
    chart,
    asked,
    normals,
    part,
    counts,
    may,
    first,
    last,
    step,
    lift,
    reach,
    facing,
    met,
):
    room = np.empty(DEPTH, np.int32)
    boxes, stack = hot_tree(tree), pointer(room)
    for i in range(first, last):
        if not asked[i] or not may[chart[i]]:
            continue
        face = chart[i] >> 1
        side = 1.0 if chart[i] & 1 == 0 else -1.0
        wx, wy, wz = side * normals[face, 0], side * normals[face, 1], side * normals[face, 2]
        j = min(i + 1, len(points) - 1)
        dx, dy, dz = (
            points[j, 0] - points[i, 0],
            points[j, 1] - points[i, 1],
            points[j, 2] - points[i, 2],
        )
        looks = int(np.ceil(np.sqrt(dx * dx + dy * dy + dz * dz) / step)) + 1
        for k in range(looks):
            share = (k + 0.5) / looks
            _, hit, _, _ = first_hit(
                boxes, stack, points[i, 0] + dx * share + lift * wx, points[i, 1] + dy * share + lift * wy,
                points[i, 2] + dz * share + lift * wz, wx, wy, wz, reach, -1, -1,
            )  # fmt: skip
            if hit < 0 or not counts[hit] or part[hit] == part[face]:
                continue
            if abs(normals[hit, 0] * wx + normals[hit, 1] * wy + normals[hit, 2] * wz) > facing:
                met[i] = True
                break
    # Named here so that it outlives the pointer to it.
    room[0] = 0
