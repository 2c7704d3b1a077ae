"""Level gutters: creases along which traced water runs without any fall, and how deep it stands there."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.channel import critical_depth, deepest, surface_tension_governs
from sim.channel_section import Section
from sim.charts import Charts
from sim.events import Event
from sim.gutter_section import section_between, wall
from sim.laps_table import RUN_TURN
from sim.nearby import groups
from sim.tolerances import LEVEL, WELD
from sim.trace import Paths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Gutter:
    """A straight level crease that carries water to its ends.

    parts: those of its two sides; ends (2, 3) [m]: of the crease, the one with less x, then y, first;
    length [m]; flow (2,) [m3/s]: to each end; section: square to the crease, to where the lower side
    stops rising, upright above; end_depth (2,) [m]: at the free ends; depth [m]: where it stands
    deepest, the flow dividing; walls (2,) [m]: height over the crease up to which each side is of one
    part, as an upstand or a leg with its welt, the steeper side's first; crests (2, 3) [m]: those
    tops. Inflow is taken as square to the gutter and friction as nil; the depth holds however the
    inflow is spread.
    """

    parts: tuple[str, ...]
    ends: Floats
    length: float
    flow: Floats
    section: Section
    end_depth: Floats
    depth: float
    walls: Floats
    crests: Floats

    @property
    def freeboard(self) -> Floats:
        """Height of each crest over the water where it stands deepest (2,) [m]; below 0: it spills."""
        return self.walls - self.depth

    @property
    def surface_tension_governs(self) -> bool:
        """Whether the depth is so small that it is only indicative."""
        return bool(surface_tension_governs(self.depth))


def gutters(charts: Charts, paths: Paths, flow: NDArray[np.float64]) -> tuple[Gutter, ...]:
    """The level gutters that the paths run along, the deepest water first.

    flow (k,) [m3/s]: of each path, 0 or more. A sole that is dead level across carries no crease:
    water on it is held (`sim.ponds`). Raises SceneError unless there is a flow for each path.
    """
    flow = np.asarray(flow, dtype=np.float64)
    rule = f"one for each of {len(paths)} paths, 0 or more"
    fits = flow.shape == (len(paths),) and bool((flow >= 0).all())
    require(fits, "flow", flow.shape, rule, SceneError)
    row, chart, edge = _level_slides(charts, paths)
    if not len(row):
        return ()
    creases, which = _unique_creases(charts, chart, edge)
    run = _straight_runs(charts, creases)
    path = np.searchsorted(paths.start, row, side="right") - 1
    found = []
    for k in range(int(run.max()) + 1):
        mine = run[which] == k
        # Where each path leaves this gutter for the last time.
        _, last = np.unique(path[mine][::-1], return_index=True)
        leaves = row[mine][::-1][last]
        gutter = _gutter(
            charts, creases[run == k], paths.points[leaves + 1], flow[path[mine][::-1][last]]
        )
        if gutter is not None:
            found.append(gutter)
    return tuple(sorted(found, key=lambda g: (-g.depth, *g.ends[0].tolist())))


def _gutter(charts: Charts, creases: Ints, leaves: Floats, flow: Floats) -> Gutter | None:
    """The gutter of creases (c, 2), rows of chart and edge, left at points (n, 3) [m] by flows (n,)."""
    ends = _ends(charts, creases)
    along = ends[0, 1] - ends[0, 0]
    along = along * [1.0, 1.0, 0.0] / np.linalg.norm(along[:2])
    if (along[0], along[1]) < (0.0, 0.0):
        along = -along
    at = ends @ along
    low, high = float(at.min()), float(at.max())
    outer = np.stack([ends.reshape(-1, 3)[at.ravel().argmin()], ends.reshape(-1, 3)[at.argmax()]])
    middle = (low + high) / 2
    inner, outward = at.min(axis=1), at.max(axis=1)
    cut = int(np.maximum(np.maximum(inner - middle, middle - outward), 0.0).argmin())
    share = (np.clip(middle, inner[cut], outward[cut]) - at[cut, 0]) / (at[cut, 1] - at[cut, 0])
    point = ends[cut, 0] + share * (ends[cut, 1] - ends[cut, 0])

    chart, edge = (int(value) for value in creases[cut])
    other = int(charts.edges.neighbour[chart, edge])
    back = 3 - int(charts.edges.near[chart, edge]) - int(charts.edges.far[chart, edge])
    across = np.array([along[1], -along[0], 0.0])
    sides = [wall(charts, c, e, point, across) for c, e in ((chart, edge), (other, back))]
    sides.sort(key=lambda side: -side.steepness)
    section = section_between(*sides)
    if section is None:
        return None
    to_high = (leaves - charts.surface.centre) @ along > middle
    through = np.array([flow[~to_high].sum(), flow[to_high].sum()])
    ends = critical_depth(section, through)
    more = int(through.argmax())
    names = {charts.surface.part_names[charts.part[c]]: None for c in (chart, other)}
    return Gutter(
        tuple(names), outer + charts.surface.centre, high - low, through, section,
        ends, float(deepest(section, through[more], ends[more])),
        np.array([side.height for side in sides]), np.stack([side.crest for side in sides]),
    )  # fmt: skip


def _level_slides(charts: Charts, paths: Paths) -> tuple[Ints, Ints, Ints]:
    """Rows of the paths where water begins to slide along a level crease, that chart, and its edge."""
    row = np.flatnonzero(paths.kind == Event.SLID)
    way = paths.points[row + 1] - paths.points[row]
    size = np.linalg.norm(way, axis=1)
    level = (size > WELD) & (np.abs(way[:, 2]) < LEVEL * size)
    row, chart = row[level], paths.chart[row[level]].astype(np.int64)
    corners = charts.surface.vertices[charts.surface.faces[chart // 2]] + charts.surface.centre
    off = np.empty((len(row), 3))
    for edge in range(3):
        a, b = corners[:, (edge + 1) % 3], corners[:, (edge + 2) % 3]
        unit = (b - a) / np.maximum(np.linalg.norm(b - a, axis=1, keepdims=True), WELD)
        away = [np.linalg.norm(np.cross(paths.points[row + k] - a, unit), axis=1) for k in (0, 1)]
        off[:, edge] = np.maximum(*away)
    edge = off.argmin(axis=1)
    on = off.min(axis=1) < 10 * WELD
    return row[on], chart[on], edge[on]


def _unique_creases(charts: Charts, chart: Ints, edge: Ints) -> tuple[Ints, Ints]:
    """The creases (c, 2), rows of chart and edge, each named by its lower chart, and which (n,)."""
    other = charts.edges.neighbour[chart, edge].astype(np.int64)
    back = 3 - charts.edges.near[chart, edge].astype(np.int64) - charts.edges.far[chart, edge]
    own = (chart <= other) | (other < 0)
    named = np.column_stack([np.where(own, chart, other), np.where(own, edge, back)])
    creases, which = np.unique(named, axis=0, return_inverse=True)
    return creases, which.reshape(-1)


def _straight_runs(charts: Charts, creases: Ints) -> Ints:
    """Number of the straight run (c,) of each crease: those that share a corner and don't turn."""
    chart, edge = creases.T
    rows = np.arange(len(creases))
    fans = charts.fans.of_corner[chart]
    ends = np.stack([fans[rows, (edge + 1) % 3], fans[rows, (edge + 2) % 3]], axis=1)
    line = _ends(charts, creases)
    unit = line[:, 1] - line[:, 0]
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    fan, crease = ends.ravel(), np.repeat(rows, 2)
    order = np.argsort(fan, kind="stable")
    fan, crease = fan[order], crease[order]
    pairs = []
    for step in range(1, len(fan)):
        meet = np.flatnonzero(fan[step:] == fan[:-step])
        if not len(meet):
            break
        pairs.append(np.column_stack([crease[meet], crease[meet + step]]))
    tied = np.concatenate(pairs) if pairs else np.empty((0, 2), np.int64)
    straight = np.abs((unit[tied[:, 0]] * unit[tied[:, 1]]).sum(axis=1)) > cos(RUN_TURN)
    return groups(len(creases), tied[straight])


def _ends(charts: Charts, creases: Ints) -> Floats:
    """Both ends (c, 2, 3) [m] of each crease, recentred."""
    chart, edge = creases.T
    corner = np.stack([(edge + 1) % 3, (edge + 2) % 3], axis=1)
    return charts.surface.vertices[charts.surface.faces[chart[:, None] // 2, corner]]
