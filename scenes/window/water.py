"""The water of the window: the ways of the kept drops, and where drops are at any time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.run import Result
from scenes.stage import Stage
from sim.entering import entering
from sim.passing import passing_times
from sim.shares import evenly
from sim.storm import film_on

Floats = NDArray[np.float64]

EVERY: Final = 0.02
"""Between two places of a drop so far apart in time it is shown on a straight line [s]."""
SHORTEST: Final = 0.5
"""Another drop follows on a path after so long at least [s]."""
FEW: Final = 10
MANY: Final = 30
"""Paths drawn of each leak, and of one that is looked at from near by: more would paint it solid."""
GOLDEN: Final = (5**0.5 - 1) / 2
"""Starts that are this share of a round apart never bunch."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """A kept path as it is shown. number: its place among the kept ones; points (k, 3) [m], k >= 2; time
    (k,) [s] since the drop landed; enters [s]: when it gets behind the flashings, infinite for one that stays
    outside; leak: number of its leak, 0 for none."""

    number: int
    points: Floats
    time: Floats
    enters: float
    leak: int

    @property
    def behind(self) -> bool:
        """Whether it ends behind the flashings."""
        return isfinite(self.enters)

    @property
    def coming(self) -> Floats:
        """Its points (n, 3) [m] up to where it gets in; under two for none."""
        before = self.time < self.enters
        return (
            np.concatenate([self.points[before], self._way_in]) if before.any() else self.points[:0]
        )

    @property
    def within(self) -> Floats:
        """Its points (n, 3) [m] from there on."""
        return np.concatenate([self._way_in, self.points[self.time >= self.enters]])

    @property
    def _way_in(self) -> Floats:
        return np.array([[np.interp(self.enters, self.time, self.points[:, k]) for k in range(3)]])


def ways_of(result: Result, stage: Stage) -> list[Way]:
    """The kept paths of a result, without what ran on a part of the stack that the stage cuts away."""
    paths = result.paths
    times = passing_times(paths, film_on(result.charts, result.drops))
    enters = entering(result.charts, paths, result.trace.fate[result.rows]).times(times)
    ways = []
    cuts = _cuts(result, stage)
    for number, (first, stop) in enumerate(zip(paths.start[:-1], paths.start[1:], strict=True)):
        points, time = paths.points[first:stop], times[first:stop]
        part: NDArray[np.integer] = result.charts.part[paths.chart[first:stop]]
        for cut, level in cuts.items():
            points, time, part = _below(points, time, part, cut, level)
        if len(points) > 1:
            leak = int(result.leak_of[number])
            ways.append(Way(number, points, time, float(enters[number]), leak))
    return ways


def drawn(ways: Sequence[Way]) -> dict[int, tuple[list[Way], list[Way]]]:
    """The ways that get in and are drawn, by the number of their leak: FEW of them while all of the roof is
    looked at, and MANY close on the leak."""
    leaks: dict[int, list[Way]] = {}
    for way in ways:
        if way.behind:
            leaks.setdefault(way.leak, []).append(way)
    many = {leak: [own[row] for row in evenly(len(own), MANY)] for leak, own in leaks.items()}
    return {leak: ([own[row] for row in evenly(len(own), FEW)], own) for leak, own in many.items()}


def _cuts(result: Result, stage: Stage) -> dict[int, float]:
    """Number of each part that is cut open, and the height of its cut [m]."""
    names = [part.name for part in result.assembly]
    return {
        names.index(piece.name): float(piece.triangles[:, :, 2].max())
        for piece in stage.pieces
        if piece.role is Role.STACK and piece.cut_face
    }


def _below(
    points: Floats, time: Floats, part: NDArray[np.integer], cut: int, level: float
) -> tuple[Floats, Floats, NDArray[np.integer]]:
    """A path from where it comes down past the cut on, if it began above it."""
    above = (part == cut) & (points[:, 2] > level)
    if not above[:1].any():
        return points, time, part
    if above.all():
        return points[:0], time[:0], part[:0]
    here = int(np.argmin(above))
    if points[here, 2] >= level:
        return points[here:], time[here:], part[here:]
    # The last stretch above the cut crosses it: it begins there.
    up = points[here - 1, 2]
    share = (up - level) / (up - points[here, 2])
    start = points[here - 1] + share * (points[here] - points[here - 1])
    begun = time[here - 1] + share * (time[here] - time[here - 1])
    return (
        np.concatenate([start[None], points[here:]]),
        np.append(begun, time[here:]),
        np.append(part[here - 1], part[here:]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Running:
    """Drops on their ways, each followed by another a round later: r runs, one for each round that a way
    takes. places (n, 3) [m]; first, count (r,): rows of each run's places, `step` (r,) [s] apart in time;
    begins, long (r,) [s]: when in a round it begins, and how long its way takes; turn (r,): which of its
    rounds it is; enters (r,) [s]: how long after it begins it gets in; leak (r,): as its way has it;
    a_round [s]."""

    places: Floats
    first: NDArray[np.int64]
    count: NDArray[np.int64]
    step: Floats
    begins: Floats
    long: Floats
    turn: NDArray[np.int64]
    enters: Floats
    leak: NDArray[np.int64]
    a_round: float

    @staticmethod
    def of(ways: list[Way]) -> Running:
        """The runs of some ways."""
        places = [np.zeros((0, 3))]
        long = np.array([way.time[-1] - way.time[0] for way in ways])
        count = np.maximum(np.ceil(long / EVERY).astype(np.int64) + 1, 2)
        for way, many in zip(ways, count, strict=True):
            when = np.linspace(way.time[0], way.time[-1], many)
            places.append(
                np.stack([np.interp(when, way.time, way.points[:, k]) for k in range(3)], 1)
            )
        a_round = max(float(np.median(long)) if ways else 0.0, SHORTEST)
        rounds = np.maximum(np.ceil(long / a_round).astype(np.int64), 1)
        own = np.repeat(np.arange(len(ways)), rounds)
        first = np.cumsum(count) - count
        return Running(
            places=np.concatenate(places),
            first=first[own],
            count=count[own],
            step=(long / (count - 1))[own],
            begins=np.mod(GOLDEN * own, 1.0) * a_round,
            long=long[own],
            turn=np.arange(len(own)) - np.repeat(np.cumsum(rounds) - rounds, rounds),
            enters=np.array([one.enters - one.time[0] for one in ways])[own],
            leak=np.array([one.leak for one in ways], dtype=np.int64)[own],
            a_round=a_round,
        )

    def at(self, seconds: float, *, only: int = 0) -> tuple[Floats, NDArray[np.bool_]]:
        """The drops that run at a time [s]: where (j, 3) [m], and whether they are in (j,); only: of those
        that get in, those of the leak of this number, 0 for all."""
        since = np.mod(seconds - self.begins, self.a_round) + self.turn * self.a_round
        on = since <= self.long
        if only:
            on &= np.isinf(self.enters) | (self.leak == only)
        step = np.where(self.step > 0, self.step, 1.0)[on]
        row = np.minimum(np.floor(since[on] / step).astype(np.int64), self.count[on] - 2)
        share = (since[on] / step - row)[:, None]
        here = self.first[on] + row
        places = self.places[here] * (1 - share) + self.places[here + 1] * share
        return places, since[on] >= self.enters[on]
