"""Which faces touch or cut each other, and along which line."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.compiled import compiled
from sim.surface import Surface
from sim.tolerances import CLOSED, TOUCH
from sim.tree import DEPTH, Tree, places_within


def meetings(surface: Surface, tree: Tree) -> tuple[NDArray[np.int32], NDArray[np.float64]]:
    """Lines along which faces meet that are no neighbours of each other.

    Returns pair (k, 2): the guest and the host face; and line (k, 2, 3) [m]: the ends of the line,
    in the host's plane and within its outline. A face meets another when it cuts it, or when two of
    its corners come within CLOSED of it; faces that lie flat on each other don't meet, their
    borders do, through the faces beyond. Faces of one part that share a corner are neighbours;
    others of one part meet within TOUCH.
    """
    corners = surface.corners[surface.faces]
    room = 256
    while True:
        pair, line = np.empty((room, 2), np.int32), np.empty((room, 2, 3))
        found = _meet(
            tree, surface.vertices, surface.faces, surface.normals, corners, surface.face_part,
            surface.solid, pair, line,
        )  # fmt: skip
        if found <= room:
            return pair[:found], line[:found]
        room = found


@compiled
def _meet(tree, vertices, faces, normals, corners, part, solid, pair, line):
    """Fill pair and line as far as they have room; returns how many meetings there are."""
    used = 0
    stack, place = np.empty(DEPTH, np.int32), np.empty(len(tree.face), np.int32)
    low, high = np.empty(3), np.empty(3)
    over, under = np.empty(3), np.empty(3)
    cut = np.empty((2, 3))
    for a in range(len(faces)):
        if not solid[a]:
            continue
        for k in range(3):
            p, q, r = vertices[faces[a, 0], k], vertices[faces[a, 1], k], vertices[faces[a, 2], k]
            low[k] = min(p, q, r) - CLOSED
            high[k] = max(p, q, r) + CLOSED
        for i in place[: places_within(tree, low, high, stack, place)]:
            b = np.int64(tree.face[i])
            if b <= a or (part[a] == part[b] and _share(corners, a, b)):
                continue
            # Two faces of one part meet only where they truly do: a narrow slit is no contact.
            near = TOUCH if part[a] == part[b] else CLOSED
            at_a = _heights(vertices, faces, normals, a, b, near, over)
            if at_a < 0:
                continue
            at_b = _heights(vertices, faces, normals, b, a, near, under)
            if at_b < 0:
                continue
            # The face that rests on the other with a whole edge is the guest; cuts go either way.
            guest, host = (b, a) if at_b == 2 and at_a < 2 else (a, b)
            heights = under if guest == b else over
            if not _cut(vertices, faces, normals, guest, host, heights, cut):
                continue
            if used < len(pair):
                pair[used, 0], pair[used, 1] = guest, host
                for end in range(2):
                    for k in range(3):
                        line[used, end, k] = cut[end, k]
            used += 1
    return used


@compiled
def _share(corners, a, b):
    for i in range(3):
        for j in range(3):
            if corners[a, i] == corners[b, j]:
                return True
    return False


@compiled
def _heights(vertices, faces, normals, face, plane, near, height):
    """Heights (3,) of a face's corners over another's plane, nil within `near`; how many are
    nil.

    -1: it stays on one side, or it lies flat on the plane, or only one corner touches.
    """
    above, below, on = 0, 0, 0
    base = vertices[faces[plane, 0]]
    for i in range(3):
        h = 0.0
        for k in range(3):
            h += normals[plane, k] * (vertices[faces[face, i], k] - base[k])
        if abs(h) < near:
            h = 0.0
            on += 1
        elif h > 0.0:
            above += 1
        else:
            below += 1
        height[i] = h
    if on == 3 or (on < 2 and (above == 0 or below == 0)):
        return -1
    return on


@compiled
def _cut(vertices, faces, normals, guest, host, height, cut):
    """The line (2, 3) along which a guest meets its host, if any."""
    found = 0
    base, normal = vertices[faces[host, 0]], normals[host]
    for i in range(3):
        j = (i + 1) % 3
        p, q = vertices[faces[guest, i]], vertices[faces[guest, j]]
        if height[i] == 0.0 and found < 2:
            rise = 0.0
            for k in range(3):
                rise += normal[k] * (p[k] - base[k])
            for k in range(3):
                cut[found, k] = p[k] - rise * normal[k]
            found += 1
        if height[i] * height[j] < 0.0 and found < 2:
            share = height[i] / (height[i] - height[j])
            for k in range(3):
                cut[found, k] = p[k] + share * (q[k] - p[k])
            found += 1
    if found < 2:
        return False
    # Clip to the host's outline, let out by CLOSED.
    least, most = 0.0, 1.0
    for i in range(3):
        p, q = vertices[faces[host, i]], vertices[faces[host, (i + 1) % 3]]
        ex, ey, ez = q[0] - p[0], q[1] - p[1], q[2] - p[2]
        ix = normal[1] * ez - normal[2] * ey
        iy = normal[2] * ex - normal[0] * ez
        iz = normal[0] * ey - normal[1] * ex
        size = np.sqrt(ix * ix + iy * iy + iz * iz)
        inside_a = (
            ix * (cut[0, 0] - p[0]) + iy * (cut[0, 1] - p[1]) + iz * (cut[0, 2] - p[2])
        ) / size
        inside_b = (
            ix * (cut[1, 0] - p[0]) + iy * (cut[1, 1] - p[1]) + iz * (cut[1, 2] - p[2])
        ) / size
        if inside_a < -CLOSED and inside_b < -CLOSED:
            return False
        # Ends within CLOSED of the outline stay; others are brought back to it exactly.
        if inside_a < -CLOSED:
            least = max(least, inside_a / (inside_a - inside_b))
        if inside_b < -CLOSED:
            most = min(most, inside_a / (inside_a - inside_b))
    size = 0.0
    for k in range(3):
        size += (cut[1, k] - cut[0, k]) ** 2
    if (most - least) * np.sqrt(size) < 2.0 * CLOSED:
        return False
    for k in range(3):
        start, way = cut[0, k], cut[1, k] - cut[0, k]
        cut[0, k] = start + least * way
        cut[1, k] = start + most * way
    return True
