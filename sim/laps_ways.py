"""The shortest straight way through a lap, from its open edge to the edge that leads behind."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from sim.compiled import compiled, in_one_piece
from sim.laps_borders import Flags, Floats, HalfEdges, Ints
from sim.laps_table import FARTHEST, GAP, SQUARE

ALIKE = 1e-9
"""Ways that differ by less are equally long [m]."""


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
    nearest, inner = np.full(len(outer), -1, np.int64), np.empty((len(outer), 3))
    length = np.empty(len(outer))
    _shortest(
        in_one_piece(start), in_one_piece(outer.inward), in_one_piece(hidden.start), in_one_piece(hidden.end),
        in_one_piece(hidden.inward), nearest, inner, length,
    )  # fmt: skip
    found = np.flatnonzero(nearest >= 0)
    nearest = nearest[found]
    thick = np.zeros(len(found)) if wrapped is None else wrapped[nearest]
    straight = np.zeros(len(found), dtype=bool)
    return Ways(found, nearest, start[found], inner[found], length[found], straight, thick)


@compiled
def _shortest(start, inward, line, line_end, line_inward, nearest, inner, length):  # type: ignore[no-untyped-def]
    """For each start, the number of the line (-1: none) to which the way is shortest, the first of equal
    ones, where that way ends, and its length."""
    for i in range(len(start)):
        best = np.inf
        for k in range(len(line)):
            x, y, z = line[k, 0], line[k, 1], line[k, 2]
            u, v, w = line_end[k, 0] - x, line_end[k, 1] - y, line_end[k, 2] - z
            at = (start[i, 0] - x) * u + (start[i, 1] - y) * v + (start[i, 2] - z) * w
            at = min(max(at / (u * u + v * v + w * w), 0.0), 1.0)
            x, y, z = x + at * u, y + at * v, z + at * w
            u, v, w = x - start[i, 0], y - start[i, 1], z - start[i, 2]
            size = np.sqrt(u * u + v * v + w * w)
            if not 0 < size <= FARTHEST or np.rint(size / ALIKE) >= best:
                continue
            into = u * inward[i, 0] + v * inward[i, 1] + w * inward[i, 2]
            out_of = -(u * line_inward[k, 0] + v * line_inward[k, 1] + w * line_inward[k, 2])
            if into > SQUARE * size and out_of > SQUARE * size:
                best = np.rint(size / ALIKE)
                nearest[i], length[i] = k, size
                inner[i, 0], inner[i, 1], inner[i, 2] = x, y, z


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


def in_waves(pieces: HalfEdges) -> Flags:
    """Which pieces (n,) are of a run that goes up and down, out of any one plane, by more than a gap."""
    waves = np.zeros(len(pieces), dtype=bool)
    points = pieces.middle
    for run in np.unique(pieces.run).tolist():
        mine = pieces.run == run
        base = np.column_stack([points[mine, :2], np.ones(int(mine.sum()))])
        best = np.linalg.lstsq(base, points[mine, 2], rcond=None)[0]
        waves[mine] = np.ptp(points[mine, 2] - base @ best) > GAP
    return waves


def waves_levelled(pieces: HalfEdges, waves: Flags) -> HalfEdges:
    """Pieces that look inward as their run does on the whole, where it is in `waves` (n,): up a flank water
    goes straight on, not across it."""
    inward = pieces.inward.copy()
    for run in np.unique(pieces.run[waves]).tolist():
        mine = pieces.run == run
        whole = (inward[mine] * pieces.length[mine][:, None]).sum(axis=0)
        inward[mine] = whole / np.linalg.norm(whole)
    return replace(pieces, inward=inward)


def _straightened(line: Floats) -> Floats:
    step = np.linalg.norm(np.diff(line, axis=0), axis=1)
    line = line[np.append(True, step > 1e-9)]
    if len(line) < 3:
        return line
    along = np.diff(line, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    bends: Flags = (along[1:] * along[:-1]).sum(axis=1) < 1 - 1e-9
    return line[np.concatenate([[True], bends, [True]])]
