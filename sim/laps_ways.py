"""The shortest straight way through a lap, from its open edge to the edge that leads behind."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from sim.laps_borders import Flags, Floats, HalfEdges, Ints
from sim.laps_table import FARTHEST, SQUARE


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """One way for each piece of open edge that has one: row of the open piece, row of the hidden
    one, both ends (n, 3), its length (n,) [m], whether it goes round a corner, and how thick what
    the upper sheet is folded round is (n,) [m]."""

    open_row: Ints
    hidden_row: Ints
    start: Floats
    inner: Floats
    length: Floats
    bent: Flags
    wrapped: Floats

    def or_shorter(self, other: Ways) -> Ways:
        """For each open piece the shorter of both."""
        pairs = [
            np.concatenate([getattr(self, field.name), getattr(other, field.name)])
            for field in fields(self)
        ]
        every = Ways(*pairs)
        order = np.lexsort((np.round(every.length, 9), every.open_row))
        rows = every.open_row[order]
        first = order[np.append(True, rows[1:] != rows[:-1])] if len(order) else order
        return Ways(*(pair[first] for pair in pairs))


def ways_between(
    start: Floats, outer: HalfEdges, hidden: HalfEdges, wrapped: Floats | None = None
) -> Ways:
    """From each start (n, 3) at an open piece, the shortest straight way to a hidden piece that
    crosses both edges within 40 degrees of square, and is no longer than `FARTHEST`.

    wrapped: of the hidden pieces (k,) [m], carried over; None for nought.
    """
    if not len(outer) or not len(hidden):
        none, nought = np.zeros(0, dtype=np.int64), np.zeros(0)
        return Ways(none, none, np.zeros((0, 3)), np.zeros((0, 3)), nought, nought > 0, nought)
    base, along = hidden.start[None], (hidden.end - hidden.start)[None]
    at = ((start[:, None] - base) * along).sum(axis=2) / (along**2).sum(axis=2)
    inner = base + np.clip(at, 0, 1)[:, :, None] * along
    way = inner - start[:, None]
    length = np.linalg.norm(way, axis=2)
    into = np.einsum("ijk,ik->ij", way, outer.inward)
    out_of = -np.einsum("ijk,jk->ij", way, hidden.inward)
    square = (into > SQUARE * length) & (out_of > SQUARE * length)
    length = np.where(square & (length > 0) & (length <= FARTHEST), length, np.inf)
    nearest = np.round(length, 9).argmin(axis=1)
    found = np.flatnonzero(np.isfinite(length[np.arange(len(outer)), nearest]))
    nearest = nearest[found]
    thick = np.zeros(len(found)) if wrapped is None else wrapped[nearest]
    straight = np.zeros(len(found), dtype=bool)
    return Ways(
        found, nearest, start[found], inner[found, nearest], length[found, nearest], straight, thick
    )


def ways_round_corners(
    start: Floats, outer: HalfEdges, corners: HalfEdges, onward: Floats, hidden: HalfEdges
) -> Ways:
    """As `ways_between`, but over one corner of the lower sheet: to it, and on in its next face.

    onward (k, 3): way on beyond each piece of corner, unit.
    """
    first = ways_between(start, outer, corners)
    beyond = replace(corners.rows(first.hidden_row), inward=onward[first.hidden_row])
    second = ways_between(first.inner, beyond, hidden)
    return Ways(
        first.open_row[second.open_row], second.hidden_row, first.start[second.open_row],
        second.inner, first.length[second.open_row] + second.length, ~second.bent, second.wrapped,
    )  # fmt: skip


def edge_line(pieces: HalfEdges) -> Floats:
    """The pieces as one line (k, 3) [m] from end to end, points on a straight run left out."""
    points = np.concatenate([pieces.start, pieces.end])
    middle = points.mean(axis=0)
    axis = np.linalg.svd(points - middle, full_matrices=False)[2][0]
    axis = axis * np.sign(axis[np.abs(axis).argmax()])
    forward = ((pieces.end - pieces.start) @ axis >= 0)[:, None]
    start = np.where(forward, pieces.start, pieces.end)
    end = np.where(forward, pieces.end, pieces.start)
    order = np.argsort((start + end) @ axis, kind="stable")
    line = np.stack([start[order], end[order]], axis=1).reshape(-1, 3)
    return _straightened(line)


def extent(pieces: HalfEdges, way: Floats) -> float:
    """Width [m] of a lap: how far its open pieces reach, square to the way (3,)."""
    points = np.concatenate([pieces.start, pieces.end])
    across = np.cross(pieces.normal.mean(axis=0), way)
    size = float(np.linalg.norm(across))
    return float(np.ptp(points @ (across / size))) if size > 0 else 0.0


def _straightened(line: Floats) -> Floats:
    step = np.linalg.norm(np.diff(line, axis=0), axis=1)
    line = line[np.append(True, step > 1e-9)]
    if len(line) < 3:
        return line
    along = np.diff(line, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    bends: Flags = (along[1:] * along[:-1]).sum(axis=1) < 1 - 1e-9
    return line[np.concatenate([[True], bends, [True]])]
