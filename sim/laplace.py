"""Laplace's equation on triangles in space: a field that is given on some corners, for many cases."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.errors import TraceError
from sim.nearby import groups

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Ties(NamedTuple):
    """Nodes that have the field of a triangle's place: slave (s,), each once and in no `master`;
    master (s, 3): nodes of the triangle; share (s, 3): of each in the place, adding up to 1."""

    slave: Ints
    master: Ints
    share: Floats


NO_TIES = Ties(np.zeros(0, dtype=np.int64), np.zeros((0, 3), dtype=np.int64), np.zeros((0, 3)))


def laplace(
    corners: Floats,
    nodes: Ints,
    given: NDArray[np.bool_],
    values: Floats,
    ties: Ties = NO_TIES,
) -> Floats:
    """The field (n, k) that is harmonic between nodes where it is given.

    corners (t, 3, 3) [m]: places of the corners of each triangle, in any plane; nodes (t, 3): their
    numbers, below n; given (n,): where the field is; values (n, k): its values there, what stands
    elsewhere is not looked at; k cases at once; ties: where one sheet of triangles ends on another,
    none of them at given nodes. Nothing passes over a border where nothing is given. A piece that
    hangs together with no given node gets 0. Linear finite elements on each triangle, so a linear
    field comes out exactly. Raises TraceError for a triangle without area.
    """
    count = len(given)
    field = np.where(given[:, None], values, 0.0)
    hung = np.stack([np.repeat(ties.slave, 3), ties.master.ravel()], axis=1)
    piece = groups(count, np.concatenate([nodes[:, :2], nodes[:, 1:], hung]))
    fed = np.bincount(piece[given], minlength=count) > 0
    free = ~given & fed[piece]
    free[ties.slave] = False
    if not free.any():
        return _hung(field, ties)
    from scipy.sparse import coo_array  # takes long to import, and still weather never asks
    from scipy.sparse.linalg import splu

    rows, columns = np.repeat(nodes, 3, axis=1).ravel(), np.tile(nodes, (1, 3)).ravel()
    stiff = element_stiffness(corners).ravel()
    whole = coo_array((stiff, (rows, columns)), shape=(count, count)).tocsr()
    if len(ties.slave):
        own = np.setdiff1d(np.arange(count), ties.slave)
        rows = np.concatenate([own, np.repeat(ties.slave, 3)])
        columns = np.concatenate([own, ties.master.ravel()])
        shares = np.concatenate([np.ones(len(own)), ties.share.ravel()])
        spread = coo_array((shares, (rows, columns)), shape=(count, count)).tocsr()
        whole = (spread.T @ whole @ spread).tocsr()
    inner, outer = np.flatnonzero(free), np.flatnonzero(given)
    load = -whole[inner][:, outer] @ field[outer]
    solver = splu(
        whole[inner][:, inner].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )  # fmt: skip
    field[inner] = solver.solve(load)
    return _hung(field, ties)


def _hung(field: Floats, ties: Ties) -> Floats:
    field[ties.slave] = np.einsum("si,sik->sk", ties.share, field[ties.master])
    return field


def element_stiffness(corners: Floats) -> Floats:
    """Integrals (t, 3, 3) of grad(a) . grad(b) for the linear shapes of triangles (t, 3, 3) [m]."""
    slopes, area = shape_gradients(corners)
    return np.einsum("tix,tjx,t->tij", slopes, slopes, area)


def shape_gradients(corners: Floats) -> tuple[Floats, Floats]:
    """Gradients (t, 3, 3) [1/m], in the triangle's plane, of the three linear shapes; area (t,)."""
    sides = np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1)
    twice = np.cross(sides[:, 0], sides[:, 1])
    square = (twice**2).sum(axis=1)
    if not (square > 0).all():
        flat = int((square == 0).sum())
        raise TraceError(f"triangles of a field must have an area. Got {flat} without")
    slopes = np.cross(twice[:, None], sides) / square[:, None, None]
    return slopes, np.sqrt(square) / 2


def gradients(corners: Floats, nodes: Ints, field: Floats) -> Floats:
    """Gradient (t, k, 3) [1/m] of a field (n, k) on each triangle, in its plane."""
    slopes, _ = shape_gradients(corners)
    return np.asarray(np.einsum("tix,tik->tkx", slopes, field[nodes]))
