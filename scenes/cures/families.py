"""Drops that got behind, sorted by where: what a leak is called in every detail that is tried.

Leaks are numbered anew in every run; the sheets between which water goes behind keep their names.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.charts import Charts
from sim.events import NOT_ON_A_FACE
from sim.gap_surface import WEATHERED
from sim.gaps import Gaps
from sim.laps_table import SKY
from sim.leaks_causes import causes_of
from sim.leaks_ways import Reader
from sim.openness import sees_sky
from sim.rain import Drops
from sim.tolerances import STANDOFF
from sim.trace import Paths, record

Family = str
Ints = NDArray[np.int64]

MOST_READ = 200
"""Drops of one trial whose paths are read at most, evenly spread."""
OFF_MIDDLE = 0.25
"""Farther from the stack's middle than this share of its breadth is left or right."""
STRAIGHT = "straight in"
PAST = "past "
COVERING = "covering over covering"
"""Between the courses: no flashing has to do with it."""


@dataclass(frozen=True, slots=True, eq=False)
class Sorter:
    """Sorts drops by where they went behind.

    gaps: of the charts, where they were made for wind: a drop is then told by the lap that it went
    into. None: of charts in still air, where a drop is told by the sheet that it went behind.
    bare (2m,): 1 where a chart may lie in the open, 2 where it is known to see the sky, 0 elsewhere.
    middle and breadth: of the stack, or of the roof where there is none, across the slope [m].
    """

    gaps: Gaps | None
    bare: NDArray[np.int8]
    middle: float
    breadth: float

    @staticmethod
    def of(charts: Charts, gaps: Gaps | None = None) -> Sorter:
        """The sorter of an assembly's charts."""
        surface = charts.surface
        stacks = surface.parts_with(Role.STACK)
        faces = np.isin(surface.face_part, stacks) if stacks else np.ones(len(surface.faces), bool)
        x = surface.vertices[surface.faces[faces], 0] + surface.centre[0]
        outer = np.repeat(np.isin(surface.face_part, surface.parts_with(*WEATHERED)), 2)
        outer &= np.arange(len(outer)) % 2 == 0
        if gaps is not None:
            outer &= gaps.faced < 0
        return Sorter(gaps, outer.astype(np.int8), float(x.min() + x.max()) / 2, float(np.ptp(x)))

    def families(self, charts: Charts, drops: Drops, rows: Ints) -> list[Family]:
        """The family of each of some rows (k,) of drops, which ended behind."""
        if not len(rows):
            return []
        paths = record(charts, drops, rows, threads=1)
        if self.gaps is None:
            return self._by_sheet(charts, paths)
        self._look_up(charts, np.unique(paths.chart).astype(np.int64))
        return [
            self._by_lap(charts, self.gaps, paths, int(first), int(last))
            for first, last in zip(paths.start[:-1], paths.start[1:], strict=True)
        ]

    def _look_up(self, charts: Charts, asked: Ints) -> None:
        """Note which of some charts that may lie in the open see the sky."""
        asked = asked[self.bare[asked] == 1]
        surface = charts.surface
        middles = surface.vertices[surface.faces[asked // 2]].mean(axis=1)
        seen = sees_sky(charts.caster, middles + STANDOFF * charts.normals[asked], SKY)
        self.bare[asked] = np.where(seen, 2, 0)

    def _by_lap(self, charts: Charts, gaps: Gaps, paths: Paths, first: int, last: int) -> Family:
        """The lap that a path (points first to last) goes into after it was in the open last."""
        names, part = charts.surface.part_names, charts.part
        rows = np.arange(first, last)
        rows = rows[~np.isin(paths.kind[rows], NOT_ON_A_FACE)]
        chart = paths.chart[rows].astype(np.int64)
        bare = np.flatnonzero(self.bare[chart] == 2)
        entry = int(bare[-1]) + 1 if len(bare) else 0
        if entry >= len(rows) or gaps.faced[chart[entry]] < 0:
            came = chart[max(entry - 1, 0)]
            called, at = f"{PAST}{names[part[came]]}", rows[max(entry - 1, 0)]
        else:
            here, at = chart[entry], rows[entry]
            own, other = names[part[here]], names[gaps.across[here]]
            called = f"{own} over {other}" if here % 2 else f"{other} over {own}"
        return called + self._side(called, float(paths.points[at, 0]))

    def _by_sheet(self, charts: Charts, paths: Paths) -> list[Family]:
        ways = Reader.of(charts).ways_in(paths)
        causes = causes_of(charts, ways)
        names = charts.surface.part_names
        found = []
        for row in range(len(paths)):
            corner = [names[part] for part in causes.corner[row] if part >= 0]
            called = " and ".join(sorted(corner)) or names[causes.behind[row]]
            if ways.direct[row]:
                called = STRAIGHT
            found.append(called + self._side(called, float(causes.point[row, 0])))
        return found

    def _side(self, called: str, x: float) -> str:
        if "left" in called or "right" in called or called == COVERING:
            return ""
        off = (x - self.middle) / self.breadth
        return " (left)" if off < -OFF_MIDDLE else " (right)" if off > OFF_MIDDLE else ""


def family_words(family: Family) -> str:
    """A family as one says where water gets in: "between the back gutter and the covering, left"."""
    called, _, side = family.rstrip(")").partition(" (")
    upper, over, lower = called.partition(" over ")
    one, corner, other = called.partition(" and ")
    if called == STRAIGHT:
        told = "straight from the sky"
    elif over:
        told = f"between the {upper} and the {lower}"
    elif called.startswith(PAST):
        told = f"past the {called.removeprefix(PAST)}"
    elif corner:
        told = f"at the corner between the {one} and the {other}"
    else:
        told = f"behind the {called}"
    return f"{told}, {side}" if side else told


def some_of(rows: Ints, most: int = MOST_READ) -> Ints:
    """At most so many of some rows (k,), evenly spread."""
    if len(rows) <= most:
        return rows
    return rows[np.linspace(0, len(rows) - 1, most).round().astype(np.int64)]
