"""One detail tried: which families of leaks it has in the scene's weather, and in other gusts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from scenes.cures.families import COVERING, MOST_READ, Family, Sorter, some_of
from scenes.scene import Weather
from sim.blown import Wind
from sim.charts import Charts
from sim.fates import Fate
from sim.gust import Tries
from sim.ponds import Ponds
from sim.rain import Drops, rain
from sim.site import Site
from sim.storm import still_film, weather_the
from sim.trace import Trace, trace
from sim.wind_inputs import MOST_GUST

FILM_DROPS = 4000
"""Drops of still rain that tell how thick the films are that the wind meets: as many as the
first-leak gust is searched with."""
FINENESS = 0.004
"""Share of a gust to which it is narrowed down, as in the search of the first-leak gust."""
LEAST_GUST = 0.2
"""Weaker gusts [m/s] aren't told from still air, and finer differences than a quarter of that from none."""
STEP = 1.28
"""Gusts are tried upward by this factor, as there."""

Shares = dict[Family, float]


def behind(ends: Trace) -> NDArray[np.int64]:
    """Rows of the drops that ended behind."""
    return np.flatnonzero(np.isin(ends.fate, (Fate.UNDERLAY, Fate.INSIDE)))


def shares(
    sorter: Sorter, charts: Charts, drops: Drops, ends: Trace, most: int = MOST_READ
) -> Shares:
    """Share of all water that each family of leaks lets in; most: drops that are read for it."""
    rows = behind(ends)
    some = some_of(rows, most)
    told = sorter.families(charts, drops, some)
    if not told:
        return {}
    lost = float(drops.flow[rows].sum() / drops.flow.sum())
    flow = drops.flow[some]
    return {
        family: lost * float(flow[[one == family for one in told]].sum() / flow.sum())
        for family in sorted(set(told))
    }


def in_still_air(
    assembly: Assembly, weather: Weather, *, drops: int, seed: int, most: int = MOST_READ
) -> Shares:
    """What each family of leaks lets in of rain that no wind drives, followed as `run` follows it."""
    from sim.ground import GRAVITY, Ground
    from sim.spills import Spills

    ground = Ground.of(assembly, weather.drive)
    bare = Charts.on(ground)
    charts = bare
    if weather.drive == GRAVITY:
        charts = bare.going_on(Spills(Ponds.of(bare)))
    fallen = rain(
        charts, drops, seed=seed, rain_m_s=weather.rain, slant=weather.slant,
        from_angle=weather.from_angle,
    )  # fmt: skip
    return shares(Sorter.of(charts), charts, fallen, trace(charts, fallen, threads=1), most)


@dataclass(slots=True, eq=False)
class InWind:
    """A detail in winds from some directions. site: its; calm: families that let still rain in;
    tries: what gusts from each direction are tried with; tried: the families that a gust [m/s] from a
    direction (its number) brings."""

    site: Site
    weather: Weather
    calm: frozenset[Family]
    tries: list[Tries]
    sorter: Sorter
    tried: dict[tuple[int, float], frozenset[Family]] = field(default_factory=dict)

    @staticmethod
    def of(assembly: Assembly, weather: Weather, angles: Sequence[float], *, seed: int) -> InWind:
        """An assembly made ready for the wind from these directions (k,) [rad]: water stands at every edge
        that is open to it."""
        site = Site.of(assembly)
        still = rain(site.still, FILM_DROPS, seed=seed, rain_m_s=weather.rain)
        film = still_film(site, still, threads=1)
        sorter = Sorter.of(site.still, site.gaps)
        calm = shares(sorter, site.still, still, trace(site.still, still, threads=1))
        tries = Tries.of(site, list(angles), film, drag=weather.drag, pressure=weather.pressure)
        return InWind(site, weather, frozenset(calm), tries, sorter)

    def at(self, gust: float, way: int = 0) -> frozenset[Family]:
        """The families of leaks in a gust [m/s] from a direction, by its number."""
        if (way, gust) not in self.tried:
            self.tried[way, gust] = self.calm | self._lost(gust, way) if gust > 0 else self.calm
        return self.tried[way, gust]

    def stands(
        self, families: Iterable[Family] | None = None, way: int = 0, *, most: float = MOST_GUST,
        from_gust: float | None = None, fineness: float = FINENESS, but: frozenset[Family] = frozenset(),
    ) -> float:  # fmt: skip
        """The least gust [m/s] that brings any of these families of leaks, or any at all `but` some, from a
        direction; inf for none up to `most`. from_gust: where to begin looking."""
        wanted = None if families is None else frozenset(families)

        def leaks(gust: float) -> bool:
            here = self.at(gust, way)
            return bool(here - but - {COVERING} if wanted is None else here & wanted)

        if leaks(0.0):
            return 0.0
        low, high = 0.0, min(self.weather.gust or most if from_gust is None else from_gust, most)
        while not leaks(high):
            if high >= most:
                return inf
            low, high = high, min(high * STEP, most)
        while high - low > max(fineness * high, LEAST_GUST / 4):
            middle = (low + high) / 2
            if leaks(middle):
                high = middle
            else:
                low = middle
        return high if high > LEAST_GUST else 0.0

    def rains(self, *, drops: int, seed: int, most: int = MOST_READ) -> Shares:
        """What each family lets in of the weather's rain, with films that have settled, as in `run`."""
        weather = self.weather
        wind = Wind(weather.gust, weather.from_angle, weather.drag, weather.pressure)
        fallen = rain(
            self.site.still, drops, seed=seed, rain_m_s=weather.rain, from_angle=weather.from_angle,
            wind_m_s=weather.gust,
        )  # fmt: skip
        storm = weather_the(self.site, fallen, wind, threads=1)
        return shares(self.sorter, storm.charts, fallen, storm.trace, most)

    def _lost(self, gust: float, way: int) -> frozenset[Family]:
        tries = self.tries[way]
        charts, rows, _ = tries.lost(gust)
        found = self.sorter.families(charts, tries.mouths.drops, some_of(rows))
        return frozenset(found)
