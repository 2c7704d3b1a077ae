"""Closed solids made of sections (y, z) carried across the slope between planes of x."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Point

Section = NDArray[np.float64]

LEAST_CELL = 1e-6  # [m] a narrower sliver of section is dropped


class Triangles:
    """Collects outward-wound convex polygons; equal corners become one vertex."""

    def __init__(self) -> None:
        self._number: dict[Point, int] = {}
        self._faces: list[tuple[int, int, int]] = []

    def polygon(self, corners: Sequence[Point]) -> None:
        """Add a convex polygon, anticlockwise seen from outside [m]."""
        row = [self._number.setdefault(corner, len(self._number)) for corner in corners]
        self._faces += [(row[0], row[i], row[i + 1]) for i in range(1, len(row) - 1)]

    def arrays(self) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
        """Vertices (n, 3) [m] and faces (m, 3)."""
        return np.array(list(self._number)), np.array(self._faces, np.int32)


def add_row_of_cells(
    into: Triangles, sections: Sequence[Section], xs: Sequence[float], filled: NDArray[np.bool_]
) -> None:
    """Add the hull of a row of cells: convex sections beside each other up the slope, spans of x.

    sections: each (k, 2) of (y, z), anticlockwise in (y, z), the later ones up the slope, equal where
    they meet; xs: rising; filled: (len(sections), len(xs) - 1), which cells are solid.
    """
    for i, section in enumerate(sections):
        rows = [(float(y), float(z)) for y, z in section]
        for j in range(len(xs) - 1):
            if not filled[i, j]:
                continue
            left, right = float(xs[j]), float(xs[j + 1])
            for (y0, z0), (y1, z1) in zip(rows, rows[1:] + rows[:1], strict=True):
                shared = _meets(sections, filled, i, j, (y0, z0), (y1, z1))
                if not shared:
                    into.polygon([(left, y0, z0), (left, y1, z1), (right, y1, z1), (right, y0, z0)])
            if j == 0 or not filled[i, j - 1]:
                into.polygon([(left, y, z) for y, z in reversed(rows)])
            if j == len(xs) - 2 or not filled[i, j + 1]:
                into.polygon([(right, y, z) for y, z in rows])


def _meets(
    sections: Sequence[Section],
    filled: NDArray[np.bool_],
    i: int,
    j: int,
    start: tuple[float, float],
    end: tuple[float, float],
) -> bool:
    for other in (i - 1, i + 1):
        if 0 <= other < len(sections) and filled[other, j]:
            rows = {(float(y), float(z)) for y, z in sections[other]}
            if start in rows and end in rows:
                return True
    return False


def split_at(section: Section, y: float) -> tuple[Section | None, Section | None]:
    """The two parts of a convex section below and above an upright line at y (None: nothing there)."""
    below, above = _half(section, y, -1.0), _half(section, y, 1.0)
    return below, above


def _half(section: Section, y: float, sign: float) -> Section | None:
    kept: list[tuple[float, float]] = []
    for (y0, z0), (y1, z1) in zip(section, np.roll(section, -1, axis=0), strict=True):
        if sign * (y0 - y) >= 0:
            kept.append((float(y0), float(z0)))
        if (y0 - y) * (y1 - y) < 0:
            # From the lower end always, so that both halves get the same point to the last bit.
            (a, az), (b, bz) = sorted([(y0, z0), (y1, z1)])
            kept.append((y, float(az + (bz - az) * ((y - a) / (b - a)))))
    part = np.array(kept)
    if len(part) < 3 or np.ptp(part[:, 0]) < LEAST_CELL:
        return None
    return part
