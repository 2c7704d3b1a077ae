"""Where the outlines of sheets stand on the sheets that they lap: lines to split faces by."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.cast import Caster
from sim.laps_table import GAP, INSIDE_EDGE, RUN_TURN
from sim.surface import Surface
from sim.tolerances import CLOSED

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FACING = 0.5
"""Cosine: an outline stands on a face when its own sheet lies within 60 degrees of parallel to it."""
SNAP = 1.1e-3
"""A line that ends this near to an edge or a corner of its face ends on it [m]: over a film's
stand-off, far under any lap, so that no sliver is cut off there."""
SHORTEST = 5e-4
"""Shorter lines split nothing [m]."""
LOOKS = (0.1, 0.5, 0.9)
"""Shares of a line at which it is asked whether another sheet lies between."""
LIFT = 1e-6
"""How far off its own sheet a ray starts [m]."""


def outline_lines(surface: Surface, caster: Caster) -> tuple[Ints, Floats]:
    """Lines along which outlines of sheets stand on faces within the gap of a lap.

    Outlines are rims, and bends by more than 30 degrees. Each is brought squarely down onto every
    face within GAP that nothing else hides from it. Returns the face (k,) and the ends of the line
    in it (k, 2, 3) [m], recentred, ordered by face.
    """
    face, start, end, inward = _outlines(surface)
    edge, host = _near(surface, start, end)
    facing = (surface.normals[face[edge]] * surface.normals[host]).sum(axis=1)
    keep = (np.abs(facing) > FACING) & (face[edge] != host)
    edge, host = edge[keep], host[keep]
    low, high = _clipped(surface, start[edge], end[edge], host)
    way = end[edge] - start[edge]
    keep = (high - low) * np.linalg.norm(way, axis=1) > SHORTEST
    edge, host, low, high, way = (rows[keep] for rows in (edge, host, low, high, way))
    base = surface.vertices[surface.faces[host, 0]]
    normal = surface.normals[host]
    ends = start[edge][:, None] + np.stack([low, high], axis=1)[:, :, None] * way[:, None]
    height = np.einsum("kex,kx->ke", ends - base[:, None], normal)
    # What touches is a contact, which is split elsewhere.
    apart = np.abs(height).max(axis=1) > CLOSED
    seen = _seen(surface, caster, ends, inward[edge], face[edge], host, height)
    on_host = ends - height[:, :, None] * normal[:, None]
    on_host, crosses = snapped(surface, host, on_host)
    keep = apart & seen & crosses
    host, on_host = host[keep], on_host[keep]
    order = np.lexsort([*on_host.reshape(-1, 6).T[::-1], host])
    return host[order], on_host[order]


def _outlines(surface: Surface) -> tuple[Ints, Floats, Floats, Floats]:
    """Half-edges on the outlines of sheets: face (n,), start, end and way inward (n, 3)."""
    solid = np.flatnonzero(surface.solid)
    face, place = np.repeat(solid, 3), np.tile(np.arange(3), len(solid))
    here, there = surface.faces[face, place], surface.faces[face, (place + 1) % 3]
    a, b = surface.corners[here].astype(np.int64), surface.corners[there].astype(np.int64)
    key = np.minimum(a, b) * len(surface.vertices) + np.maximum(a, b)
    _, group, count = np.unique(key, return_inverse=True, return_counts=True)
    order = np.argsort(group, kind="stable")
    first = np.cumsum(count) - count
    pair = np.flatnonzero(count == 2)
    one, other = face[order[first[pair]]], face[order[first[pair] + 1]]
    bent = (surface.normals[one] * surface.normals[other]).sum(axis=1) < np.cos(RUN_TURN)
    outline = count != 2
    outline[pair[bent]] = True
    rows = np.flatnonzero(outline[group])
    start, end = surface.vertices[here[rows]], surface.vertices[there[rows]]
    inward = np.cross(surface.normals[face[rows]], end - start)
    size = np.linalg.norm(inward, axis=1, keepdims=True)
    return face[rows], start, end, inward / np.where(size > 0, size, 1.0)


def _near(surface: Surface, start: Floats, end: Floats) -> tuple[Ints, Ints]:
    """Rows of edges and faces whose bounds come within GAP of each other."""
    import shapely  # takes long to import, and still weather never asks

    solid = np.flatnonzero(surface.solid)
    points = surface.vertices[surface.faces[solid]]
    least, most = points.min(axis=1) - GAP, points.max(axis=1) + GAP
    low, high = np.minimum(start, end), np.maximum(start, end)
    tree = shapely.STRtree(shapely.box(least[:, 0], least[:, 1], most[:, 0], most[:, 1]))
    edge, row = tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    meets = (low[edge, 2] <= most[row, 2]) & (high[edge, 2] >= least[row, 2])
    return edge[meets].astype(np.int64), solid[row[meets]].astype(np.int64)


def _clipped(surface: Surface, start: Floats, end: Floats, host: Ints) -> tuple[Floats, Floats]:
    """Shares (k,) of each edge between which it lies over its face and within GAP of its plane."""
    corners, normal = surface.vertices[surface.faces[host]], surface.normals[host]
    low, high = np.zeros(len(host)), np.ones(len(host))

    def keep_above(at_start: Floats, at_end: Floats) -> None:
        nonlocal low, high
        with np.errstate(divide="ignore", invalid="ignore"):
            share = at_start / (at_start - at_end)
        low = np.where((at_start < 0) & (at_end >= 0), np.maximum(low, share), low)
        high = np.where((at_start >= 0) & (at_end < 0), np.minimum(high, share), high)
        high = np.where((at_start < 0) & (at_end < 0), -1.0, high)

    for i in range(3):
        side = corners[:, (i + 1) % 3] - corners[:, i]
        inward = np.cross(normal, side)
        inward /= np.linalg.norm(inward, axis=1, keepdims=True)
        keep_above(*(((p - corners[:, i]) * inward).sum(axis=1) for p in (start, end)))
    height = [((p - corners[:, 0]) * normal).sum(axis=1) for p in (start, end)]
    for sign in (1.0, -1.0):
        keep_above(*(GAP + sign * h for h in height))
    return low, high


def _seen(
    surface: Surface,
    caster: Caster,
    ends: Floats,
    inward: Floats,
    face: Ints,
    host: Ints,
    height: Floats,
) -> NDArray[np.bool_]:
    """Whether some of each line (k, 2, 3) has nothing between its sheet and the face."""
    side = np.where(height.mean(axis=1) > 0, 1.0, -1.0)
    down = -side[:, None] * surface.normals[host]
    own = surface.normals[face]
    # Off its own sheet, on the side of the face that it stands on.
    lift = LIFT * np.where((own * down).sum(axis=1) > 0, 1.0, -1.0)[:, None] * own
    seen = np.zeros(len(host), dtype=bool)
    for share in LOOKS:
        point = ends[:, 0] + share * (ends[:, 1] - ends[:, 0]) + INSIDE_EDGE * inward + lift
        _, hit = caster.first_hit(point + surface.centre, down, 2 * GAP)
        same = surface.face_part[hit] == surface.face_part[host]
        alike = (surface.normals[hit] * surface.normals[host]).sum(axis=1) > np.cos(RUN_TURN)
        seen |= (hit >= 0) & same & alike
    return seen


def snapped(surface: Surface, host: Ints, line: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Lines (k, 2, 3) [m] in faces (k,), with ends near the face's border brought onto it; and
    which of them still cross the face: neither lie along its border nor have shrunk to nothing.
    """
    corners = surface.vertices[surface.faces[host]]
    line, on_edge = line.copy(), np.zeros((len(host), 2, 3), dtype=bool)
    for i in range(3):
        base, side = corners[:, i], corners[:, (i + 1) % 3] - corners[:, i]
        off = line - base[:, None]
        share = np.einsum("kex,kx->ke", off, side) / (side**2).sum(axis=1)[:, None]
        foot = base[:, None] + np.clip(share, 0, 1)[:, :, None] * side[:, None]
        close = np.linalg.norm(line - foot, axis=2) < SNAP
        line[close] = foot[close]
        on_edge[:, :, i] |= close
    away = np.linalg.norm(line[:, :, None] - corners[:, None], axis=3)
    corner, row = away.argmin(axis=2), np.arange(len(host))[:, None]
    close = away.min(axis=2) < SNAP
    line = np.where(close[:, :, None], corners[row, corner], line)
    for i in range(3):
        on_edge[:, :, i] |= close & (corner != (i + 2) % 3)
    along_border = (on_edge[:, 0] & on_edge[:, 1]).any(axis=1)
    length = np.linalg.norm(line[:, 1] - line[:, 0], axis=1)
    return line, ~along_border & (length > SHORTEST)
