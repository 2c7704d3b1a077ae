"""Drops: where rain lands, and how much water each drop stands for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from meshes.parts import Role
from sim.charts import Charts
from sim.surface import Surface

STEEPEST_RAIN = np.pi / 2 - 0.01


@dataclass(frozen=True, slots=True, eq=False)
class Drops:
    """Drops that landed.

    points (n, 3) [m], in the assembly's coordinates; chart (n,) int32 and where (n, 3),
    barycentric: the same place; flow (n,) [m3/s], above nought; drop (n,) int64: which of the
    released drops each is; released: how many were released, those that missed included.
    """

    points: NDArray[np.float64]
    chart: NDArray[np.int32]
    where: NDArray[np.float64]
    flow: NDArray[np.float64]
    drop: NDArray[np.int64]
    released: int

    def __post_init__(self) -> None:
        n = len(self.chart)
        shapes = {"points": (n, 3), "where": (n, 3), "flow": (n,), "drop": (n,)}
        for name, shape in shapes.items():
            got = getattr(self, name).shape
            require(got == shape, f"{name} of drops", got, f"of shape {shape}", SceneError)
        require(n <= self.released, "released drops", self.released, f"at least {n}", SceneError)

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
) -> Drops:
    """Release n drops of rain evenly over the covering in plan, and let each fall to its first
    face.

    rain_m_s: volume on a level area and in a second, above 0 [m/s]; slant: of the rain from the
    upright, 0 to 1.56 [rad]; from_angle: where it comes from, 0 the eaves side, pi/2 the right
    [rad]. Targets lie in the plan bounds of the covering parts, on the plane that fits their
    corners best, laid on top of them (with no covering: in the plan bounds of everything, level, at
    the top). Draws are
    `default_rng(seed).random((n, 2))`, row i for drop i, so more drops leave earlier ones as they
    are. Flow of all released: the water that crosses that plane. Raises SceneError outside the
    ranges.
    """
    require(n >= 1, "drops", n, "at least 1", SceneError)
    require(0 < rain_m_s < 1, "rain", rain_m_s, "above 0 and under 1 m/s", SceneError)
    require(0 <= slant <= STEEPEST_RAIN, "slant", slant, "0 to 1.56 rad", SceneError)
    low, high, tilt, level = _target(charts.surface)
    way = np.array([
        -np.sin(from_angle) * np.sin(slant), np.cos(from_angle) * np.sin(slant), -np.cos(slant),
    ])  # fmt: skip
    plan = low + np.random.default_rng(seed).random((n, 2)) * (high - low)
    height = level + (plan - (low + high) / 2) @ tilt
    target = np.column_stack([plan, height]) + charts.surface.centre
    across = way @ np.array([-tilt[0], -tilt[1], 1.0])
    total = rain_m_s * float(np.prod(high - low)) * max(0.0, across / way[2])
    rule = "steep enough to come down on the covering"
    require(total > 0, "slant", slant, rule, SceneError)
    span = charts.surface.bounds
    back = 2.0 * float(np.linalg.norm(span[1] - span[0])) + 1.0
    flow = np.full(n, total / n)
    return _land(charts, target - back * way, np.broadcast_to(way, (n, 3)), flow)


def place(charts: Charts, points: ArrayLike, directions: ArrayLike, *, flow: float = 1e-6) -> Drops:
    """Put water where you like: rays from points (n, 3) [m] along directions (n, 3) or (3,), each
    drop with the same flow [m3/s], landing on the first face they meet; misses are left out."""
    start = np.atleast_2d(np.asarray(points, dtype=np.float64))
    way = np.broadcast_to(np.asarray(directions, dtype=np.float64), start.shape)
    return _land(charts, start, way, np.full(len(start), flow))


def _land(
    charts: Charts,
    start: NDArray[np.float64],
    way: NDArray[np.float64],
    flow: NDArray[np.float64],
) -> Drops:
    _, face, where = charts.caster.landings(start, way)
    drop = np.flatnonzero(face >= 0)
    face, where = face[drop], np.clip(where[drop], 0.0, 1.0)
    where = where / where.sum(axis=1, keepdims=True)
    behind = np.einsum("nk,nk->n", charts.surface.normals[face], way[drop]) > 0
    chart = (2 * face + behind).astype(np.int32)
    return Drops(charts.points(chart, where), chart, where, flow[drop], drop, len(start))


def _target(
    surface: Surface,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64], float]:
    """Plan bounds (2,) and (2,), and the plane over them: rise per metre (2,) and height at the
    middle.
    """
    covering = surface.parts_with(Role.COVERING)
    if not covering:
        low, high = surface.bounds
        return low[:2], high[:2], np.zeros(2), float(high[2])
    own = np.isin(surface.face_part, covering) & surface.solid
    points = surface.vertices[np.unique(surface.faces[own])]
    low, high = points[:, :2].min(axis=0), points[:, :2].max(axis=0)
    middle = (low + high) / 2
    fit = np.column_stack([points[:, :2] - middle, np.ones(len(points))])
    rise_x, rise_y, level = np.linalg.lstsq(fit, points[:, 2], rcond=None)[0]
    tilt = np.array([rise_x, rise_y])
    # Lifted on top of every corner: rain that slants in lower than that would come under the eaves.
    lift = float((points[:, 2] - (points[:, :2] - middle) @ tilt - level).max())
    return low, high, tilt, float(level) + lift
