"""Wind: its pressure as a head of water and as a step of a test ladder, and its ways round a stack.

Gusts are speeds at the roof [m/s]. Angles say where the wind comes from, in plan [rad]: 0 the eaves
side, pi/2 the right, looking up the slope.
"""

from __future__ import annotations

from math import cos, isfinite, pi, sin, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.water import AIR_DENSITY, CODE_PRESSURE, GRAVITY, WATER_DENSITY

CODE_AIR: Final = 2 * CODE_PRESSURE
"""Air [kg/m3] that the wind code's factor implies; elsewhere air is at 20 C, AIR_DENSITY."""
LADDER: Final = (0.0, 50.0, 100.0, 150.0, 200.0, 250.0, 300.0, 450.0, 600.0)
LADDER_ABOVE: Final = 150.0
ROUNDING: Final = 1e-9
DIRECTIONS: Final = 16

_MAIN = ("eaves", "right", "ridge", "left")


def stagnation_pressure(gust: float, *, air_density: float = AIR_DENSITY) -> float:
    """Pressure of wind brought to rest, rho U^2 / 2 [Pa], from a gust >= 0 [m/s] and the air's
    density > 0 [kg/m3]. Raises SceneError outside. Bernoulli, exact."""
    _not_negative("gust", gust, "m/s")
    _density(air_density)
    return air_density * gust**2 / 2


def code_pressure(gust: float) -> float:
    """Pressure of a gust >= 0 [m/s] as wind codes reckon it, 0.613 U^2 [Pa]: air of 1.226 kg/m3.

    BS 6399-2, dynamic pressure (seen). Raises SceneError outside the range.
    """
    return stagnation_pressure(gust, air_density=CODE_AIR)


def gust_of_pressure(pressure: float, *, air_density: float = AIR_DENSITY) -> float:
    """Gust [m/s] that a pressure >= 0 [Pa] belongs to: `stagnation_pressure` turned round."""
    _not_negative("pressure", pressure, "Pa")
    _density(air_density)
    return sqrt(2 * pressure / air_density)


def head_of_water(pressure: float) -> float:
    """Upright height of still water that a pressure >= 0 [Pa] holds up, p / (rho g) [m].
    Raises SceneError outside the range. Exact."""
    _not_negative("pressure", pressure, "Pa")
    return pressure / (WATER_DENSITY * GRAVITY)


def ladder_step(pressure: float) -> float:
    """The greatest step [Pa] of the test ladder of EN 12208 that a pressure >= 0 [Pa] reaches.

    Steps: 0, 50, 100, 150, 200, 250, 300, 450, 600, then every 150 (seen). A pressure within a
    billionth of a step reaches it. Raises SceneError outside the range.
    """
    _not_negative("pressure", pressure, "Pa")
    reached = pressure * (1 + ROUNDING)
    if reached >= LADDER[-1] + LADDER_ABOVE:
        return LADDER[-1] + LADDER_ABOVE * ((reached - LADDER[-1]) // LADDER_ABOVE)
    return max(step for step in LADDER if step <= reached)


def blow(from_angle: float) -> NDArray[np.float64]:
    """Unit vector (3,), level, of the way the air moves when it comes from an angle [rad]."""
    require(isfinite(from_angle), "from_angle", from_angle, "a finite number of rad", SceneError)
    return np.array([-sin(from_angle), cos(from_angle), 0.0])


def sixteen() -> NDArray[np.float64]:
    """The sixteen directions (16,) from which wind is tried [rad], evenly from 0, the eaves side,
    by way of the right."""
    return np.arange(DIRECTIONS, dtype=np.float64) * (2 * pi / DIRECTIONS)


def direction_name(from_angle: float) -> str:
    """Plain words for where wind comes from: the nearest of the sixteen directions [rad].

    "eaves", then "eaves, towards right", "eaves and right", "right, towards eaves", "right" and so
    on; a direction between two sides names eaves or ridge first.
    """
    require(isfinite(from_angle), "from_angle", from_angle, "a finite number of rad", SceneError)
    quarter, step = divmod(round(from_angle / (2 * pi / DIRECTIONS)) % DIRECTIONS, 4)
    here, onward = _MAIN[quarter], _MAIN[(quarter + 1) % 4]
    across = (here, onward) if here in ("eaves", "ridge") else (onward, here)
    return (
        here,
        f"{here}, towards {onward}",
        " and ".join(across),
        f"{onward}, towards {here}",
    )[step]


def _not_negative(name: str, got: float, unit: str) -> None:
    rule = f"a finite number of {unit}, 0 or more"
    require(isfinite(got) and got >= 0, name, got, rule, SceneError)


def _density(got: float) -> None:
    rule = "a finite number of kg/m3 above 0"
    require(isfinite(got) and got > 0, "air_density", got, rule, SceneError)
