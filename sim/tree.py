"""A tree of boxes over triangles, and the first triangle that a ray meets, in double precision."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiled import compiled, inlined
from sim.surface import Surface
from sim.tolerances import PARALLEL, WIDEN

LEAF = 4
DEPTH = 256
PAD = 1e-9
LIES = 0.25
"""Cosine of the steepest face that counts as lying."""


class Tree(NamedTuple):
    """Boxes and triangles as plain arrays, for the kernels.

    turn (9,): the axes along which the boxes lie, one after the other, unit; box (k, 6) [m]: least and
    greatest corner of each node along them; link (k, 2): first child and 0, or first triangle and
    number of triangles; face (m,): which face stands at each place of the leaves; corner (m, 9) [m]:
    v0, v1 - v0, v2 - v0 of that face; graze (m,): least determinant, under which the ray runs along
    the face; ends (m, 3): the face's matched corners.
    """

    turn: NDArray[np.float64]
    box: NDArray[np.float64]
    link: NDArray[np.int32]
    face: NDArray[np.int32]
    corner: NDArray[np.float64]
    graze: NDArray[np.float64]
    ends: NDArray[np.int32]


def tree_of(surface: Surface, axes: NDArray[np.float64] | None = None) -> Tree:
    """The tree over the solid faces of a surface; axes (3, 3): of its boxes, one a row, unit and square
    to each other, None for the assembly's own. What is found never depends on them."""
    faces = np.flatnonzero(surface.solid).astype(np.int32)
    points = surface.vertices[surface.faces[faces]]
    turn = np.eye(3) if axes is None else np.ascontiguousarray(axes, np.float64)
    lying = surface.vertices @ turn.T if axes is not None else surface.vertices
    low, high = (getattr(lying[surface.faces[faces]], name)(axis=1) for name in ("min", "max"))
    low, high = low - PAD, high + PAD
    box, link, order = _grow(low, high)
    points = points[order]
    edges = points[:, 1:] - points[:, :1]
    twice = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1)
    corner = np.concatenate([points[:, 0], edges[:, 0], edges[:, 1]], axis=1)
    ends = surface.corners[surface.faces[faces[order]]]
    return Tree(turn.ravel(), box, link, faces[order], corner, twice * PARALLEL, ends)


def lying_axes(surface: Surface) -> NDArray[np.float64]:
    """Axes (3, 3), one a row, of the plane in which most of a surface lies: across, up the slope and square
    to it. Boxes along them are flat on a pitched roof, and a ray comes through few of them.
    """
    points = surface.vertices[surface.faces[surface.solid]]
    area = np.cross(points[:, 1] - points[:, 0], points[:, 2] - points[:, 0])
    area[area[:, 2] < 0] *= -1
    size = np.linalg.norm(area, axis=1)
    square = area[area[:, 2] > LIES * size].sum(axis=0)
    across = np.cross(
        [0.0, 1.0, 0.0] if abs(square[0]) > abs(square[1]) else [1.0, 0.0, 0.0], square
    )
    if not across.any():
        return np.eye(3)
    axes = np.array([across, np.cross(square, across), square])
    return axes / np.linalg.norm(axes, axis=1, keepdims=True)


@compiled
def _grow(low, high):
    """Halve boxes at the middle of their centres: box (k, 6), link (k, 2), order (m,)."""
    m = len(low)
    order = np.arange(m).astype(np.int32)
    box = np.empty((2 * m, 6))
    link = np.zeros((2 * m, 2), np.int32)
    span = np.empty((2 * m, 2), np.int32)
    span[0, 0] = 0
    span[0, 1] = m
    nodes = 1
    node = 0
    while node < nodes:
        start, stop = span[node, 0], span[node, 1]
        axis, widest, cut = 0, -1.0, 0.0
        for k in range(3):
            least, most, near, far = np.inf, -np.inf, np.inf, -np.inf
            for i in range(start, stop):
                face = order[i]
                least = min(least, low[face, k])
                most = max(most, high[face, k])
                centre = low[face, k] + high[face, k]
                near = min(near, centre)
                far = max(far, centre)
            box[node, k] = least
            box[node, k + 3] = most
            if far - near > widest:
                axis, widest, cut = k, far - near, (near + far) / 2
        if stop - start <= LEAF:
            link[node, 0] = start
            link[node, 1] = stop - start
        else:
            i, j = start, stop - 1
            while i <= j:
                if low[order[i], axis] + high[order[i], axis] < cut:
                    i += 1
                else:
                    order[i], order[j] = order[j], order[i]
                    j -= 1
            if i - start < 1 or stop - i < 1:
                i = (start + stop) // 2
            link[node, 0] = nodes
            span[nodes, 0], span[nodes, 1] = start, i
            span[nodes + 1, 0], span[nodes + 1, 1] = i, stop
            nodes += 2
        node += 1
    return box[:nodes].copy(), link[:nodes].copy(), order


