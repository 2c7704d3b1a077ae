"""Raindrops: how large they are, and how fast they fall.

Sizes run from 0.1 to 5.8 mm, as far as the fall speeds were measured. Water in smaller drops counts
as falling in drops of 0.1 mm, water in larger ones, which soon break up, in drops of 5.8 mm.
"""

from __future__ import annotations

from math import log
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require

MM_H: Final = 1e-3 / 3600  # [m/s] in one mm/h
# [mm] -> [m/s], stagnant air at 20 C and 1013 hPa: Gunn, Kinzer, J. Meteorology 6 (1949) 243,
# table 2 (seen).
MEASURED: Final = (
    (0.1, 0.27), (0.2, 0.72), (0.3, 1.17), (0.4, 1.62), (0.5, 2.06), (0.6, 2.47), (0.7, 2.87),
    (0.8, 3.27), (0.9, 3.67), (1.0, 4.03), (1.2, 4.64), (1.4, 5.17), (1.6, 5.65), (1.8, 6.09),
    (2.0, 6.49), (2.2, 6.90), (2.4, 7.27), (2.6, 7.57), (2.8, 7.82), (3.0, 8.06), (3.2, 8.26),
    (3.4, 8.44), (3.6, 8.60), (3.8, 8.72), (4.0, 8.83), (4.2, 8.92), (4.4, 8.98), (4.6, 9.03),
    (4.8, 9.07), (5.0, 9.09), (5.2, 9.12), (5.4, 9.14), (5.6, 9.16), (5.8, 9.17),
)  # fmt: skip
SIZES: Final = np.array([size for size, _ in MEASURED]) / 1000
SPEEDS: Final = np.array([speed for _, speed in MEASURED])
SMALLEST: Final = 1e-4  # [m]
LARGEST: Final = 5.8e-3  # [m]
CELLS: Final = 570  # one hundredth of a millimetre each
SPREAD: Final = 2.25  # n of Best's distribution [1]


def fall_speed(diameter: ArrayLike) -> NDArray[np.float64]:
    """Speed at which drops fall in still air, shape of the input [m/s].

    diameter: above 0 [m]; beyond 0.1 to 5.8 mm the speed of the nearest end. Straight between the
    measured sizes, so larger drops are never slower. Source: Gunn, Kinzer (1949), table 2 (seen).
    Raises SceneError for sizes that are not above 0.
    """
    return np.interp(_above_nil(diameter, "drop size", "m"), SIZES, SPEEDS)


def fall_speed_fit(diameter: ArrayLike) -> NDArray[np.float64]:
    """Speed at which drops fall in still air by a fitted curve, shape of the input [m/s].

    diameter [m]. Range: 0.5 to 5.8 mm, where it is within 2 % of the measurements; nil and then
    negative below 0.11 mm. Source: Atlas, Srivastava, Sekhon, Rev. Geophys. 11 (1973) (seen):
    9.65 - 10.3 exp(-0.6 D), D in mm. A check on `fall_speed`, which is the one in use.
    """
    return 9.65 - 10.3 * np.exp(-600 * np.asarray(diameter, dtype=np.float64))


def best_scale(rain: float) -> float:
    """Scale a of Best's distribution: 63 % of the water in the air is in drops below it [m].

    rain: volume on a level area and in a second, above 0 [m/s]. Source: Best, Q. J. R. Met. Soc. 76
    (1950) 16 (second-hand): 1.30 R^0.232 mm, R in mm/h. Raises SceneError outside the range.
    """
    rate = float(_above_nil(rain, "rain", "m/s"))
    return 1.30e-3 * (rate / MM_H) ** 0.232


def best_share_below(diameter: ArrayLike, rain: float) -> NDArray[np.float64]:
    """Share of the water in the air that is in drops below a size, shape of the input, 0 to 1.

    diameter: above 0 [m]; rain: above 0 [m/s]. Source: Best (1950) (second-hand):
    1 - exp(-(d / a)^2.25). Raises SceneError outside the ranges.
    """
    size = _above_nil(diameter, "drop size", "m")
    return -np.expm1(-((size / best_scale(rain)) ** SPREAD))


def best_median(rain: float) -> float:
    """Size below which half of the water in the air is [m]; rain: above 0 [m/s].

    Source: derived from Best (1950): a (ln 2)^(1 / 2.25). Raises SceneError outside the range.
    """
    return best_scale(rain) * log(2) ** (1 / SPREAD)


def mean_fall_speed(rain: float) -> float:
    """Fall speed averaged over the water in the air [m/s]; rain: above 0 [m/s].

    Rain over this speed is the water in a volume of air, so wind times that is what it drives
    through an upright plane. Raises SceneError outside the range.
    """
    return float(_flux(rain)[1][-1])


def draw_diameters(uniform: ArrayLike, rain: float) -> NDArray[np.float64]:
    """Sizes of drops, each standing for the same volume that falls on a level area [m].

    uniform (n,): even draws in [0, 1), row i for drop i; rain: above 0 [m/s]. Best's shares are of
    the water in the air; what falls on an area is those weighted by fall speed. The larger the draw,
    the larger the drop. Raises SceneError outside the ranges.
    """
    draws = np.asarray(uniform, dtype=np.float64)
    within = bool(((draws >= 0) & (draws < 1)).all())
    require(within, "draws of drop sizes", "others", "0 or more and under 1", SceneError)
    edges, flux = _flux(rain)
    whole = flux[-1]
    # The last entry holds the drops beyond the largest size: they stand at that size.
    return np.interp(draws * whole, flux[:-1], edges)


def _flux(rain: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Sizes (k,) [m], and up to each of them, and at the end to any size, (k + 1,): the share of the
    water in the air times its fall speed, summed [m/s]."""
    edges = np.linspace(SMALLEST, LARGEST, CELLS + 1)
    below = best_share_below(edges, rain)
    middle = (edges[1:] + edges[:-1]) / 2
    speed = np.concatenate([SPEEDS[:1], fall_speed(middle), SPEEDS[-1:]])
    share = np.diff(below, prepend=0.0, append=1.0)
    return edges, np.cumsum(share * speed)


def _above_nil(values: ArrayLike, name: str, unit: str) -> NDArray[np.float64]:
    array = np.asarray(values, dtype=np.float64)
    wrong = array[~((array > 0) & np.isfinite(array))]
    got = f"{wrong.flat[0]:g}" if wrong.size else ""
    require(not wrong.size, name, got, f"above 0 {unit} and finite", SceneError)
    return array
