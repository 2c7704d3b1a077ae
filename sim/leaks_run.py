"""What water ran along in the open before its way in, how far, and how far aside it was pushed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.events import NOT_ON_A_FACE, Event
from sim.leaks_edge import across_the_fall
from sim.leaks_table import LONG_FALL
from sim.leaks_ways import Reader
from sim.trace import Paths

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch in the open. part: what it ran on, and its role; length [m]: how far, 0 or more; fall
    [m]: how far it fell through the air to get there, 0 for less than `LONG_FALL`."""

    part: str
    role: Role
    length: float
    fall: float


def stretches(reader: Reader, path: Paths, before: int, point: Floats) -> tuple[Stretch, ...]:
    """The stretches of one path up to its way in: point (3,) [m], on or at the end of the piece that
    begins at row `before`."""
    surface = reader.charts.surface
    found: list[Stretch] = []
    fall = 0.0
    for row in range(before + 1):
        end = path.points[row + 1] if row < before else point
        step = float(np.linalg.norm(end - path.points[row]))
        if path.kind[row] == Event.FELL:
            fall += float(path.points[row, 2] - end[2])
            continue
        if path.kind[row] in NOT_ON_A_FACE:
            continue
        part = int(surface.face_part[path.chart[row] // 2])
        name, role = surface.part_names[part], surface.part_roles[part]
        fall = fall if fall > LONG_FALL else 0.0
        if found and found[-1].part == name and fall == 0.0:
            found[-1] = Stretch(name, role, found[-1].length + step, found[-1].fall)
        else:
            found.append(Stretch(name, role, step, fall))
        fall = 0.0
    return tuple(found)


def blown_aside(reader: Reader, path: Paths, before: int, point: Floats) -> float:
    """How far aside from the fall lines of the faces it ran on a path was pushed up to its way in [m]:
    the sum of its runs, creases left out."""
    aside = np.zeros(3)
    for row in range(before + 1):
        if path.kind[row] in (*NOT_ON_A_FACE, Event.SLID):
            continue
        end = path.points[row + 1] if row < before else point
        across = across_the_fall(reader.normals[path.chart[row]])
        aside += ((end - path.points[row]) @ across) * across
    return float(np.linalg.norm(aside))
