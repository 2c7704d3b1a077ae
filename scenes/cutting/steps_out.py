"""The steps of a side, set out along its lower edge, as they are on the folded pieces."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos

import numpy as np
from numpy.typing import NDArray

from meshes.piece import Piece
from meshes.sheet import Facets, normal_of
from meshes.spec import Detail

LEVEL = 1e-7  # [m] an edge whose ends differ less in height is level
SHORTEST = 0.010  # [m] a shorter level edge is no tread
SIDEWAYS = 0.98  # [1] of its normal, of an upstand beside the stack


@dataclass(frozen=True, slots=True)
class StepOut:
    """One step. side: left or right; number: from the front up; along: from the stack's front corner to
    where its tread begins, along the lower edge, which runs up the slope; tread: level, as seen; rise:
    above the step below, for the first one above the covering at the stack's front; turn_in [m]."""

    side: str
    number: int
    along: float
    tread: float
    rise: float
    turn_in: float


def steps_out(detail: Detail, pieces: Iterable[Piece]) -> tuple[StepOut, ...]:
    """Every step of both sides; none where the sides have no steps.

    Measured on the folded pieces: a tread is the level top of an upstand that faces sideways. Where
    pieces lap, it is seen from where the one below ends.
    """
    if detail.sides.way == "cover":
        return ()
    treads: dict[str, list[tuple[float, float, float, float]]] = {"left": [], "right": []}
    for made in pieces:
        for side, found in treads.items():
            if side in made.name.split() and "soaker" not in made.name.split():
                found += _treads(made.facets)
    slope = cos(detail.roof.pitch)
    steps = []
    for side, rows in treads.items():
        start = height = 0.0
        for number, (top, _, end, deep) in enumerate(sorted(rows), start=1):
            rise, height = top - height, top
            steps.append(StepOut(side, number, start / slope, end - start, rise, deep))
            start = end
    return tuple(steps)


def _treads(sheet: Facets) -> list[tuple[float, float, float, float]]:
    """Level tops of upstands that face sideways: height, y of both ends, how deep they are turned in."""
    owners: dict[frozenset[int], list[int]] = {}
    for facet, row in enumerate(sheet.polygons):
        for edge in zip(row, row[1:] + row[:1], strict=True):
            owners.setdefault(frozenset(edge), []).append(facet)
    found = []
    for row in sheet.polygons:
        corners = sheet.points[list(row)]
        if abs(normal_of(corners)[0]) < SIDEWAYS:
            continue
        for edge in zip(row, row[1:] + row[:1], strict=True):
            a, b = sheet.points[list(edge)]
            level = abs(a[2] - b[2]) < LEVEL and abs(a[1] - b[1]) > SHORTEST
            if level and _is_top(corners, a, b):
                low, high = sorted((float(a[1]), float(b[1])))
                deep = max(
                    (_depth(sheet, facet, a, b) for facet in owners[frozenset(edge)]), default=0.0
                )
                found.append((float(a[2]), low, high, deep))
    return _in_one(found)


def _is_top(corners: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64]) -> bool:
    """Whether the facet lies below a level edge of it: its ring, seen from the wet side, says so."""
    way = float(np.cross(normal_of(corners), b - a)[2])
    return way < 0


def _depth(sheet: Facets, facet: int, a: NDArray[np.float64], b: NDArray[np.float64]) -> float:
    """How far a facet reaches from its edge a-b, square to it [m]; 0 for an upstand."""
    corners = sheet.points[list(sheet.polygons[facet])]
    if abs(normal_of(corners)[0]) > SIDEWAYS:
        return 0.0
    along = (b - a) / np.linalg.norm(b - a)
    off = corners - a
    return float(np.linalg.norm(off - np.outer(off @ along, along), axis=1).max())


def _in_one(
    treads: list[tuple[float, float, float, float]],
) -> list[tuple[float, float, float, float]]:
    """Level edges of one height that follow on each other, as one."""
    found: list[tuple[float, float, float, float]] = []
    for top, low, high, deep in sorted(treads):
        if found and abs(found[-1][0] - top) < LEVEL:
            last = found[-1]
            found[-1] = (top, min(last[1], low), max(last[2], high), max(last[3], deep))
        else:
            found.append((top, low, high, deep))
    return found
