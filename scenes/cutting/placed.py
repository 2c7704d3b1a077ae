"""A flat sheet laid square into the smallest rectangle that holds it, the way up the slope upwards."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from meshes.blank import Bend
from meshes.sheet import Facets, normal_of
from scenes.cutting.lay_flat import Flat

LARGER = 1.02  # [1] a rectangle along the longest bend may be so much larger than the smallest
QUARTER = np.array([[0.0, -1.0], [1.0, 0.0]])


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A flat sheet from (0, 0) to `size` [m], wet side up. up: unit (2,), which way of the sheet goes up
    the slope once it is on the roof; None where its panels disagree."""

    flat: Flat
    size: tuple[float, float]
    up: NDArray[np.float64] | None


def placed(flat: Flat, sheet: Facets, slope: NDArray[np.float64]) -> Placed:
    """A flat sheet turned and shifted so that its smallest rectangle is level and begins at (0, 0).

    Along its longest bend instead, where that rectangle is hardly larger. slope: (3,) up the slope.
    """
    corners = np.vstack(flat.outlines)
    ways = [a - b for ring in flat.outlines[:1] for a, b in pairwise(np.vstack([ring, ring[:1]]))]
    bends = [bend.line[1] - bend.line[0] for bend in flat.bends]
    turns = [_turn_of(way) for way in bends + ways if np.hypot(*way) > 1e-6]
    areas = [float(np.prod(np.ptp(corners @ turn.T, axis=0))) for turn in turns]
    best = turns[int(np.argmin(areas))]
    if bends:
        along = turns[int(np.argmax([round(float(np.hypot(*bend)), 9) for bend in bends]))]
        if float(np.prod(np.ptp(corners @ along.T, axis=0))) < LARGER * min(areas):
            best = along
    up = _up(flat, sheet, slope)
    turn = max(
        (np.linalg.matrix_power(QUARTER, k) @ best for k in range(4)),
        key=lambda one: round(float((one @ up)[1]), 6),
    )
    shift = (corners @ turn.T).min(axis=0)
    width, height = np.ptp(corners @ turn.T, axis=0)
    size = float(np.hypot(*up))
    return Placed(
        _moved(flat, turn, shift),
        (float(width), float(height)),
        turn @ up / size if size > 0.2 * flat.area else None,
    )


def _turn_of(way: NDArray[np.float64]) -> NDArray[np.float64]:
    """The turn (2, 2) that lays a direction along the first axis."""
    x, y = way / np.hypot(*way)
    return np.array([[x, y], [-y, x]])


def _up(flat: Flat, sheet: Facets, slope: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the panels have the way up the slope, added by their areas: (2,) [m2]."""
    total = np.zeros(2)
    for facet, panel in zip(flat.facets, flat.panels, strict=True):
        solid = sheet.points[list(sheet.polygons[facet])]
        edge = int(np.argmax(np.linalg.norm(np.roll(panel, -1, axis=0) - panel, axis=1)))
        after = (edge + 1) % len(panel)
        along, flat_along = solid[after] - solid[edge], panel[after] - panel[edge]
        along, flat_along = along / np.linalg.norm(along), flat_along / np.linalg.norm(flat_along)
        across = np.cross(normal_of(solid), along)
        x, y = panel.T
        area = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)
        total += area * ((slope @ along) * flat_along + (slope @ across) * (QUARTER @ flat_along))
    return total


def _moved(flat: Flat, turn: NDArray[np.float64], shift: NDArray[np.float64]) -> Flat:
    def moved(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return points @ turn.T - shift

    return replace(
        flat,
        panels=tuple(moved(panel) for panel in flat.panels),
        bends=tuple(Bend(bend.panels, moved(bend.line), bend.angle) for bend in flat.bends),
        outlines=tuple(moved(ring) for ring in flat.outlines),
    )
