"""The gust at which a lap passes water, worked out from its measures alone."""

from __future__ import annotations

from math import isfinite

import numpy as np
from numpy.typing import NDArray

from sim.laps import Lap
from sim.tolerances import LEVEL
from sim.water import GRAVITY, WATER_DENSITY
from sim.wind import gust_of_pressure

Floats = NDArray[np.float64]


def lap_pressure(lap: Lap) -> float:
    """Stagnation pressure of a wind square onto a lap's open edge from which it passes water [Pa], at
    least 0; see `passing_pressure`."""
    step = np.diff(lap.edge, axis=0)
    length = np.linalg.norm(step, axis=1)
    return passing_pressure(lap, length, np.abs(step[:, 2]), np.ones(len(step)))


def lap_gust(lap: Lap) -> float:
    """Gust square onto its open edge at which a lap passes water [m/s]."""
    return gust_at(lap_pressure(lap))


def gust_at(pressure: float) -> float:
    """Gust [m/s] with a stagnation pressure of `pressure` [Pa], inf for inf."""
    return gust_of_pressure(pressure) if isfinite(pressure) else pressure


def passing_pressure(
    lap: Lap, length: Floats, fall: Floats, coefficient: Floats, inside: float | None = None
) -> float:
    """Stagnation pressure q from which a lap passes water [Pa], inf when none does.

    Pieces (k,) of its open edge, from the top down: length [m], fall [m], and pressure over q [1].
    Water enters at the top of some piece and is driven inward by the even fall of pressure over the
    lap's width w, against the lap's rise r, while it runs down along the edge, each piece for a time
    that goes with s = length^2 / fall (length over the sine of its slope). It has passed when it
    has crossed the width: sum(s (c q / rho g - r)) = w^2. So up the slope, with a level edge, q is rho g
    r / c; across it, with no rise, rho g sin(t) w^2 / (c L). Water that comes in from under another
    sheet, above the first piece and `inside` [m] past the open edge, has w - inside to cross:
    w (w - inside) for w^2. Derived: Hele-Shaw flow under a linear pressure.
    """
    weight = WATER_DENSITY * GRAVITY
    pressed = coefficient > 0
    if not pressed.any():
        return float("inf")
    falls = fall > LEVEL * length
    width = lap_width(lap)
    if not falls.any():
        return max(0.0, weight * lap.rise / float(coefficient.max()))
    # A level stretch between falling ones is the width of a bend: water does not stop there.
    run = length[falls] ** 2 / fall[falls]
    below = np.cumsum(run[::-1])[::-1]
    driven = np.cumsum((run * coefficient[falls])[::-1])[::-1]
    with np.errstate(divide="ignore"):
        starts = weight * (width * max(0.0, width - (inside or 0.0)) + lap.rise * below) / driven
    return max(0.0, float(starts.min() if inside is None else starts[0]))


def lap_width(lap: Lap) -> float:
    """Straight way across a lap at its weakest, from its open edge to its inner end [m]."""
    return float(np.linalg.norm(lap.way[1] - lap.way[0]))