@compiled
def places_within(tree, low, high, stack, place):
    """Fill `place` with the places in the leaves of all faces whose leaf meets a box; how many.

    low, high (3,) [m]: the box, along the tree's own axes (see `along`); stack (DEPTH,) int32: working
    room; place: room for all faces.
    """
    used = 0
    stack[0] = 0
    waiting = 1
    while waiting > 0:
        waiting -= 1
        node = stack[waiting]
        apart = False
        for k in range(3):
            apart = apart or tree.box[node, k] > high[k] or tree.box[node, k + 3] < low[k]
        if apart:
            continue
        first, count = tree.link[node, 0], tree.link[node, 1]
        if count == 0:
            stack[waiting], stack[waiting + 1] = first, first + 1
            waiting += 2
            continue
        for i in range(first, first + count):
            place[used] = i
            used += 1
    return used


@compiled
def along(tree, points, low, high):
    """Fill the least and the greatest corner (3,) of points (n, 3), along the tree's axes."""
    for k in range(3):
        low[k], high[k] = np.inf, -np.inf
        for i in range(len(points)):
            at = 0.0
            for c in range(3):
                at += tree.turn[3 * k + c] * points[i, c]
            low[k], high[k] = min(low[k], at), max(high[k], at)


@compiled
def first_hit(tree, stack, ox, oy, oz, dx, dy, dz, reach, skip_a, skip_b):
    """First triangle within `reach` along a ray: distance, face (-1: none), u, v.

    tree: a HotTree; stack: pointer to DEPTH int32, working room, so that no ray has to ask for
    memory. Faces that own both corners `skip_a` and `skip_b` (-1: nobody) are left out. The nearest
    wins, then the lowest face; edges and corners hit; faces parallel to the ray don't.
    """
    best, face, best_u, best_v = reach, np.int32(-1), 0.0, 0.0
    px, py, pz = _turned(tree.turn, ox, oy, oz)
    ix, iy, iz = _turned(tree.turn, dx, dy, dz)
    ix, iy, iz = _inverse(ix), _inverse(iy), _inverse(iz)
    node, waiting = 0, 0
    ahead, _ = _enters(tree.box, 0, px, py, pz, ix, iy, iz, best)
    while ahead:
        first, count = tree.link[2 * node], tree.link[2 * node + 1]
        if count == 0:
            # Nearer child first; one that the ray misses is never laid on the stack.
            one, near = _enters(tree.box, 6 * first, px, py, pz, ix, iy, iz, best)
            other, far = _enters(tree.box, 6 * first + 6, px, py, pz, ix, iy, iz, best)
            if one and other:
                swap = 1 if far < near else 0
                stack[waiting] = first + 1 - swap
                waiting += 1
                node = first + swap
                continue
            if one or other:
                node = first if one else first + 1
                continue
        else:
            for i in range(first, first + count):
                t, u, v = _meet(tree.corner, 9 * i, tree.graze[i], ox, oy, oz, dx, dy, dz)
                if t < 0.0 or t > best or (t == best and face >= 0 and tree.face[i] > face):
                    continue
                if skip_a >= 0:
                    e0, e1, e2 = tree.ends[3 * i], tree.ends[3 * i + 1], tree.ends[3 * i + 2]
                    owns_a = e0 == skip_a or e1 == skip_a or e2 == skip_a
                    owns_b = e0 == skip_b or e1 == skip_b or e2 == skip_b
                    if owns_a and owns_b:
                        continue
                best, face, best_u, best_v = t, tree.face[i], u, v
        ahead = False
        while waiting > 0 and not ahead:
            # What was in reach when it was laid there may lie behind a hit found since.
            waiting -= 1
            node = stack[waiting]
            ahead, _ = _enters(tree.box, 6 * node, px, py, pz, ix, iy, iz, best)
    return best, face, best_u, best_v


