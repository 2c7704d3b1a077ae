"""Scenes with and without a fault in rain and wind: what gets behind, and where. Each is made once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import radians

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from scenes.assemble import assemble
from scenes.faults.apply import with_faults
from scenes.gust import FILM_DROPS, laps_of, site_of
from scenes.scene import load
from scenes.weather import case
from sim.blown import Wind
from sim.charts import Charts
from sim.fates import Fate
from sim.gust import Tries
from sim.leaks import find_leaks
from sim.rain import Drops, rain
from sim.site import Site
from sim.storm import still_film, weather_the
from sim.trace import Trace, trace

BEHIND = (Fate.UNDERLAY, Fate.INSIDE)
STORM_DROPS = 6000
MM_H = 1 / 3.6e6


@dataclass(frozen=True, slots=True, eq=False)
class Weathered:
    """A scene made ready for winds, after still rain."""

    assembly: Assembly
    site: Site
    rain: Drops
    still: Trace
    film: NDArray[np.float64]

    def behind(self, *fates: Fate) -> float:
        """Share of the still rain that ended behind, or with one of the fates."""
        flow = self.rain.flow
        return float(flow[np.isin(self.still.fate, fates or BEHIND)].sum() / flow.sum())

    def mouths(self, gust: float, from_deg: float) -> NDArray[np.float64]:
        """Where the water (k, 3) [mm] stands that gets behind in a gust [m/s]."""
        return 1000 * _tries(self, from_deg).behind(gust).point

    def laps_short(self) -> set[tuple[str, str]]:
        """Upper and lower sheet of the measured laps that are too short."""
        return {(lap.upper, lap.lower) for lap in laps_of(self.assembly) if not lap.ok}


@lru_cache(maxsize=4)
def weathered(name: str, *faults: str) -> Weathered:
    """A scene of the library with these faults in it."""
    scene = with_faults(load(name), faults)
    assembly = assemble(scene)
    site = site_of(scene, assembly)
    drops = rain(site.still, FILM_DROPS, seed=0, rain_m_s=scene.weather.rain)
    film = still_film(site, drops, threads=1)
    return Weathered(assembly, site, drops, trace(site.still, drops, threads=1), film)


@lru_cache(maxsize=4)
def _tries(made: Weathered, from_deg: float) -> Tries:
    (tries,) = Tries.of(made.site, [radians(from_deg)], made.film)
    return tries


@lru_cache(maxsize=4)
def ways_in(made: Weathered, weather: str, from_deg: float) -> NDArray[np.float64]:
    """Where leaks are found (k, 3) [mm] in a weather of the library, each as often as drops take it."""
    one = case(weather)
    if one.gust_m_s == 0:
        return _ways_in(made.site.still, made.rain, made.still)
    angle, falls = radians(from_deg), one.rain_mm_h * MM_H
    drops = rain(
        made.site.still, STORM_DROPS, seed=0, rain_m_s=falls, from_angle=angle,
        wind_m_s=one.gust_m_s,
    )  # fmt: skip
    storm = weather_the(made.site, drops, Wind(one.gust_m_s, angle), threads=1)
    return _ways_in(storm.charts, drops, storm.trace)


def arrivals(made: Weathered) -> NDArray[np.float64]:
    """Where still rain comes out inside (k, 3) [mm], each place as often as drops do."""
    found = find_leaks(made.site.still, made.rain, made.still, laps=())
    inside = [leak for leak in found if leak.severity == "inside"]
    points = [np.tile(leak.arrives, (len(leak.rows), 1)) for leak in inside]
    return 1000 * np.concatenate([np.zeros((0, 3)), *points])


def _ways_in(charts: Charts, drops: Drops, ends: Trace) -> NDArray[np.float64]:
    found = find_leaks(charts, drops, ends, laps=())
    points = [np.tile(leak.point, (len(leak.rows), 1)) for leak in found]
    return 1000 * np.concatenate([np.zeros((0, 3)), *points])
