"""What a lap does to water: the gust at which it passes some, and how far it draws it in by itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.capillary import capillary_rise
from sim.cast import Caster
from sim.lap_gust import lap_gust, lap_pressure
from sim.laps import Lap
from sim.laps_table import RESTING
from sim.openness import layers
from sim.surface import Surface

PLACES = 8
"""Places along a lap's way at which its gap is measured."""
BREAKS = 0.005
"""A wider gap breaks capillarity [m] (common practice, no source)."""
SHEETS = 12
"""Sheets that a ray through a lap may meet."""


@dataclass(frozen=True, slots=True)
class LapWater:
    """pressure [Pa] and gust [m/s]: of a wind square onto its open edge at which the lap passes
    water; gap [m]: how far its sheets lie apart, inf where that can't be told; reach [m]: how high
    water rises in that gap by itself, 0 where that is too wide; wet: whether that is at least the
    lap's rise, so that it stays wet all through."""

    pressure: float
    gust: float
    gap: float
    reach: float
    wet: bool


def lap_water(surface: Surface, caster: Caster, lap: Lap) -> LapWater:
    """What a lap, measured on this surface, does to water."""
    gap = _gap(surface, caster, lap)
    reach = float(capillary_rise(gap)) if gap <= BREAKS else 0.0
    return LapWater(lap_pressure(lap), lap_gust(lap), gap, reach, 0 < reach >= lap.rise)


def _gap(surface: Surface, caster: Caster, lap: Lap) -> float:
    """Median distance [m] between the two sheets of a lap along its way; inf: they don't face."""
    lower, upper = (surface.part_names.index(name) for name in (lap.lower, lap.upper))
    way = lap.way[1] - lap.way[0]
    square = np.cross(way, lap.edge[-1] - lap.edge[0])
    size = float(np.linalg.norm(square))
    if size == 0:
        return float("inf")
    share = (np.arange(PLACES) + 0.5) / PLACES
    points = lap.way[0] + share[:, None] * way - surface.centre
    along = np.broadcast_to(square / size, points.shape)
    away, face = layers(caster, points - RESTING * along, along, 2 * RESTING, SHEETS)
    part = np.where(face >= 0, surface.face_part[face], -1)
    apart = _nearest(away, part == lower, part == upper)
    known = np.isfinite(apart)
    return float(np.median(apart[known])) if known.any() else float("inf")


def _nearest(
    away: NDArray[np.float64], of_lower: NDArray[np.bool_], of_upper: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Least distance (n,) between a hit (layers, n) of one kind and one of the other; inf: none."""
    low, up = np.where(of_lower, away, np.nan), np.where(of_upper, away, np.nan)
    apart = np.abs(low[:, None] - up[None])
    apart = np.where(np.isnan(apart), np.inf, apart)
    return np.asarray(apart.min(axis=(0, 1)))
