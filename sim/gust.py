"""The first-leak gust: the least gust at which water that stands at every open edge gets behind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from sim.blown import Blows, Wind, blown
from sim.brinks import brinks_of
from sim.charts import Charts
from sim.events import Event
from sim.fates import Fate
from sim.gap_surface import WEATHERED
from sim.mouths import NO_RIM, Mouths, mouths_of, of_the_covering_alone
from sim.rain import Drops
from sim.site import Site
from sim.trace import Paths, record, trace
from sim.wind_inputs import CALM, DRAG, MOST_GUST

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

STEPS = (*np.geomspace(5.0, MOST_GUST, 12).round(3),)
"""Gusts [m/s] that are tried upward until one lets water in: each is 28 % more than the one before,
64 % more pressure."""
FINENESS = 0.004
"""Share of the gust to which it is then narrowed down: well under the 2 % it is checked to."""
PLUMB = 0.01
"""Upward part of a normal under which a face gets no upright rain to speak of: half a degree off plumb."""


@dataclass(frozen=True, slots=True, eq=False)
class FirstLeak:
    """What the wind from one direction does. from_angle [rad]; gust [m/s]: the least at which water
    gets behind a flashing, inf when none up to MOST_GUST does; covering: the least at which the
    covering itself passes water, as near as STEPS tell, inf for none; border (b,): pressure on the
    borders of gaps under 1 Pa; path: the way of the drop that decides, from just before the mouth on,
    its fate, and the charts of that gust; None where the gust is inf."""

    from_angle: float
    gust: float
    covering: float
    border: Floats
    path: Paths | None
    fate: Fate | None
    charts: Charts | None


@dataclass(frozen=True, slots=True, eq=False)
class Tries:
    """Everything that gusts from one direction are tried with. film (2m,) [m]: thickness of what runs
    on each chart; from_angle [rad]; drag, pressure: see `Wind`; mouths: water at the edges open to this
    wind; covering_only (2m,): gaps between the covering's own courses."""

    site: Site
    blows: Blows
    film: Floats
    from_angle: float
    drag: float
    pressure: float
    mouths: Mouths
    covering_only: Flags

    @staticmethod
    def of(
        site: Site,
        from_angles: Sequence[float] | Floats,
        film: Floats,
        *,
        drag: float = DRAG,
        pressure: float = 1.0,
    ) -> list[Tries]:
        """What gusts from each of the directions (k,) [rad] are tried with, less the water that gets
        behind in still air."""
        blows = site.blows(from_angles)
        stands = _standing(site, np.any([each.border > 0 for each in blows], axis=0))
        alone = of_the_covering_alone(site.still, site.gaps)
        return [
            Tries(
                site, each, film, float(angle), drag, pressure,
                stands.rows((stands.rim == NO_RIM) | (each.border[stands.rim] > 0)), alone,
            )
            for each, angle in zip(blows, from_angles, strict=True)
        ]  # fmt: skip

    def behind(self, gust: float) -> Mouths:
        """The water that gets behind a flashing in a gust [m/s]: where it stood."""
        _, rows, through = self.lost(gust)
        return self.mouths.rows(rows[~through])

    def charts(self, gust: float) -> Charts:
        """The charts of a gust [m/s]."""
        wind = Wind(gust, self.from_angle, self.drag, self.pressure)
        site = self.site
        return blown(site.ground, self.blows, wind, self.film, still=site.still, ponds=site.ponds)

    def lost(self, gust: float) -> tuple[Charts, Ints, Flags]:
        """Drops (k,) that get behind in a gust, and whether through the covering alone (k,)."""
        charts = self.charts(gust)
        fate = trace(charts, self.mouths.drops, threads=1).fate
        rows = np.flatnonzero(np.isin(fate, (Fate.UNDERLAY, Fate.INSIDE)))
        return charts, rows, self._through_the_covering(charts, rows)

    def _through_the_covering(self, charts: Charts, rows: Ints) -> Flags:
        through = np.zeros(len(rows), dtype=bool)
        paths = record(charts, self.mouths.drops, rows, threads=1)
        for number, (first, last) in enumerate(pairwise(paths.start.tolist())):
            gap = last_gap(self.site, paths.chart[first:last])
            through[number] = gap >= 0 and bool(self.covering_only[gap])
        return through


