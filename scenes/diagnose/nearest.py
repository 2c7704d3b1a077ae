"""The way of a suspect's water that comes out nearest to a damp place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from scenes.diagnose.likelihood import SPREAD, density
from scenes.diagnose.trial import State, Tried, Weathers
from scenes.weather_words import After
from sim.comes_out import LOST, where_out
from sim.fates import Fate
from sim.leaks_ways import Reader
from sim.places import Places
from sim.trace import Paths, record, trace

Floats = NDArray[np.float64]

SHOWN = 12
"""Ways of drops that a picture shows."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """A way of water from outside to inside. into, out (3,) [m]: where it goes behind, and where it
    comes out; where: the first in words; off [m]: how far the second is from the damp place, in plan;
    inside: whether it reaches the inside, or is caught by the underlay; assembly: the detail; paths (k,)
    and fates (k,): of drops that come out near by, the one told first."""

    into: Floats
    out: Floats
    where: str
    off: float
    inside: bool
    assembly: Assembly
    paths: Paths
    fates: NDArray[np.integer]


def telling_state(tried: Tried, damp: Floats, after: After | None) -> State | None:
    """The weather in which a damp place (2,) [m] is likeliest; None where no water gets behind."""
    wet = {state: found for state, found in tried.states(after).items() if len(found)}
    return max(wet, key=lambda state: density(wet[state], damp, 1.0)) if wet else None


def way_in(weathers: Weathers, state: State, damp: Floats) -> Way | None:
    """The way nearest to a damp place (2,) [m] in one weather; None where no water gets behind."""
    rained = weathers.rained(state)
    charts = rained.charts
    kept: list[tuple[Paths, NDArray[np.integer]]] = []
    for drops in rained.drops:
        fate = trace(charts, drops).fate
        rows = np.flatnonzero(np.isin(fate, LOST))
        if len(rows):
            kept.append((record(charts, drops, rows), fate[rows]))
    if not kept:
        return None
    paths = Paths.joined([some for some, _ in kept])
    fates = np.concatenate([fate for _, fate in kept])
    out = where_out(charts, paths, fates)
    away = np.round(np.linalg.norm(out[:, :2] - damp, axis=1), 9)
    near = np.argsort(away, kind="stable")
    beside = near[away[near] <= away[near[0]] + SPREAD]
    beside = beside[np.linspace(0, len(beside) - 1, min(SHOWN, len(beside))).astype(np.int64)]
    chosen = _some(paths, beside)
    ways = Reader.of(charts).ways_in(chosen)
    one = _middle(ways.point)
    order = np.concatenate([[one], np.delete(np.arange(len(beside)), one)]).astype(np.int64)
    into, told = ways.point[one], beside[one]
    where = Places.of(charts.surface).words(into - charts.surface.centre)
    return Way(
        into, out[told], where, float(away[told]), bool(fates[told] == Fate.INSIDE),
        weathers.blocked() if state.blocked else weathers.assembly, _some(chosen, order),
        fates[beside][order],
    )  # fmt: skip


def _some(paths: Paths, rows: NDArray[np.integer]) -> Paths:
    first, last = paths.start[rows], paths.start[rows + 1]
    at = np.concatenate([np.arange(a, b) for a, b in zip(first, last, strict=True)])
    start = np.concatenate([[0], np.cumsum(last - first)])
    return Paths(start, paths.points[at], paths.chart[at], paths.kind[at])


def _middle(points: Floats) -> int:
    """Which of the points (n, 3) lies nearest to their median."""
    away = np.linalg.norm(points - np.median(points, axis=0), axis=1)
    return int(np.round(away, 9).argmin())
