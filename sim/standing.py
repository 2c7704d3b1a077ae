"""Standing water: which hollows filled while it rained, how high, how deep, and where they spill."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.events import Event
from sim.ponds import Ponds
from sim.trace import Paths

LEAST_DEPTH = 1e-4
"""Shallower hollows [m] hold less than the film that runs over them."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """A hollow that water came to. part: that it lies on; point (3,) [m]: where water came to rest in
    it; level [m]: height z of its surface when it spills, nan where it never does; depth [m], volume
    [m3]: then; spill (3,) [m]: the middle of the rim it goes over, nan for none; share [1]: of the
    water that landed."""

    part: str
    point: NDArray[np.float64]
    level: float
    depth: float
    volume: float
    spill: NDArray[np.float64]
    share: float


def standing_water(
    charts: Charts, ponds: Ponds, paths: Paths, flow: NDArray[np.float64]
) -> tuple[Standing, ...]:
    """Hollows that paths with flows (k,) came to rest in, the one with the most water first.

    What rests where nothing is deeper than LEAST_DEPTH is left out, unless it never spills.
    """
    owner = np.repeat(np.arange(len(paths)), np.diff(paths.start))
    rest = np.isin(paths.kind, (Event.STOOD, Event.ENDED)) & ~_left(paths)
    rows = np.flatnonzero(rest)
    pond = ponds.of_held(paths.chart[rows], paths.points[rows]) if len(rows) else rows
    rows, pond = rows[pond >= 0], pond[pond >= 0]
    total = float(flow.sum())
    found = []
    for k in np.unique(pond).tolist():
        here = rows[pond == k]
        if ponds.spills[k] and ponds.depth[k] < LEAST_DEPTH:
            continue
        share = float(flow[np.unique(owner[here])].sum()) / total
        found.append(
            Standing(
                charts.surface.part_names[charts.part[paths.chart[here[0]]]],
                paths.points[here[0]], float(ponds.level[k]) if ponds.spills[k] else float("nan"),
                float(ponds.depth[k]), float(ponds.volume[k]), ponds.spill_point[k], share,
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda one: (-one.share, *one.point.tolist())))


def _left(paths: Paths) -> NDArray[np.bool_]:
    """Points (p,) that end a path off the surface: what fell there from the point before."""
    ended = paths.kind == Event.ENDED
    fell = np.append(False, paths.kind[:-1] == Event.FELL)
    return ended & fell
