"""Which chart lies across each edge of each chart, and through how much air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.surface import Surface

TURN = 2 * np.pi
ON_EACH_OTHER = 1e-9
"""Two faces round an edge within this angle lie on each other [rad]."""


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Neighbours of the 2m charts over their three edges; edge i lies opposite corner i.

    along (m, 3, 3): unit way along each edge of each face, from corner i + 1 to corner i + 2; outward
    (m, 3, 3): unit normal of each edge, in the face's plane, pointing out of it;
    altitude (m, 3) [m]: distance of corner i from edge i; neighbour (2m, 3) int32, -1 for no side;
    near (2m, 3) and far (2m, 3) int8: which corner of the neighbour lies at this edge's corner i+1
    and i+2; air (2m, 3) [rad]: angle through the air from this chart to its neighbour, 0 to 2 pi.
    """

    along: NDArray[np.float64]
    outward: NDArray[np.float64]
    altitude: NDArray[np.float64]
    neighbour: NDArray[np.int32]
    near: NDArray[np.int8]
    far: NDArray[np.int8]
    air: NDArray[np.float64]


def edges_of(surface: Surface) -> Edges:
    """Pair the sides of faces round each edge.

    Round an edge with any number of faces, sort them by angle: the air between two that follow each
    other is bounded by the two sides that face each other. One face alone bounds its own air from
    both sides, so water may wrap round a rim.
    """
    m = len(surface.faces)
    solid = np.flatnonzero(surface.solid)
    first, second = (np.roll(surface.faces, -k, axis=1) for k in (1, 2))
    opposite, start, stop = (surface.vertices[a] for a in (surface.faces, first, second))
    length = np.linalg.norm(stop - start, axis=2, keepdims=True)
    along = (stop - start) / np.where(length > 0, length, 1.0)
    inward = opposite - start
    inward = inward - (inward * along).sum(axis=2, keepdims=True) * along
    altitude = np.linalg.norm(inward, axis=2)
    inward = inward / np.where(altitude > 0, altitude, 1.0)[:, :, None]

    half = (solid[:, None] * 3 + np.arange(3)).ravel()
    p, q = surface.corners[first].ravel()[half], surface.corners[second].ravel()[half]
    forward = p < q
    key = np.minimum(p, q).astype(np.int64) * len(surface.vertices) + np.maximum(p, q)
    order = np.argsort(key, kind="stable")
    half, forward, key, p = half[order], forward[order], key[order], p[order]
    group_start = np.ones(len(half), dtype=bool)
    group_start[1:] = key[1:] != key[:-1]
    head = np.flatnonzero(group_start)[np.cumsum(group_start) - 1]
    angle = _angles(along, inward, half, forward, head)
    order = _order_round(key, angle, np.where(forward, 1, -1) * (half // 3))
    half, forward, angle, p = half[order], forward[order], angle[order], p[order]
    here = np.arange(len(half))
    last = np.ones(len(half), dtype=bool)
    last[:-1] = group_start[1:]
    onward = np.where(last, head, here + 1)
    # Faces that lie on each other stand in the order of their layers, whose angles may differ by less.
    air = angle[onward] - angle
    air = np.where(last, air + TURN, np.maximum(air, 0.0))

    neighbour = np.full((2 * m, 3), -1, dtype=np.int32)
    near = np.zeros((2 * m, 3), dtype=np.int8)
    far = np.zeros((2 * m, 3), dtype=np.int8)
    wedge = np.zeros((2 * m, 3))
    face, edge = half // 3, half % 3
    facing_on = 2 * face + np.where(forward, 0, 1)
    facing_back = (2 * face + np.where(forward, 1, 0))[onward]
    edge_on = edge[onward]
    same = p == p[onward]
    for chart, i, other, j in (
        (facing_on, edge, facing_back, edge_on),
        (facing_back, edge_on, facing_on, edge),
    ):
        neighbour[chart, i] = other
        near[chart, i] = (j + np.where(same, 1, 2)) % 3
        far[chart, i] = (j + np.where(same, 2, 1)) % 3
        wedge[chart, i] = air
    return Edges(along, -inward, altitude, neighbour, near, far, wedge)


def _order_round(
    key: NDArray[np.integer], angle: NDArray[np.float64], layer: NDArray[np.integer]
) -> NDArray[np.int64]:
    """Order of faces by edge (key) and by angle; those that lie on each other by layer.

    Along the normal of faces that coincide the later one lies over the earlier, at each of their
    edges alike: else water would run into the nothing between them.
    """
    order = np.lexsort((angle, key))
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = (key[order][1:] != key[order][:-1]) | (np.diff(angle[order]) > ON_EACH_OTHER)
    place = np.empty(len(order), dtype=np.int64)
    place[order] = np.cumsum(fresh)
    return np.lexsort((layer, place))


def _angles(
    along: NDArray[np.float64],
    inward: NDArray[np.float64],
    half: NDArray[np.integer],
    forward: NDArray[np.bool_],
    head: NDArray[np.integer],
) -> NDArray[np.float64]:
    """Angle of each face round its edge [rad], from the first of its group, 0 to 2 pi."""
    ways, axes = inward.reshape(-1, 3)[half], along.reshape(-1, 3)[half]
    axes = np.where(forward[:, None], axes, -axes)[head]
    zero = ways[head]
    square = np.cross(axes, zero)
    angle = np.arctan2((ways * square).sum(axis=1), (ways * zero).sum(axis=1)) % TURN
    # A face that lies on the first one must not come last for a rounding below nought.
    return np.where(angle > TURN - ON_EACH_OTHER, 0.0, angle)
