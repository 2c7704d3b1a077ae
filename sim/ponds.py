"""Ponds: how high water stands in every hollow, how much of it, and where it goes on from there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.pond_levels import Levels
from sim.pond_rims import Rims, flooded_charts

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Spill:
    """Where water goes on from full hollows.

    chart (n,) int32 and where (n, 3), barycentric: its next place, -1 where it leaves the model; rim
    (n, 3) [m]: where it went over; spills (n,): whether it can at all.
    """

    chart: NDArray[np.int32]
    where: Floats
    rim: Floats
    spills: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Ponds:
    """All p hollows of the charts, each filled to where it spills.

    Two that lead into each other are one. A level face that holds water is one without depth. Heights
    are in the assembly's axes.

    level (p,) [m]: of the surface, inf where it is shut in and never spills; floor (p,) [m]: the
    lowest corner; depth (p,) [m], volume (p,) [m3] and area (p,) [m2], in plan, of the full hollow:
    nil where it never spills; spill_point (p, 3) [m]: the middle of the rim it goes over; spills
    (p,). Sheets that hang into the water from elsewhere take nothing off its volume.
    """

    charts: Charts
    levels: Levels
    rims: Rims
    flooded: Ints
    level: Floats
    floor: Floats
    depth: Floats
    volume: Floats
    area: Floats
    spill_point: Floats
    spills: NDArray[np.bool_]

    @staticmethod
    def of(charts: Charts) -> Ponds:
        """Fill every hollow of charts; gravity is along -z whatever their drive."""
        levels = Levels.of(charts)
        count = int(levels.pond.max(initial=-1)) + 1
        wet = levels.pond >= 0
        level, floor = np.full(count, -np.inf), np.full(count, np.inf)
        np.maximum.at(level, levels.pond[wet], levels.level[wet])
        np.minimum.at(floor, levels.pond[wet], levels.height[wet])
        flooded = flooded_charts(charts, levels)
        volume, area = _filled(charts, flooded, level)
        rims = Rims.of(charts, levels, flooded)
        spills = np.isin(np.arange(count), rims.pond)
        up = charts.surface.centre[2]
        ponds = Ponds(
            charts, levels, rims, flooded, level + up, floor + up,
            np.where(spills, level - floor, 0.0), np.where(spills, volume, 0.0),
            np.where(spills, area, 0.0), np.full((count, 3), np.nan), spills,
        )  # fmt: skip
        which = np.flatnonzero(spills)
        ponds.spill_point[which] = ponds.spill(which, _rim_middles(rims, which, charts)).rim
        return ponds

    def __len__(self) -> int:
        return len(self.level)

    def of_held(self, chart: NDArray[np.integer], end: Floats) -> Ints:
        """The hollow (n,) that drops held at points `end` (n, 3) [m] on charts (n,) lie in; -1: none,
        as where wind holds water on a slope."""
        return self.levels.pond[self.levels.at(self.charts, np.asarray(chart), np.asarray(end))]

    def spill(self, pond: NDArray[np.integer], end: Floats) -> Spill:
        """Where drops that lie in hollows (n,) at points `end` (n, 3) [m] go on once these are full:
        over the place on the rim that is nearest to each in plan."""
        n = len(pond)
        row, share = np.zeros(n, np.int64), np.zeros(n)
        spills = (np.asarray(pond) >= 0) & np.append(self.spills, False)[pond]
        local = np.asarray(end)[:, :2] - self.charts.surface.centre[:2]
        for k in np.unique(np.asarray(pond)[spills]):
            mine = np.flatnonzero(pond == k)
            rows = slice(*np.searchsorted(self.rims.pond, [k, k + 1]))
            a, b = self.rims.ends[rows, 0, :2], self.rims.ends[rows, 1, :2]
            along = b - a
            size = np.maximum((along**2).sum(axis=1), 1e-30)
            s = ((local[mine, None] - a) * along).sum(axis=2) / size
            s = np.clip(s, 0.0, 1.0)
            away = np.linalg.norm(a + s[:, :, None] * along - local[mine, None], axis=2)
            # Rounded, so that of equal ones the first counts on every machine.
            best = np.round(away, 9).argmin(axis=1)
            row[mine], share[mine] = rows.start + best, s[np.arange(len(mine)), best]
        chart, where = np.full(n, -1, np.int32), np.zeros((n, 3))
        rim = np.full((n, 3), np.nan)
        if spills.any():
            found = self.rims.go_on(self.charts, row[spills], share[spills])
            chart[spills], where[spills], rim[spills] = found
        return Spill(chart, where, rim, spills)


def _rim_middles(rims: Rims, ponds: Ints, charts: Charts) -> Floats:
    """The middle (n, 3) [m] of each hollow's rim, its stretches weighed by length."""
    size = np.linalg.norm(rims.ends[:, 1] - rims.ends[:, 0], axis=1) + 1e-9
    middle = rims.ends.mean(axis=1) * size[:, None]
    total = np.bincount(rims.pond, size)
    sums = [np.bincount(rims.pond, middle[:, k]) for k in range(3)]
    return np.column_stack(sums)[ponds] / total[ponds, None] + charts.surface.centre


def _filled(charts: Charts, flooded: Ints, level: Floats) -> tuple[Floats, Floats]:
    """Volume [m3] and plan area [m2] under the level (p,) of each hollow (p,); exact.

    The columns between a chart and the level add up, those under undersides taken off: what is left
    is the water, whatever its shape.
    """
    finite = np.isfinite(np.append(level, np.inf))[flooded]
    chart = np.flatnonzero((flooded >= 0) & finite)
    pond, surface = flooded[chart], charts.surface
    corners = surface.vertices[surface.faces[chart // 2]]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    plan = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2 * np.sign(charts.normals[chart, 2])
    deep = np.sort(level[pond][:, None] - corners[:, :, 2], axis=1)[:, ::-1]
    a, b, c = deep.T
    a = np.maximum(a, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        tip = np.where(b <= 0, a**2 / ((a - b) * (a - c)), 0.0)
        dry = np.where((b > 0) & (c < 0), c**2 / ((c - a) * (c - b)), 0.0)
    tip = np.where(a > 0, tip, 0.0)
    share = np.where(b <= 0, tip, 1.0 - dry)
    mean = np.where(b <= 0, tip * a / 3, (a + b + c) / 3 - dry * c / 3)
    volume, area = np.zeros(len(level)), np.zeros(len(level))
    np.add.at(volume, pond, plan * mean)
    np.add.at(area, pond, plan * share)
    return volume, area
