"""What water does beneath the sheet that it got under: how far in, how far up or down, driven by what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.events import NOT_ON_A_FACE, Event
from sim.laps_table import RESTING
from sim.leaks_table import BENEATH_STEP
from sim.leaks_ways import Flags, Reader
from sim.trace import Paths
from sim.water import GRAVITY, WATER_DENSITY

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Beneath:
    """A drop's way beneath a sheet. length [m]: how far it ran there; inward [m]: how far in from the
    sheet's edge it got, square to that; rise [m]: how far above the way in it got; sank [m]: how far
    below the way in it came out from under the sheet, negative above; pressure [Pa]: how much that of
    the air falls from the edge to as far in as the water got, by the mean of its slope along the way;
    negative where it rises."""

    length: float = 0.0
    inward: float = 0.0
    rise: float = 0.0
    sank: float = 0.0
    pressure: float = 0.0

    @property
    def lift(self) -> float:
        """The pressure that lifts still water by the rise, rho g times it [Pa]."""
        return WATER_DENSITY * GRAVITY * self.rise


def beneath(
    reader: Reader, path: Paths, before: int, behind: int, arrives: int, point: Floats, into: Floats
) -> Beneath:
    """Read one path from its way in, point (3,) [m] on the piece that begins at row `before`, as long
    as a sheet lies over it, at most to row `arrives`; into (3,): unit, from the edge into the sheet.

    Falls within a lap, as at the nose of a course, are part of the way, and so is a short stretch
    where the sheet stands off; what is longer ends it, and so does the inner edge of what it runs on.
    """
    starts = np.concatenate([point[None], path.points[behind : arrives + 1]])
    chart = np.append(path.chart[before], path.chart[behind : arrives + 1]).astype(np.int64)
    kind = np.append(path.kind[before], path.kind[behind : arrives + 1])
    extra = driven_besides(reader.charts)
    at, pushed = point, np.zeros(3)
    length = inward = rise = bare = 0.0
    on_a_back = False
    for row in range(len(starts) - 1):
        step = starts[row + 1] - starts[row]
        if kind[row] == Event.FELL and -step[2] > RESTING:
            break
        back = bool(reader.dry[chart[row]])
        if back and length > 0 and not on_a_back:
            break
        if kind[row] in NOT_ON_A_FACE:
            continue
        piece, covered = _in_pieces(reader, starts[row], step, int(chart[row]))
        size = float(np.linalg.norm(piece))
        for number, hidden in enumerate(covered.tolist()):
            bare += size
            if bare > RESTING:
                break
            if hidden:
                on_a_back = back if length == 0.0 else on_a_back
                at = starts[row] + (number + 1) * piece
                pushed = pushed + bare * WATER_DENSITY * extra[chart[row]]
                length, bare = length + bare, 0.0
                inward = max(inward, float((at - point) @ into))
                rise = max(rise, float(at[2] - point[2]))
        if bare > RESTING:
            break
    pressure = inward * float(pushed @ into) / length if length > 0 else 0.0
    return Beneath(length, inward, rise, float(point[2] - at[2]) + 0.0, pressure)


def _in_pieces(reader: Reader, start: Floats, step: Floats, chart: int) -> tuple[Floats, Flags]:
    """One of the short pieces (3,) [m] that a run on a chart is looked at in, and whether a sheet lies over
    each of them (k,), or they run on a sheet's back."""
    count = max(1, int(np.ceil(np.linalg.norm(step) / BENEATH_STEP)))
    share = (np.arange(count) + 0.5) / count
    charts = np.full(count, chart, dtype=np.int64)
    over = reader.sheets_over(start + share[:, None] * step, charts) >= 0
    return step / count, over | reader.dry[charts]


def driven_besides(charts: Charts) -> Floats:
    """What drives the water of each chart (2m, 3) in its face besides the drive that acts everywhere
    [m/s2]: in a gap the fall of the air's pressure over the density of water."""
    classes, normals = charts.classes, charts.normals
    whole = classes.direction * classes.slope[:, None] * np.linalg.norm(charts.drive)
    plain = charts.drive - (normals @ charts.drive)[:, None] * normals
    return np.asarray(np.where(classes.slope[:, None] > 0, whole - plain, 0.0))
