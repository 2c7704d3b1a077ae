"""Where water that gets behind comes out: inside, or first on the underlay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.ground import Ground
from sim.gust import Tries
from sim.ponds import Ponds
from sim.rain import Drops, rain
from sim.shares import evenly
from sim.site import Site
from sim.spills import Spills
from sim.storm import still_film
from sim.trace import Paths, record, trace

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

LOST = (Fate.UNDERLAY, Fate.INSIDE)


@dataclass(frozen=True, slots=True, eq=False)
class ComesOut:
    """Water that gets behind, n drops that stand for all of it.

    out (n, 3) [m]: where each reaches the inside, or else first meets the underlay; inside (n,): whether
    it reaches the inside; weight (n,): its share of all that gets behind, together 1.
    """

    out: Floats
    inside: Flags
    weight: Floats

    def __len__(self) -> int:
        return len(self.weight)

    @staticmethod
    def none() -> ComesOut:
        """No water gets behind."""
        return ComesOut(np.zeros((0, 3)), np.zeros(0, bool), np.zeros(0))

    @staticmethod
    def together(some: Sequence[ComesOut]) -> ComesOut:
        """Several as one, each that isn't empty of equal weight."""
        wet = [one for one in some if len(one)]
        if not wet:
            return ComesOut.none()
        return ComesOut(
            np.concatenate([one.out for one in wet]),
            np.concatenate([one.inside for one in wet]),
            np.concatenate([one.weight / len(wet) for one in wet]),
        )

    def beyond(self, other: ComesOut, reach: float) -> ComesOut:
        """What comes out further than `reach` [m], in plan, from anywhere that the other does: weights are
        shares of that."""
        if not len(self) or not len(other):
            return self
        off = self.out[:, None, :2] - other.out[None, :, :2]
        own = np.square(off).sum(axis=2).min(axis=1) > reach**2
        if not own.any():
            return ComesOut.none()
        weight = self.weight[own]
        return ComesOut(self.out[own], self.inside[own], weight / weight.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Rained:
    """Drops on the charts of a weather, in groups that count alike however many they are."""

    charts: Charts
    drops: tuple[Drops, ...]

    def comes_out(self, *, most: int, threads: int | None = None) -> ComesOut:
        """Where those of the drops come out that get behind, `most` of each group evenly chosen."""
        return ComesOut.together(
            [comes_out(self.charts, some, most=most, threads=threads) for some in self.drops]
        )


def comes_out(charts: Charts, drops: Drops, *, most: int, threads: int | None = None) -> ComesOut:
    """Where those of the drops come out that get behind, `most` of them evenly chosen."""
    fate = trace(charts, drops, threads=threads).fate
    rows = np.flatnonzero(np.isin(fate, LOST))
    rows = rows[evenly(len(rows), most)]
    if not len(rows):
        return ComesOut.none()
    out = where_out(charts, record(charts, drops, rows, threads=threads), fate[rows])
    flow = drops.flow[rows]
    return ComesOut(out, fate[rows] == Fate.INSIDE, flow / flow.sum())


def where_out(charts: Charts, paths: Paths, fate: NDArray[np.integer]) -> Floats:
    """Where paths (k,) that end behind reach the inside, or first meet the underlay (k, 3) [m]."""
    caught = charts.surface.of_role(charts.part, Role.UNDERLAY)
    first, last = paths.start[:-1], paths.start[1:] - 1
    on = np.flatnonzero(caught[paths.chart])
    met = on[np.minimum(np.searchsorted(on, first), len(on) - 1)] if len(on) else last
    met = np.where((met >= first) & (met <= last), met, last)
    return paths.points[np.where(fate == Fate.INSIDE, last, met)]


def still_charts(assembly: Assembly) -> Charts:
    """The charts of an assembly in still air, on which full hollows spill."""
    ground = Ground.of(assembly)
    bare = Charts.on(ground)
    return bare.going_on(Spills(Ponds.of(bare)))


@dataclass(frozen=True, slots=True, eq=False)
class Stormed:
    """A site ready for gusts from some directions. tries: one a direction."""

    tries: tuple[Tries, ...]

    @staticmethod
    def of(
        site: Site, angles: Floats, still_rain: Drops, *, drag: float, pressure: float,
        threads: int | None = None,
    ) -> Stormed:  # fmt: skip
        """angles (k,) [rad]: where winds come from; still_rain: what makes the films; drag, pressure:
        see `Wind`."""
        film = still_film(site, still_rain, threads=threads)
        return Stormed(tuple(Tries.of(site, angles, film, drag=drag, pressure=pressure)))

    def rained(self, number: int, gust: float, *, rain_m_s: float, drops: int, seed: int) -> Rained:
        """A gust [m/s] from the direction of that number: rain that falls in it, and water that stands
        at every edge open to it, less what gets behind in still air."""
        tries = self.tries[number]
        fallen = rain(
            tries.site.still, drops, seed=seed, rain_m_s=rain_m_s, from_angle=tries.from_angle,
            wind_m_s=gust,
        )  # fmt: skip
        return Rained(tries.charts(gust), (fallen, tries.mouths.drops))
