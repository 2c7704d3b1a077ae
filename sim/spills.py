"""Water that fills hollows goes on over their rims."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.events import Event
from sim.ponds import Ponds


class Spills:
    """Water held in a hollow goes on where that spills once it is full; see `Onward`."""

    event = Event.STOOD

    def __init__(self, ponds: Ponds) -> None:
        self.ponds = ponds

    def charts_after(self, charts: Charts) -> Charts:
        """See `Onward.charts_after`: the same."""
        return charts

    def goes_on(
        self, chart: NDArray[np.int32], end: NDArray[np.float64]
    ) -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.float64]]:
        """See `Onward.goes_on`. What wind holds on a slope lies in no hollow, and stays."""
        end = end + self.ponds.charts.surface.centre
        spill = self.ponds.spill(self.ponds.of_held(chart, end), end)
        rows = np.flatnonzero(spill.spills)
        return rows, spill.chart[rows], spill.where[rows]
