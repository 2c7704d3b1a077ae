"""Water in a wind: films as thick as the flow that reaches them, traced until the fates settle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.blown import Wind, blown, film_in_wind
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import Drops
from sim.shares import Whole, evenly
from sim.site import Site
from sim.thickness import flow_per_width, thickness
from sim.trace import Trace, record, trace

Floats = NDArray[np.float64]

MOST_ROUNDS = 8
SETTLED = 0.002
"""Share of the water whose fate a further round may still change: a tenth of what a trainer would
call a leak. Where the drops are few, their standard error counts instead."""
SAMPLE = 4000
"""Drops whose whole paths tell how thick films are."""


@dataclass(frozen=True, slots=True, eq=False)
class Storm:
    """A trace in a wind. charts: of the last round; film (2m,) [m]: thickness that it was traced with;
    rounds: how many were traced; settled: whether the last changed no fate's share by more than
    `SETTLED` or its standard error."""

    charts: Charts
    trace: Trace
    film: Floats
    rounds: int
    settled: bool


def weather_the(site: Site, drops: Drops, wind: Wind, *, threads: int | None = None) -> Storm:
    """Follow drops in a wind.

    In the first round gravity alone spreads the water; what reaches each place says how thick the
    film is there, and so how easily the wind drives it. Then it is traced again, and again with the
    films that this leaves, until the fates settle. Same bytes whatever the number of threads.
    """
    rows = evenly(len(drops), SAMPLE)
    film = still_film(site, drops, threads=threads)
    (blows,) = site.blows([wind.from_angle])
    shear = wind.drag * wind.stagnation * blows.drag_pa
    before: Floats | None = None
    for number in range(1, MOST_ROUNDS + 1):
        charts = blown(site.ground, blows, wind, film, still=site.still, ponds=site.ponds)
        ends = trace(charts, drops, threads=threads)
        shares, errors = _by_fate(drops, ends)
        settled = before is not None and bool(
            (np.abs(shares - before) <= np.maximum(SETTLED, errors)).all()
        )
        if settled or number == MOST_ROUNDS:
            break
        before = shares
        paths = record(charts, drops, rows, threads=threads)
        flow = flow_per_width(charts, drops, paths, rows, _scale(drops, rows))
        # Halfway in logarithms: a film that thickens as soon as it is slow would swing for ever.
        film = np.sqrt(film * film_in_wind(charts, flow, shear, film))
    return Storm(charts, ends, film, number, settled)


def still_film(site: Site, drops: Drops, *, threads: int | None = None) -> Floats:
    """Thickness (2m,) [m] of the films that drops leave in still air."""
    return film_on(site.still, drops, threads=threads)


def film_on(charts: Charts, drops: Drops, *, threads: int | None = None) -> Floats:
    """Thickness (2m,) [m] of the films that drops leave on charts."""
    rows = evenly(len(drops), SAMPLE)
    paths = record(charts, drops, rows, threads=threads)
    return thickness(charts, flow_per_width(charts, drops, paths, rows, _scale(drops, rows)))


def _scale(drops: Drops, rows: NDArray[np.int64]) -> float:
    return max(1.0, float(drops.flow.sum() / drops.flow[rows].sum()))


def _by_fate(drops: Drops, ends: Trace) -> tuple[Floats, Floats]:
    whole = Whole.of(drops.flow)
    both = [whole.share(ends.fate == fate) for fate in Fate]
    return np.array([share for share, _ in both]), np.array([error for _, error in both])
