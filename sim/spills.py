"""Water that fills hollows goes on over their rims."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.events import Event
from sim.legs import Departure, places_on
from sim.ponds import Ponds


class Spills:
    """Water held in a hollow goes on where that spills once it is full; see `Onward`."""

    def __init__(self, ponds: Ponds) -> None:
        self.ponds = ponds

    def goes_on(
        self, charts: Charts, chart: NDArray[np.int32], end: NDArray[np.float64]
    ) -> list[Departure]:
        """See `Onward.goes_on`. What lies in no hollow stays."""
        return [self._over_the_rim(charts, self._hollow(chart, end), end)]

    def _hollow(self, chart: NDArray[np.int32], end: NDArray[np.float64]) -> NDArray[np.int64]:
        return self.ponds.of_held(chart, end + self.ponds.charts.surface.centre)

    def _over_the_rim(
        self, charts: Charts, hollow: NDArray[np.int64], end: NDArray[np.float64]
    ) -> Departure:
        spill = self.ponds.spill(hollow, end + self.ponds.charts.surface.centre)
        rows = np.flatnonzero(spill.spills)
        return Departure(charts, rows, spill.chart[rows], spill.where[rows], Event.STOOD)


class SpillsOrBacksOut(Spills):
    """As `Spills`; and water that the wind's pressure holds in a lap fills it as high as the wind holds
    it there, so that what comes after runs out of it again, by its weight."""

    def __init__(self, ponds: Ponds, still: Charts) -> None:
        super().__init__(ponds)
        self.still = still

    def goes_on(
        self, charts: Charts, chart: NDArray[np.int32], end: NDArray[np.float64]
    ) -> list[Departure]:
        """See `Onward.goes_on`."""
        hollow = self._hollow(chart, end)
        rows = np.flatnonzero(hollow < 0)
        where = places_on(charts.surface, chart[rows], end[rows])
        out = Departure(self.still, rows, chart[rows], where, Event.GATHERED)
        return [self._over_the_rim(charts, hollow, end), out]
