"""The gust at which a lap passes water, worked out from its measures alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.laps import Lap
from sim.tolerances import LEVEL
from sim.water import AIR_DENSITY, GRAVITY, WATER_DENSITY


def lap_pressure(lap: Lap) -> float:
    """Pressure over a lap from which it passes water [Pa], at least 0.

    Water enters at the lap's open edge and is driven inward by the even fall of pressure over its
    width w, while it runs down along the edge. It has passed when it crosses the width before it
    comes to the edge's lower end: p = rho g (rise + w^2 / sum(l / sin t)) over the pieces of edge, l
    long at slope t. Up the slope (a level edge) only the rise is left, rho g l sin(t); across it
    (no rise) rho g sin(t) w^2 / L. Derived: Hele-Shaw flow under a linear pressure.
    """
    width = float(np.linalg.norm(lap.way[1] - lap.way[0]))
    reach = _still_air_run(lap.edge)
    across = 0.0 if np.isinf(reach) else width**2 / reach
    return max(0.0, WATER_DENSITY * GRAVITY * (lap.rise + across))


def lap_gust(lap: Lap, coefficient: float = 1.0) -> float:
    """Gust at which a lap passes water [m/s]; coefficient: pressure on its open edge over
    rho_a U^2 / 2 [1], above 0, else no gust does (inf)."""
    if coefficient <= 0:
        return float("inf")
    return float(np.sqrt(2 * lap_pressure(lap) / (AIR_DENSITY * coefficient)))


def _still_air_run(edge: NDArray[np.float64]) -> float:
    """Length of the pieces of an edge (k, 3) [m], each over the sine of its slope; inf when one of
    them is level, for there the wind has all the time it needs."""
    step = np.diff(edge, axis=0)
    length = np.linalg.norm(step, axis=1)
    fall = np.abs(step[:, 2])
    if (fall <= LEVEL * length).all():
        return float("inf")
    # A level stretch between falling ones is the width of a bend: water does not stop there.
    falls = fall > LEVEL * length
    return float((length[falls] ** 2 / fall[falls]).sum())
