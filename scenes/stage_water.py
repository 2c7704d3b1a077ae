"""The water of a stage: which recorded paths are shown, and where water stands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from math import isfinite
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.entering import Entering
from sim.fates import Fate
from sim.leaks_table import LEAST_BEHIND
from sim.shares import evenly

Floats = NDArray[np.float64]

MOST_PATHS = 240
MOST_BEHIND = 40
"""Paths drawn at most, and of them those that get behind: more would paint the roof solid."""

LEAST_DEPTH = 0.003
MOST_POOLS = 3
"""Standing water is marked from this depth on [m], and so many places of it, the fullest."""


class RecordedPaths(Protocol):
    """What is read of sim.trace.Paths: k polylines, points [m] from start[i] to start[i + 1]."""

    @property
    def start(self) -> NDArray[Any]: ...
    @property
    def points(self) -> Floats: ...


Entered = Callable[[Any], Entering]
"""Tells, of the paths with some numbers (n,), where they go behind."""


class Runs(Enum):
    """How the water of a stretch runs, as its line tells it."""

    OUTSIDE = "stays outside"
    UNDER = "behind a flashing, and out again"
    COMING = "on its way to where it gets in"
    BEHIND = "behind the flashings"
    FIRST_IN = "gets in first as the wind rises"


@dataclass(frozen=True, slots=True, eq=False)
class WaterPath:
    """A stretch of a drop's way, (k, 3) [m], k >= 2, on which its water runs in one manner."""

    points: Floats
    runs: Runs

    @property
    def behind(self) -> bool:
        """Whether it has got behind for good: it ends on the underlay or inside."""
        return self.runs in (Runs.BEHIND, Runs.FIRST_IN)


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Water that stands: point (3,) [m] in it; words at it."""

    point: Floats
    words: str


def read_paths(
    paths: RecordedPaths, fates: NDArray[np.integer] | None, entered: Entered | None = None
) -> list[WaterPath]:
    """The stretches of at most MOST_PATHS of them, evenly picked; of those that get behind last, on top.

    Without `entered` a path that ends behind is told as if it were so from its beginning.
    """
    count = len(paths.start) - 1
    if fates is not None:
        require(len(fates) == count, "fates", len(fates), f"one a path, {count}", SceneError)
    lost = np.zeros(count, dtype=bool)
    if fates is not None:
        lost = np.isin(fates, (Fate.UNDERLAY, Fate.INSIDE))
    long = np.diff(paths.start) > 1
    behind = _evenly(np.flatnonzero(long & lost), MOST_BEHIND)
    outside = _evenly(np.flatnonzero(long & ~lost), MOST_PATHS - len(behind))
    chosen = np.concatenate([outside, behind])
    if entered is None:
        return [
            WaterPath(_points(paths, path), Runs.BEHIND if lost[path] else Runs.OUTSIDE)
            for path in chosen
        ]
    how, first, rows = entered(chosen), 0, []
    for number, path in enumerate(chosen):
        points = _points(paths, path)
        if lost[path]:
            rows += _split(points, how.gets_in[number] - first)
        else:
            rows += _under_and_out(points, how.behind[first : first + len(points) - 1])
        first += len(points)
    # Stretches that get behind come last, whatever led to them.
    return sorted(rows, key=lambda way: way.behind)


def _points(paths: RecordedPaths, path: int) -> Floats:
    return np.asarray(paths.points[paths.start[path] : paths.start[path + 1]], dtype=float)


def _split(points: Floats, at: float) -> list[WaterPath]:
    """A path up to where it gets in, counted in its rows, and from there."""
    row = min(int(at), len(points) - 2)
    enters = points[row] + (at - row) * (points[row + 1] - points[row])
    coming = np.concatenate([points[: row + 1], enters[None]])
    return [
        *([WaterPath(coming, Runs.COMING)] if at > 0 else []),
        WaterPath(np.concatenate([enters[None], points[row + 1 :]]), Runs.BEHIND),
    ]


def _under_and_out(points: Floats, under: NDArray[np.bool_]) -> list[WaterPath]:
    """A path as stretches outside and behind a flashing; under (k - 1,): of each of its pieces."""
    long = np.linalg.norm(np.diff(points, axis=0), axis=1)
    ends = [0, *(np.flatnonzero(under[1:] != under[:-1]) + 1).tolist(), len(under)]
    hidden = [bool(under[a]) and long[a:b].sum() >= LEAST_BEHIND for a, b in pairwise(ends)]
    rows: list[tuple[int, int, bool]] = []
    for (first, stop), below in zip(pairwise(ends), hidden, strict=True):
        if rows and rows[-1][2] == below:
            rows[-1] = (rows[-1][0], stop, below)
        else:
            rows.append((first, stop, below))
    return [
        WaterPath(points[first : stop + 1], Runs.UNDER if below else Runs.OUTSIDE)
        for first, stop, below in rows
    ]


def _evenly(rows: NDArray[np.int64], most: int) -> NDArray[np.int64]:
    return rows[evenly(len(rows), most)]


def read_deciding(paths: RecordedPaths) -> list[WaterPath]:
    """The first of recorded paths, marked as deciding; nothing where it has no length."""
    points = _points(paths, 0)
    return [WaterPath(points, Runs.FIRST_IN)] if len(points) > 1 else []


def pools(standing: Sequence[Any]) -> tuple[Pool, ...]:
    """Where enough water stands to be marked, of sim.standing.Standing, fullest first."""
    told = [one for one in standing if not isfinite(one.level) or one.depth >= LEAST_DEPTH]
    rows = []
    for one in told[:MOST_POOLS]:
        deep = f"{one.depth * 1000:.0f} mm deep" if isfinite(one.level) else "with no way out"
        rows.append(Pool(np.asarray(one.point, dtype=float), f"water stands {deep}"))
    return tuple(rows)