@compiled
def any_hit(tree, stack, ox, oy, oz, dx, dy, dz, reach):
    """Whether a ray meets any triangle within `reach`: as `first_hit`, but ends at the first found."""
    px, py, pz = _turned(tree.turn, ox, oy, oz)
    ix, iy, iz = _turned(tree.turn, dx, dy, dz)
    ix, iy, iz = _inverse(ix), _inverse(iy), _inverse(iz)
    node, waiting = 0, 0
    ahead, _ = _enters(tree.box, 0, px, py, pz, ix, iy, iz, reach)
    while ahead:
        first, count = tree.link[2 * node], tree.link[2 * node + 1]
        if count == 0:
            one, near = _enters(tree.box, 6 * first, px, py, pz, ix, iy, iz, reach)
            other, far = _enters(tree.box, 6 * first + 6, px, py, pz, ix, iy, iz, reach)
            if one and other:
                swap = 1 if far < near else 0
                stack[waiting] = first + 1 - swap
                waiting += 1
                node = first + swap
                continue
            if one or other:
                node = first if one else first + 1
                continue
        else:
            for i in range(first, first + count):
                t, _, _ = _meet(tree.corner, 9 * i, tree.graze[i], ox, oy, oz, dx, dy, dz)
                if 0.0 <= t <= reach:
                    return True
        ahead = waiting > 0
        if ahead:
            waiting -= 1
            node = stack[waiting]
    return False


@inlined
def _turned(turn, x, y, z):
    """A place or a way along the axes of a tree."""
    return (
        turn[0] * x + turn[1] * y + turn[2] * z,
        turn[3] * x + turn[4] * y + turn[5] * z,
        turn[6] * x + turn[7] * y + turn[8] * z,
    )  # fmt: skip


@inlined
def _inverse(d):
    return 1.0 / d if abs(d) > 1e-300 else 1e300


@compiled
def _enters(box, at, ox, oy, oz, ix, iy, iz, reach):
    """Whether a ray meets the box at a place within `reach`, and where it begins."""
    a, b = (box[at] - ox) * ix, (box[at + 3] - ox) * ix
    enter, leave = min(a, b), max(a, b)
    a, b = (box[at + 1] - oy) * iy, (box[at + 4] - oy) * iy
    enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
    a, b = (box[at + 2] - oz) * iz, (box[at + 5] - oz) * iz
    enter, leave = max(enter, min(a, b)), min(leave, max(a, b))
    return not (leave < 0.0 or enter > leave or enter > reach), enter


@inlined
def _meet(corner, at, graze, ox, oy, oz, dx, dy, dz):
    """Distance along a ray to a triangle and its u, v there; distance -1 if they don't meet.

    Source: Moeller and Trumbore, J. Graphics Tools 2 (1997) 21-28, with u and v widened by WIDEN.
    """
    ax, ay, az = corner[at + 3], corner[at + 4], corner[at + 5]
    bx, by, bz = corner[at + 6], corner[at + 7], corner[at + 8]
    px, py, pz = dy * bz - dz * by, dz * bx - dx * bz, dx * by - dy * bx
    det = ax * px + ay * py + az * pz
    if abs(det) <= graze:
        return -1.0, 0.0, 0.0
    sx, sy, sz = ox - corner[at], oy - corner[at + 1], oz - corner[at + 2]
    u = (sx * px + sy * py + sz * pz) / det
    if u < -WIDEN or u > 1.0 + WIDEN:
        return -1.0, 0.0, 0.0
    qx, qy, qz = sy * az - sz * ay, sz * ax - sx * az, sx * ay - sy * ax
    v = (dx * qx + dy * qy + dz * qz) / det
    if v < -WIDEN or u + v > 1.0 + WIDEN:
        return -1.0, 0.0, 0.0
    return (bx * qx + by * qy + bz * qz) / det, u, v
