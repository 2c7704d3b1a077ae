"""What a lap does to water: the gust at which it passes some, and how far it draws it in by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.capillary import capillary_rise
from sim.cast import Caster
from sim.lap_gust import lap_gust, lap_pressure
from sim.laps import Lap, measure_laps
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


@dataclass(frozen=True, slots=True, eq=False)
class LapsKnown:
    """The laps of a surface, and what each does to water."""

    laps: tuple[Lap, ...]
    water: tuple[LapWater, ...]

    @staticmethod
    def on(surface: Surface, caster: Caster) -> LapsKnown:
        """All laps of a surface; caster: its rays."""
        laps = measure_laps(surface, caster)
        return LapsKnown(laps, laps_water(surface, caster, laps))


def laps_water(surface: Surface, caster: Caster, laps: Sequence[Lap]) -> tuple[LapWater, ...]:
    """What each of some laps, measured on this surface, does to water."""
    water = []
    for lap, gap in zip(laps, _gaps(surface, caster, laps), strict=True):
        reach = float(capillary_rise(gap)) if gap <= BREAKS else 0.0
        wet = 0 < reach >= lap.rise
        water.append(LapWater(lap_pressure(lap), lap_gust(lap), gap, reach, wet))
    return tuple(water)


def _gaps(surface: Surface, caster: Caster, laps: Sequence[Lap]) -> Sequence[float]:
    """Median distances [m] between the two sheets of each lap along its way; inf: they don't face."""
    square = np.array(
        [np.cross(lap.way[1] - lap.way[0], lap.edge[-1] - lap.edge[0]) for lap in laps]
    )
    size = np.linalg.norm(square.reshape(-1, 3), axis=1)
    broad = np.flatnonzero(size > 0)
    gap = np.full(len(laps), np.inf)
    if len(broad):
        some = [laps[row] for row in broad.tolist()]
        along = np.repeat(square[broad] / size[broad, None], PLACES, axis=0)
        gap[broad] = [_median(apart) for apart in _apart(surface, caster, some, along)]
    return gap.tolist()


def _apart(
    surface: Surface, caster: Caster, laps: Sequence[Lap], along: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Distances (n, PLACES) [m] between the sheets of laps (n) at places along their ways, seen along
    (n * PLACES, 3) unit; inf where they don't face."""
    share = (np.arange(PLACES) + 0.5) / PLACES
    points = np.concatenate(
        [lap.way[0] + share[:, None] * (lap.way[1] - lap.way[0]) for lap in laps]
    )
    start = points - surface.centre - RESTING * along
    away, face = layers(caster, start, along, 2 * RESTING, SHEETS)
    part = np.where(face >= 0, surface.face_part[face], -1)
    number = {name: row for row, name in enumerate(surface.part_names)}
    lower = np.repeat([number[lap.lower] for lap in laps], PLACES)
    upper = np.repeat([number[lap.upper] for lap in laps], PLACES)
    return _nearest(away, part == lower, part == upper).reshape(-1, PLACES)


def _median(apart: NDArray[np.float64]) -> float:
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
