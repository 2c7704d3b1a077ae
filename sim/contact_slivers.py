"""Pieces with no area, left where two lines of contact all but coincide."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.tolerances import DEGENERATE

Face = tuple[int, int, int]


def without_slivers(
    vertices: Sequence[NDArray[np.float64]], pieces: list[Face], owners: list[int]
) -> tuple[list[Face], list[int]]:
    """The pieces of faces, and the face that each comes from, without slivers.

    A sliver has its middle corner on its longest side. It is taken out, and every piece that has that
    side gets the corner too, so that no crack is left where the sliver was.
    """
    done = [(piece, owner) for piece, owner in zip(pieces, owners, strict=True)]
    row = 0
    while row < len(done):
        side = _long_side(vertices, done[row][0])
        if side is None:
            row += 1
            continue
        a, b, middle = side
        rest: list[tuple[Face, int]] = []
        for piece, owner in done[:row] + done[row + 1 :]:
            if a in piece and b in piece and middle not in piece:
                i = next(i for i in range(3) if piece[i] not in (a, b))
                apex, first, last = (piece[(i + step) % 3] for step in range(3))
                rest += [((apex, first, middle), owner), ((apex, middle, last), owner)]
            else:
                rest.append((piece, owner))
        done, row = rest, 0
    return [piece for piece, _ in done], [owner for _, owner in done]


def _long_side(vertices: Sequence[NDArray[np.float64]], face: Face) -> tuple[int, int, int] | None:
    """Ends of the longest side of a sliver and its middle corner; None for a face with an area."""
    p, q, r = (vertices[corner] for corner in face)
    lengths = [float(np.linalg.norm(b - a)) for a, b in ((q, r), (r, p), (p, q))]
    longest = int(np.argmax(lengths))
    if float(np.linalg.norm(np.cross(q - p, r - p))) > 10 * DEGENERATE * lengths[longest]:
        return None
    return face[(longest + 1) % 3], face[(longest + 2) % 3], face[longest]
