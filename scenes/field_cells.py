"""Faces cut into small cells, so that an amount can change within a face, and cells found by place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SMALL = 0.036
"""Longest side of a cell [m], where it matters."""
COARSER = 0.25
"""And so much more for each metre from there: far off, cells may be larger."""
MOST_HALVINGS = 16
"""A face of 7 m is cut down to 36 mm in so many."""

TURNED = 0.3
"""Cells whose normals stand square to each other count as so much farther apart [m]."""
ASIDE = 10.0
"""And those that lie beside each other's planes so many times farther."""
FAR = 100.0
"""Farther than any two cells [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Triangles halved across their longest side until they are small.

    corners (c, 3, 3) [m] and face (c,), of the cells. The halving is kept: side (t,) that a triangle is
    cut across, -1 for a cell; child (t,) the first of its two halves; cell (t,) its number as a cell.
    The first rows are the faces themselves.
    """

    corners: Floats
    face: Ints
    side: NDArray[np.int8]
    child: Ints
    cell: Ints

    @staticmethod
    def of(corners: Floats, near: tuple[Floats, Floats], size: float = SMALL) -> Cells:
        """Cells of faces (f, 3, 3) [m], at most `size` [m] long inside the bounds `near` (low and high,
        (3,) each), and longer outside them."""
        level, face, first = corners, np.arange(len(corners)), 0
        sides, children, cells, kept, faces = [], [], [], [], []
        count = 0
        for _ in range(MOST_HALVINGS):
            long, side = longest(level)
            middle = level.mean(axis=1)
            off = np.linalg.norm(middle - np.clip(middle, *near), axis=1)
            cut = long > size + COARSER * off
            sides.append(np.where(cut, side, -1).astype(np.int8))
            first += len(level)
            children.append(np.where(cut, first + 2 * (np.cumsum(cut) - 1), -1))
            cells.append(np.where(cut, -1, count + np.cumsum(~cut) - 1))
            kept.append(level[~cut])
            faces.append(face[~cut])
            count += int((~cut).sum())
            level, face = halved(level[cut], side[cut]), np.repeat(face[cut], 2)
            if not len(level):
                break
        sides.append(np.full(len(level), -1, dtype=np.int8))
        children.append(np.full(len(level), -1))
        cells.append(count + np.arange(len(level)))
        return Cells(
            np.concatenate([*kept, level]), np.concatenate([*faces, face]),
            np.concatenate(sides), np.concatenate(children), np.concatenate(cells),
        )  # fmt: skip

    def at(self, face: Ints, where: Floats) -> Ints:
        """The cells (n,) at places on faces (n,), in barycentric coordinates (n, 3)."""
        node = face.astype(np.int64).copy()
        place = where.copy()
        open_rows = np.flatnonzero(self.side[node] >= 0)
        while len(open_rows):
            here = node[open_rows]
            across = self.side[here].astype(np.int64)
            a, b = (np.take_along_axis(place[open_rows], ((across + k) % 3)[:, None], 1)[:, 0]
                    for k in (1, 2))  # fmt: skip
            c = np.take_along_axis(place[open_rows], across[:, None], 1)[:, 0]
            second = b > a
            # Corners of a half: the tip, then the near end and the middle of the side, in turn.
            place[open_rows] = np.where(
                second[:, None],
                np.stack([c, 2 * a, b - a], axis=1),
                np.stack([c, a - b, 2 * b], axis=1),
            )
            node[open_rows] = self.child[here] + second
            open_rows = open_rows[self.side[node[open_rows]] >= 0]
        return self.cell[node]

    @property
    def areas(self) -> Floats:
        """Of the cells (c,) [m2]."""
        a, b, c = (self.corners[:, k] for k in range(3))
        return np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2


def barycentric(points: Floats, corners: Floats) -> Floats:
    """Points (n, 3) in the planes of triangles (n, 3, 3), as shares of their corners (n, 3)."""
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    off = points - corners[:, 0]
    d11, d12, d22 = ((p * q).sum(axis=1) for p, q in ((one, one), (one, two), (two, two)))
    d1, d2 = (off * one).sum(axis=1), (off * two).sum(axis=1)
    size = np.maximum(d11 * d22 - d12**2, 1e-300)
    b, c = (d22 * d1 - d12 * d2) / size, (d11 * d2 - d12 * d1) / size
    return np.stack([1 - b - c, b, c], axis=1)


def neighbours(cells: Cells, group: Ints, normals: Floats, count: int) -> Ints:
    """For each cell the nearest ones that lie as it does (c, count), itself first: of the same group (c,),
    with normals (c, 3) alike, and in its plane, so that what lies a layer beneath is far off."""
    middles = cells.corners.mean(axis=1)
    off = (middles * normals).sum(axis=1, keepdims=True)
    apart = np.hstack([middles, TURNED * normals, ASIDE * off, FAR * group[:, None]])
    count = min(count, len(middles))
    return cKDTree(apart).query(apart, k=count)[1].reshape(-1, count)


def longest(corners: Floats) -> tuple[Floats, Ints]:
    """Length of the longest side (n,) [m] of triangles (n, 3, 3), and which corner lies opposite."""
    lengths = np.linalg.norm(np.roll(corners, -1, axis=1) - np.roll(corners, 1, axis=1), axis=2)
    # Sides that are equal but for rounding must be cut alike in a part and in its mirror image.
    side = np.argmax(np.round(lengths, 9), axis=1)
    return lengths.max(axis=1), side


def halved(corners: Floats, side: Ints) -> Floats:
    """Two triangles (2 n, 3, 3) for each (n, 3, 3), cut from the corner `side` (n,) across."""
    row = np.arange(len(corners))
    tip, a, b = (corners[row, (side + k) % 3] for k in range(3))
    middle = (a + b) / 2
    halves = [np.stack([tip, a, middle], axis=1), np.stack([tip, middle, b], axis=1)]
    return np.stack(halves, axis=1).reshape(-1, 3, 3)