def first_leaks(
    site: Site,
    from_angles: Sequence[float] | Floats,
    film: Floats,
    *,
    still_rain: Drops | None = None,
    drag: float = DRAG,
    pressure: float = 1.0,
    threads: int | None = None,
) -> Iterator[FirstLeak]:
    """The first-leak gust from each of the directions (k,) [rad], in their order.

    still_rain: upright rain; where some of it gets behind in still air no wind is needed, and the gust
    is 0 from everywhere.

    Drops stand along every edge that the wind sees and that rain water can run up to, and just before
    it; they are followed in stronger and stronger gusts. Those that get behind in still air are
    left out, for where the rain is the calm run tells of them; but not those on walls, which are dry
    in calm rain. film (2m,): thickness of what runs on each chart [m]; drag, pressure: see `Wind`. The
    same figures whatever the number of threads.
    """
    calm = None if still_rain is None else _in_still_air(site, still_rain)
    if calm is not None:
        path, fate = calm
        for angle, each in zip(from_angles, site.blows(from_angles), strict=True):
            yield FirstLeak(float(angle), 0.0, np.inf, each.border, path, fate, site.still)
        return
    tries = Tries.of(site, from_angles, film, drag=drag, pressure=pressure)
    with ThreadPoolExecutor(max_workers=threads) as pool:
        yield from pool.map(_first_leak, tries)


def _in_still_air(site: Site, rain: Drops) -> tuple[Paths, Fate] | None:
    """The path and the fate of the first drop of rain that gets behind in still air; None: none."""
    fate = trace(site.still, rain).fate
    rows = np.flatnonzero(np.isin(fate, (Fate.UNDERLAY, Fate.INSIDE)))[:1]
    return (record(site.still, rain, rows), Fate(int(fate[rows[0]]))) if len(rows) else None


def _standing(site: Site, open_rims: Flags) -> Mouths:
    """Drops at the mouths that water can run up to, and at the brinks that it falls over, less those
    that get behind in still air, unless they are on upright faces: these only wind makes wet."""
    mouths = mouths_of(site.still, site.gaps, open_rims)
    mouths = Mouths.joined(mouths, brinks_of(site.still))
    behind = np.isin(trace(site.still, mouths.drops).fate, (Fate.UNDERLAY, Fate.INSIDE))
    upright = np.abs(site.still.normals[mouths.before, 2]) < PLUMB
    return mouths.rows(~behind | upright)


def _first_leak(tries: Tries) -> FirstLeak:
    covering, low, border = np.inf, 0.0, tries.blows.border
    for gust in STEPS:
        charts, rows, through = tries.lost(gust)
        if np.isinf(covering) and through.any():
            covering = gust
        if (~through).any():
            break
        low = gust
    else:
        return FirstLeak(tries.from_angle, np.inf, covering, border, None, None, None)
    high, found = gust, (charts, rows[~through])
    while high > CALM and high - low > FINENESS * high:
        middle = (low + high) / 2
        charts, rows, through = tries.lost(middle)
        if (~through).any():
            high, found = middle, (charts, rows[~through])
        else:
            low = middle
    charts, rows = found
    one = tries.mouths.rows(rows[:1])
    path = _from_before(one, record(charts, one.drops, np.arange(1), threads=1))
    fate = Fate(int(trace(charts, one.drops, threads=1).fate[0]))
    return FirstLeak(tries.from_angle, high, covering, border, path, fate, charts)


def _from_before(mouth: Mouths, path: Paths) -> Paths:
    """The path of one drop with the place before its mouth put in front."""
    return Paths(
        np.array([0, path.start[1] + 1]),
        np.concatenate([mouth.point, path.points]),
        np.concatenate([mouth.before.astype(np.int32), path.chart]),
        np.concatenate([path.kind[:1], np.array([Event.CROSSED], np.int8), path.kind[1:]]),
    )


def last_gap(site: Site, chart: NDArray[np.integer]) -> int:
    """The last chart of a path (p,) that lies in a gap of sheets that weather reaches; -1: none."""
    surface = site.still.surface
    outer = surface.of_role(surface.face_part, *WEATHERED)
    faced = site.gaps.faced[chart]
    hits = np.flatnonzero((faced >= 0) & outer[chart // 2] & outer[faced // 2])
    return int(chart[hits[-1]]) if len(hits) else -1
