"""The edge that water gets in at: which of its sheet's edges it is, and the lap measured there."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from sim.laps import Lap
from sim.leaks_table import FACING, ONE_LEAK
from sim.tolerances import LEVEL

Floats = NDArray[np.float64]

STEEP = 0.7
"""Cosine: an edge from which its sheet falls within 45 degrees of its fall line is its upper edge."""
STRAIGHT_DOWN = np.array([0.0, 0.0, -1.0])


class Edge(StrEnum):
    """Which edge of a sheet water passed."""

    UPPER = "upper edge"
    LOWER = "lower edge"
    SIDE = "side edge"
    NONE = ""


def edge_passed(inward: Floats, normal: Floats) -> Edge:
    """Which edge of a sheet it is from which `inward` (3,), unit, leads into it; normal (3,): its own."""
    fall_line = _unit(STRAIGHT_DOWN - float(normal @ STRAIGHT_DOWN) * normal)
    if not inward.any() or not fall_line.any():
        return Edge.NONE
    lean = float(inward @ fall_line)
    return Edge.UPPER if lean > STEEP else Edge.LOWER if lean < -STEEP else Edge.SIDE


def way_under(inward: Floats, normal: Floats, water: Floats, moves: Floats) -> Floats:
    """Unit way (3,) in beneath a sheet from its edge, along the face that the water runs on; nil for none.

    inward and normal (3,): unit, of the sheet at its edge; water (3,): unit normal of that face; moves
    (3,): how the water moves there, any length. A sheet that ends in a flap across that face, as at a
    gutter's end, leads on under itself square to the flap's edge, to where the water goes.
    """
    if not inward.any() or abs(float(normal @ water)) > FACING:
        return inward
    square = _unit(np.cross(water, np.cross(inward, normal)))
    return square if float(square @ moves) >= 0 else -square


def across_the_fall(normal: Floats) -> Floats:
    """Level unit vector (3,) square to the fall line of a face with this normal (3,); nil where it lies
    level."""
    return _unit(np.cross(normal, STRAIGHT_DOWN))


def lap_at(laps: tuple[Lap, ...], upper: str, lower: str, point: Floats) -> Lap | None:
    """The lap of two parts whose open edge is nearest to a point (3,) [m], of any sheet under the upper
    one where both are the same; None farther than the breadth of a leak."""
    near = [(_off_a_line(lap.edge, point), lap.id, lap) for lap in laps
            if lap.upper == upper and (lower in (lap.lower, upper))]  # fmt: skip
    away, _, lap = min(near, key=lambda item: item[:2], default=(np.inf, 0, None))
    return lap if away <= ONE_LEAK else None


def _off_a_line(line: Floats, point: Floats) -> float:
    """Distance [m] of a point (3,) from a line through points (k, 3)."""
    start, along = line[:-1], np.diff(line, axis=0)
    size = np.maximum((along**2).sum(axis=1), 1e-30)
    share = np.clip(((point - start) * along).sum(axis=1) / size, 0.0, 1.0)
    return float(np.linalg.norm(start + share[:, None] * along - point, axis=1).min(initial=np.inf))


def _unit(vector: Floats) -> Floats:
    """A vector (3,) at length 1; nil where it has next to none."""
    size = float(np.linalg.norm(vector))
    return vector / size if size > LEVEL else np.zeros(3)
