"""Rain that the wind drives: how much of it meets upright and pitched planes."""

from __future__ import annotations

from math import cos, inf, pi, tan

import numpy as np
from numpy.typing import ArrayLike

from meshes.errors import SceneError, require
from sim.drop_sizes import MM_H, mean_fall_speed

HOUR = 3600.0  # [s]


def driving_rain(rain: float, wind: float) -> float:
    """Water that crosses an upright plane square to the wind, per area of the plane [m/s].

    rain: volume on a level area and in a second, above 0 [m/s]; wind: 0 or more [m/s]. Every drop
    goes as fast across as the wind: the wind times the water in the air. Range: checked for 1 to 100
    mm/h. Source: derived from the sizes of Best (1950) and the fall speeds of Gunn, Kinzer (1949).
    Raises SceneError outside the ranges.
    """
    _require_wind(wind)
    return wind * rain / mean_fall_speed(rain)


def lacy(rain: float, wind: float) -> float:
    """Water that crosses an upright plane square to the wind in the open, by observation [m/s].

    rain: on a level area, 0 or more [m/s]; wind: 0 or more [m/s]. Source: Lacy (1965),
    0.222 U R^0.88 mm/h, R in mm/h (coefficient second-hand, exponent memory). A check on
    `driving_rain`, which is the one in use. Raises SceneError outside the ranges.
    """
    _require_wind(wind)
    require(0 <= rain < inf, "rain", rain, "0 m/s or more and finite", SceneError)
    return 0.222 * wind * (rain / MM_H) ** 0.88 * MM_H


def airfield_index(wind: ArrayLike, rain: ArrayLike, direction: ArrayLike, facing: float) -> float:
    """Water that hours of wind and rain drive at a wall in the open, over all of them, per area [m].

    Each hour's mean wind (n,), 0 or more [m/s], rain (n,), 0 or more [m/s], and direction (n,) that
    the wind comes from [rad]; facing: the direction that the wall looks to, counted as the others
    are [rad]. Hours with the wind from behind the wall count nothing. Source: ISO 15927-3:2009
    (second-hand): (2/9) sum v r^(8/9) cos(D - theta) mm, r in mm of the hour. Raises SceneError
    outside the ranges and for lengths that differ.
    """
    speed, rate, source = (np.asarray(a, dtype=np.float64) for a in (wind, rain, direction))
    lengths = [a.shape for a in (speed, rate, source)]
    alike = speed.ndim == 1 and lengths == [speed.shape] * 3
    require(alike, "hours of wind, rain and direction", lengths, "as many of each", SceneError)
    for name, values in (("wind", speed), ("rain", rate)):
        wrong = values[~((values >= 0) & np.isfinite(values))]
        got = f"{wrong[0]:g}" if wrong.size else ""
        require(not wrong.size, f"hourly {name}", got, "0 m/s or more and finite", SceneError)
    known = bool(np.isfinite(source).all() and np.isfinite(facing))
    require(known, "directions of wind and wall", "NaN or infinity", "finite", SceneError)
    onto = np.maximum(0.0, np.cos(source - facing))
    of_hour = rate * HOUR * 1000
    return float((speed * of_hour ** (8 / 9) * onto).sum() * 2 / 9) / 1000


def catch_ratio(pitch: float, slant: float, turned: float = 0.0) -> float:
    """Rain that a pitched plane catches, over what falls on a level area as large as its plan [1].

    pitch: of the plane, 0 up to but not pi/2 [rad]; slant: of the rain from the upright, as pitch
    [rad]; turned: angle in plan between the way that the plane faces and where rain comes from
    [rad]. Nil where the rain can't come down on it. Source: derived, 1 + tan(pitch) tan(slant)
    cos(turned). Raises SceneError outside the ranges.
    """
    for name, angle in (("pitch", pitch), ("slant", slant)):
        require(0 <= angle < pi / 2, name, angle, "0 rad to under a right angle", SceneError)
    return max(0.0, 1 + tan(pitch) * tan(slant) * cos(turned))


def _require_wind(wind: float) -> None:
    require(0 <= wind < inf, "wind", wind, "0 m/s or more and finite", SceneError)
