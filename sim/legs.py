"""Journeys in legs: water that is held under one drive goes on under another, or where it spills."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from sim.events import Event
from sim.tolerances import SNAP

if TYPE_CHECKING:
    from sim.charts import Charts
    from sim.surface import Surface

MOST_LEGS = 40
"""A drop that is held once more after so many legs stays: two basins that fill each other."""


@dataclass(frozen=True, slots=True, eq=False)
class Departure:
    """Held drops that go on: rows (k,) of those held, the charts and the chart (k,) and place on it (k,
    3) where they do (chart -1: they leave), and what their paths say where they were held."""

    charts: Charts
    rows: NDArray[np.int64]
    chart: NDArray[np.int32]
    where: NDArray[np.float64]
    event: Event


class Onward(Protocol):
    """How water goes on that charts hold."""

    def goes_on(
        self, charts: Charts, chart: NDArray[np.int32], end: NDArray[np.float64]
    ) -> list[Departure]:
        """Of drops that `charts` held on charts (n,) at their ends (n, 3), recentred [m], those that
        go on, each at most once."""
        ...


class GathersTo:
    """Water that the wind holds up gathers until its weight wins, and goes on from where it is under
    another drive."""

    def __init__(self, charts: Charts) -> None:
        self.charts = charts

    def goes_on(
        self, charts: Charts, chart: NDArray[np.int32], end: NDArray[np.float64]
    ) -> list[Departure]:
        """See `Onward.goes_on`."""
        del charts
        where = places_on(self.charts.surface, chart, end)
        return [Departure(self.charts, np.arange(len(chart)), chart, where, Event.GATHERED)]


def places_on(
    surface: Surface, chart: NDArray[np.integer], points: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Barycentric places (n, 3) of points (n, 3), recentred [m], on charts (n,) that they lie on."""
    a, b, c = (surface.vertices[surface.faces[chart // 2, k]] for k in range(3))
    e1, e2, off = b - a, c - a, points - a
    d11, d12, d22 = (e1 * e1).sum(axis=1), (e1 * e2).sum(axis=1), (e2 * e2).sum(axis=1)
    p1, p2 = (off * e1).sum(axis=1), (off * e2).sum(axis=1)
    size = d11 * d22 - d12 * d12
    v, w = (d22 * p1 - d12 * p2) / size, (d11 * p2 - d12 * p1) / size
    where = np.column_stack([1.0 - v - w, v, w])
    # At a corner exactly: water that was held there is decided by the corner's fan once more.
    where = np.where(where > 1.0 - SNAP, 1.0, np.where(where < SNAP, 0.0, where))
    placed: NDArray[np.float64] = where / where.sum(axis=1, keepdims=True)
    return placed
