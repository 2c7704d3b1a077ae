"""How thick the film is on every chart, from the water that was seen to cross it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.charts import Charts
from sim.events import Event
from sim.film import nusselt_thickness
from sim.rain import Drops
from sim.tolerances import LEVEL
from sim.trace import Paths
from sim.water import GRAVITY, SURFACE_TENSION, WATER_DENSITY

Floats = NDArray[np.float64]

THINNEST = 5e-5
"""Thinnest film [m]: what 75 mm/h leaves on the first 10 mm of a plane at 30 degrees (derived). Less
wets no sheet: it stands in drops."""
THICKEST = float(np.sqrt(2 * SURFACE_TENSION / (WATER_DENSITY * GRAVITY)))
"""Thickest film [m], 3.9 mm: water on a level sheet that it meets at 90 degrees spreads when it stands
higher (derived). Deeper water is a pond."""
ENOUGH = 10
"""Passages over a chart that tell its flow within a third; charts with fewer look at neighbours."""
ROUNDS = 6
"""How many neighbours away a chart may look."""
ALIKE = float(np.cos(np.radians(25)))
"""Neighbours whose normals part by more have flows of their own."""


def flow_per_width(
    charts: Charts, drops: Drops, paths: Paths, rows: NDArray[np.integer], scale: float
) -> Floats:
    """Flow per width on each chart (2m,) [m2/s], the mean over its face.

    paths: those of `rows` (k,) of `drops`; scale: total flow over the flow of the rows, at least 1.
    A drop of flow Q that runs a length l over a face of area A adds Q l / A, which is exact for the
    mean. Runs along creases don't count: water there is no film but a rill, so the film beside it is
    given its own thickness. A chart with fewer than ENOUGH passages takes the mean over its
    neighbours on the same part and side as well, and over theirs, until there are enough.
    """
    require(len(paths) == len(rows), "paths", len(paths), f"{len(rows)}, one a row", SceneError)
    good = bool(np.isfinite(scale)) and scale >= 1 - 1e-9
    require(good, "scale", scale, "at least 1", SceneError)
    n = len(charts.normals)
    counts = np.diff(paths.start)
    flow = np.repeat(drops.flow[rows], counts)[:-1]
    length = np.linalg.norm(np.diff(paths.points, axis=0), axis=1)
    runs = np.isin(paths.kind[:-1], (Event.LANDED, Event.CROSSED))
    chart = paths.chart[:-1][runs]
    carried: Floats = np.bincount(chart, weights=(flow * length)[runs], minlength=n).astype(float)
    passages = np.bincount(chart, minlength=n).astype(np.float64)
    total, area = _pooled(charts, carried, np.repeat(_areas(charts), 2), passages)
    return np.asarray(scale * np.divide(total, area, out=np.zeros(n), where=area > 0))


def thickness(charts: Charts, flow: ArrayLike) -> Floats:
    """Thickness of the film on each chart (2m,) [m], between THINNEST and THICKEST.

    flow per width (2m,) [m2/s], not negative. Nusselt's, with gravity along the chart's plane; a
    level chart counts as tilted by LEVEL, which THICKEST overrules unless it is all but dry. Where
    no water was seen the film is the thinnest: the wind moves that most easily, which is the safe
    side.
    """
    sine = np.linalg.norm(charts.normals[:, :2], axis=1)
    pull = GRAVITY * np.maximum(sine, LEVEL)
    return np.clip(nusselt_thickness(flow, pull), THINNEST, THICKEST)


def _areas(charts: Charts) -> Floats:
    a, b, c = (charts.surface.vertices[charts.surface.faces[:, k]] for k in range(3))
    return np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2 * charts.surface.solid


def _pooled(
    charts: Charts, carried: Floats, area: Floats, passages: Floats
) -> tuple[Floats, Floats]:
    """Flow times length (2m,) and area (2m,), with those of neighbours where passages are few.

    Sums are pooled, not means, so that every passage and every area keeps its weight.
    """
    beside = charts.edges.neighbour
    joined = beside >= 0
    joined &= charts.part[beside] == charts.part[:, None]
    turn = np.einsum("cx,cex->ce", charts.normals, charts.normals[beside])
    joined &= turn >= ALIKE
    for _ in range(ROUNDS):
        few = np.flatnonzero(passages < ENOUGH)
        if not len(few):
            break
        own, near = joined[few], beside[few]
        more = [
            values[few] + np.where(own, values[near], 0.0).sum(axis=1)
            for values in (carried, area, passages)
        ]
        carried, area, passages = carried.copy(), area.copy(), passages.copy()
        carried[few], area[few], passages[few] = more
    return carried, area
