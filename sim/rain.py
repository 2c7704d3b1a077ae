"""Drops: where rain lands, and how much water each drop stands for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.charts import Charts
from sim.drop_sizes import SMALLEST, draw_diameters, fall_speed
from sim.rain_target import Aim, aim_at

STEEPEST_RAIN: Final = np.pi / 2 - 0.01
MOST_WIND: Final = 120.0  # [m/s]: over the strongest gust on record, 113 m/s (memory)


@dataclass(frozen=True, slots=True, eq=False)
class Drops:
    """Drops that landed.

    points (n, 3) [m], in the assembly's coordinates; chart (n,) int32 and where (n, 3),
    barycentric: the same place; flow (n,) [m3/s], above nought; drop (n,) int64: which of the
    released drops each is; released: how many were released, those that missed included; seed, 0 or
    more: what the luck of each is drawn from, with its number.
    """

    points: NDArray[np.float64]
    chart: NDArray[np.int32]
    where: NDArray[np.float64]
    flow: NDArray[np.float64]
    drop: NDArray[np.int64]
    released: int
    seed: int = 0

    def __post_init__(self) -> None:
        n = len(self.chart)
        shapes = {"points": (n, 3), "where": (n, 3), "flow": (n,), "drop": (n,)}
        for name, shape in shapes.items():
            got = getattr(self, name).shape
            require(got == shape, f"{name} of drops", got, f"of shape {shape}", SceneError)
        require(n <= self.released, "released drops", self.released, f"at least {n}", SceneError)
        require(self.seed >= 0, "seed", self.seed, "0 or more", SceneError)

    def __len__(self) -> int:
        return len(self.chart)


def rain(
    charts: Charts,
    n: int,
    *,
    seed: int,
    rain_m_s: float,
    slant: float = 0.0,
    from_angle: float = 0.0,
    wind_m_s: float = 0.0,
) -> Drops:
    """Release n drops of rain evenly over the covering in plan, and let each fall to its first
    face.

    rain_m_s: volume on a level area and in a second, above 0 [m/s]; from_angle: where it comes from,
    0 the eaves side, pi/2 the right [rad]. slant: of all of it from the upright, 0 to 1.56 [rad]; or
    wind_m_s, 0 to 120 [m/s]: then each drop has a size of its own (`draw_diameters`), goes across as
    fast as the wind and down as fast as it falls in still air.

    Targets lie in the plan bounds of the covering parts, on the planes that fit their corners best, one
    for each slope, laid on top of them (with no covering: in the plan bounds of everything, level, at
    the top, or at the bottom for rain that is not upright). If rain that meets what stands above that
    roof would have come down beyond its bounds, every eighth drop, and in wind every drop too flat to
    come down on the roof, is aimed at what stands there instead, and counts only if it would have come
    down beyond: so the faces of a stack catch all that meets them. (One drop alone is aimed at the
    roof.)

    Flow of a drop: the water that crosses the roof, or meets the room round what stands above it,
    along the drop's own way, over the number of drops aimed there. Draws are
    `default_rng(seed).random((n, 2))` and, for sizes, `default_rng([seed, 1]).random(n)`, row i for
    drop i, so more drops leave earlier ones as they are, and their luck on the way (`sim.divide`).
    Raises SceneError outside the ranges, for a slant in wind, and when no rain comes down.
    """
    require(n >= 1, "drops", n, "at least 1", SceneError)
    require(0 < rain_m_s < 1, "rain", rain_m_s, "above 0 and under 1 m/s", SceneError)
    require(0 <= slant <= STEEPEST_RAIN, "slant", slant, "0 to 1.56 rad", SceneError)
    require(0 <= wind_m_s <= MOST_WIND, "wind", wind_m_s, f"0 to {MOST_WIND:g} m/s", SceneError)
    require(bool(np.isfinite(from_angle)), "from_angle", from_angle, "finite", SceneError)
    require(slant == 0 or wind_m_s == 0, "slant", slant, "0 in wind, which slants rain", SceneError)
    if wind_m_s > 0:
        sizes = draw_diameters(np.random.default_rng([seed, 1]).random(n), rain_m_s)
        way = _blown(wind_m_s, fall_speed(sizes), from_angle)
        flattest = _blown(wind_m_s, fall_speed(SMALLEST), from_angle)
    else:
        flattest = _way(np.sin(slant), np.cos(slant), from_angle)
        way = np.broadcast_to(flattest, (n, 3))
    draws = np.random.default_rng(seed).random((n, 2))
    aim = aim_at(charts.surface, draws, way, rain_m_s, flattest)
    if wind_m_s > 0:
        require(bool(aim.flow.any()), "wind", wind_m_s, "such that rain comes down", SceneError)
    else:
        rule = "steep enough to come down on the covering"
        require(bool(aim.flow[~aim.apart].any()), "slant", slant, rule, SceneError)
    return _fallen(charts, aim, way, seed)


def place(charts: Charts, points: ArrayLike, directions: ArrayLike, *, flow: float = 1e-6) -> Drops:
    """Put water where you like: rays from points (n, 3) [m] along directions (n, 3) or (3,), each
    drop with the same flow [m3/s], landing on the first face they meet; misses are left out."""
    start = np.atleast_2d(np.asarray(points, dtype=np.float64))
    way = np.broadcast_to(np.asarray(directions, dtype=np.float64), start.shape)
    drop, chart, where = _landings(charts, start, way)
    return Drops(
        charts.points(chart, where), chart, where, np.full(len(drop), flow), drop, len(start)
    )


def _way(across: ArrayLike, down: ArrayLike, from_angle: float) -> NDArray[np.float64]:
    """Way (..., 3) of water that goes so far across while it falls so far."""
    side, fall = np.broadcast_arrays(across, down)
    return np.stack([-np.sin(from_angle) * side, np.cos(from_angle) * side, -fall], axis=-1)


def _blown(wind: float, fall: NDArray[np.float64], from_angle: float) -> NDArray[np.float64]:
    """Unit way (..., 3) of drops that fall so fast (...) in a wind [m/s]."""
    speed = np.hypot(wind, fall)
    return _way(wind / speed, fall / speed, from_angle)


def _fallen(charts: Charts, aim: Aim, way: NDArray[np.float64], seed: int) -> Drops:
    surface = charts.surface
    span = surface.bounds
    back = 2.0 * float(np.linalg.norm(span[1] - span[0])) + 1.0
    row = np.flatnonzero(aim.flow > 0)
    start = aim.target[row] + surface.centre - back * way[row]
    hit, chart, where = _landings(charts, start, way[row])
    points, drop = charts.points(chart, where), row[hit]
    # Below the plane they came under the eaves, where a roof goes on that isn't there.
    good = ~aim.apart[drop] | (aim.roof.above(points - surface.centre) > 0)
    return Drops(
        points[good], chart[good], where[good], aim.flow[drop[good]], drop[good], len(way), seed
    )


def _landings(
    charts: Charts, start: NDArray[np.float64], way: NDArray[np.float64]
) -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.float64]]:
    """Which rays meet a face, on which chart and where on it (barycentric)."""
    _, face, where = charts.caster.landings(start, way)
    hit = np.flatnonzero(face >= 0)
    face, where = face[hit], np.clip(where[hit], 0.0, 1.0)
    where = where / where.sum(axis=1, keepdims=True)
    behind = np.einsum("nk,nk->n", charts.surface.normals[face], way[hit]) > 0
    return hit, (2 * face + behind).astype(np.int32), where
