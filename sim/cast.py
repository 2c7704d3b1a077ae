"""Rays against a surface: one contract, a fast caster, and a plain one that checks it."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.compiled import compiled
from sim.pointers import pointer
from sim.surface import Surface
from sim.tables import hot_tree
from sim.threads import in_threads
from sim.tolerances import PARALLEL, WIDEN
from sim.tree import DEPTH, Tree, any_hit, first_hit, lying_axes, tree_of

RAYS = 2048
"""Rays in a run: one takes a microsecond or two, the start of a thread as long as some hundred."""

Hits = tuple[NDArray[np.float64], NDArray[np.int32]]


class RayCaster(Protocol):
    """What a caster does, whichever way it does it."""

    def first_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> Hits:
        """First face each ray meets: distance t (n,) [lengths of the direction], face (n,) int32.

        origins (n, 3) [m] and directions (n, 3), in the assembly's own coordinates. No hit within
        `max_distance`: t = inf, face = -1. Edges and corners hit; of faces met at the same distance
        the lowest counts; faces parallel to the ray are missed. A ray that starts on a face hits it
        at 0.
        """
        ...

    def any_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> NDArray[np.bool_]:
        """Whether each ray meets anything within `max_distance` [lengths of the direction]: (n,)."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class Caster:
    """The caster in use: trees of boxes, float64, compiled. lying: the tree with its boxes along the
    roof, for short rays square to it; `tree`, along the axes, is for falls."""

    tree: Tree
    lying: Tree
    centre: NDArray[np.float64]

    @staticmethod
    def of(surface: Surface) -> Caster:
        """The caster for the solid faces of a surface."""
        return Caster(tree_of(surface), tree_of(surface, lying_axes(surface)), surface.centre)

    def first_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> Hits:
        """See `RayCaster.first_hit`."""
        t, face, _ = self.landings(origins, directions, max_distance)
        return t, face

    def any_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> NDArray[np.bool_]:
        """See `RayCaster.any_hit`."""
        start, way = _rays(origins, directions)
        start = start - self.centre
        met = np.empty(len(start), dtype=np.bool_)

        def work(first: int, last: int) -> None:
            rows = slice(first * RAYS, last * RAYS)
            _probe(self.tree, start[rows], way[rows], float(max_distance), met[rows])

        in_threads(work, (len(start) + RAYS - 1) // RAYS, None)
        return met

    def landings(
        self,
        origins: ArrayLike,
        directions: ArrayLike,
        max_distance: float = np.inf,
        skip: NDArray[np.integer] | None = None,
    ) -> tuple[NDArray[np.float64], NDArray[np.int32], NDArray[np.float64]]:
        """As `first_hit`, and where on the face: barycentric coordinates (n, 3), nil for a miss.

        skip (n, 2): faces that own both matched corners are left out for that ray (-1: none).
        """
        start, way = _rays(origins, directions)
        if skip is None:
            skip = np.full((len(start), 2), -1, np.int64)
        n = len(start)
        distance, face, where = np.empty(n), np.empty(n, np.int32), np.zeros((n, 3))
        start, skip = start - self.centre, skip.astype(np.int64)

        def work(first: int, last: int) -> None:
            rows = slice(first * RAYS, last * RAYS)
            _cast(
                self.tree, start[rows], way[rows], float(max_distance), skip[rows],
                distance[rows], face[rows], where[rows],
            )  # fmt: skip

        in_threads(work, (n + RAYS - 1) // RAYS, None)
        return distance, face, where


@compiled
def _cast(tree, origins, directions, reach, skip, distance, face, where):
    room = np.empty(DEPTH, np.int32)
    boxes, stack = hot_tree(tree), pointer(room)
    for i in range(len(origins)):
        t, f, u, v = first_hit(
            boxes, stack, origins[i, 0], origins[i, 1], origins[i, 2],
            directions[i, 0], directions[i, 1], directions[i, 2], reach, skip[i, 0], skip[i, 1],
        )  # fmt: skip
        distance[i] = t if f >= 0 else np.inf
        face[i] = f
        if f >= 0:
            where[i, 0] = 1.0 - u - v
            where[i, 1] = u
            where[i, 2] = v
    # Named here so that it outlives the pointer to it.
    room[0] = 0


@compiled
def _probe(tree, origins, directions, reach, met):
    room = np.empty(DEPTH, np.int32)
    boxes, stack = hot_tree(tree), pointer(room)
    for i in range(len(origins)):
        met[i] = any_hit(
            boxes, stack, origins[i, 0], origins[i, 1], origins[i, 2],
            directions[i, 0], directions[i, 1], directions[i, 2], reach,
        )  # fmt: skip
    # Named here so that it outlives the pointer to it.
    room[0] = 0


@dataclass(frozen=True, slots=True, eq=False)
class PlainCaster:
    """The same contract by brute force in numpy: each ray against each face. For checks only."""

    points: NDArray[np.float64]
    face: NDArray[np.int32]
    centre: NDArray[np.float64]

    @staticmethod
    def of(surface: Surface) -> PlainCaster:
        """The plain caster for the solid faces of a surface."""
        face = np.flatnonzero(surface.solid).astype(np.int32)
        return PlainCaster(surface.vertices[surface.faces[face]], face, surface.centre)

    def first_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> Hits:
        """See `RayCaster.first_hit`."""
        start, way = _rays(origins, directions)
        start, way = (start - self.centre)[:, None, :], way[:, None, :]
        base = self.points[None, :, 0]
        e1, e2 = self.points[None, :, 1] - base, self.points[None, :, 2] - base
        across = np.cross(way, e2)
        det = (e1 * across).sum(axis=-1)
        away = start - base
        turned = np.cross(away, e1)
        graze = np.linalg.norm(np.cross(e1, e2), axis=-1) * PARALLEL
        with np.errstate(divide="ignore", invalid="ignore"):
            u = (away * across).sum(axis=-1) / det
            v = (way * turned).sum(axis=-1) / det
            t = (e2 * turned).sum(axis=-1) / det
            meets = (np.abs(det) > graze) & (u >= -WIDEN) & (u <= 1 + WIDEN) & (v >= -WIDEN)
            meets &= (u + v <= 1 + WIDEN) & (t >= 0) & (t <= max_distance)
        t = np.where(meets, t, np.inf)
        nearest = t.argmin(axis=1)
        distance = t[np.arange(len(t)), nearest]
        return distance, np.where(np.isfinite(distance), self.face[nearest], -1).astype(np.int32)

    def any_hit(
        self, origins: ArrayLike, directions: ArrayLike, max_distance: float = np.inf
    ) -> NDArray[np.bool_]:
        """See `RayCaster.any_hit`."""
        return self.first_hit(origins, directions, max_distance)[1] >= 0


def _rays(
    origins: ArrayLike, directions: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    start = np.atleast_2d(np.asarray(origins, dtype=np.float64))
    way = np.broadcast_to(np.asarray(directions, dtype=np.float64), start.shape)
    return start, np.array(way, order="C")
