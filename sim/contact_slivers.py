"""Pieces with no area, left where two lines of contact all but coincide."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.tolerances import DEGENERATE

Face = tuple[int, int, int]

ROUNDS = 8
"""Slivers taken out for each one there was: points that all but coincide can bring one back."""


def without_slivers(
    vertices: Sequence[NDArray[np.float64]], pieces: list[Face], owners: list[int]
) -> tuple[list[Face], list[int]]:
    """The pieces of faces, and the face that each comes from, without slivers.

    A sliver has its middle corner on its longest side. It is taken out, and every piece that has that
    side gets the corner too, so that no crack is left where the sliver was. Slivers that come back
    again and again are left: a surface leaves them out by itself.
    """
    done: dict[int, tuple[Face, int]] = dict(enumerate(zip(pieces, owners, strict=True)))
    on_side: dict[tuple[int, int], list[int]] = {}
    for row, (piece, _) in done.items():
        _enter(on_side, row, piece)
    waiting = _slivers(vertices, pieces)
    left, fresh = ROUNDS * len(waiting), len(pieces)
    while waiting and left > 0:
        row = waiting.pop()
        if row not in done:
            continue
        left -= 1
        (a, b, middle), _ = _long_side(vertices, done.pop(row)[0])
        for other in on_side.pop((min(a, b), max(a, b))):
            if other not in done:
                continue
            piece, owner = done[other]
            if middle in piece:
                on_side.setdefault((min(a, b), max(a, b)), []).append(other)
                continue
            del done[other]
            i = next(i for i in range(3) if piece[i] not in (a, b))
            apex, first, last = (piece[(i + step) % 3] for step in range(3))
            for made in ((apex, first, middle), (apex, middle, last)):
                done[fresh] = (made, owner)
                _enter(on_side, fresh, made)
                if _long_side(vertices, made)[1]:
                    waiting.append(fresh)
                fresh += 1
    return [piece for piece, _ in done.values()], [owner for _, owner in done.values()]


def _enter(on_side: dict[tuple[int, int], list[int]], row: int, piece: Face) -> None:
    a, b, c = piece
    for side in (
        (a, b) if a < b else (b, a),
        (b, c) if b < c else (c, b),
        (c, a) if c < a else (a, c),
    ):
        on_side.setdefault(side, []).append(row)


def _slivers(vertices: Sequence[NDArray[np.float64]], pieces: list[Face]) -> list[int]:
    """Rows of the pieces that are slivers, the last first."""
    corners = np.array(vertices)[np.array(pieces, dtype=np.int64).reshape(-1, 3)]
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    longest = np.maximum((one**2).sum(axis=1), (other**2).sum(axis=1))
    longest = np.sqrt(np.maximum(longest, ((other - one) ** 2).sum(axis=1)))
    # A little generous: each of the few is looked at again.
    near = np.linalg.norm(np.cross(one, other), axis=1) <= 20 * DEGENERATE * longest
    few = np.flatnonzero(near)[::-1].tolist()
    return [row for row in few if _long_side(vertices, pieces[row])[1]]


def _long_side(
    vertices: Sequence[NDArray[np.float64]], face: Face
) -> tuple[tuple[int, int, int], bool]:
    """Ends of the longest side of a face and its third corner; whether the face is a sliver."""
    places = [vertices[corner].tolist() for corner in face]
    sides = [
        [q - p for p, q in zip(places[(i + 1) % 3], places[(i + 2) % 3], strict=True)]
        for i in range(3)
    ]
    lengths = [sum(step * step for step in side) ** 0.5 for side in sides]
    longest = lengths.index(max(lengths))
    (ax, ay, az), (bx, by, bz) = sides[0], sides[1]
    twice = ((ay * bz - az * by) ** 2 + (az * bx - ax * bz) ** 2 + (ax * by - ay * bx) ** 2) ** 0.5
    ends = (face[(longest + 1) % 3], face[(longest + 2) % 3], face[longest])
    return ends, twice <= 10 * DEGENERATE * lengths[longest]
