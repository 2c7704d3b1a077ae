"""The water of a stage: which recorded paths are shown, and where water stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.fates import Fate

Floats = NDArray[np.float64]

MOST_PATHS = 320
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


@dataclass(frozen=True, slots=True, eq=False)
class WaterPath:
    """One drop's way, (k, 3) [m], k >= 2; behind: it reached the underlay or the inside; deciding:
    it is the one by which water first gets in."""

    points: Floats
    behind: bool
    deciding: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Pool:
    """Water that stands: point (3,) [m] in it; words at it."""

    point: Floats
    words: str


def read_paths(paths: RecordedPaths, fates: NDArray[np.integer] | None) -> list[WaterPath]:
    """At most MOST_PATHS of them, evenly picked; those that get behind come last, on top."""
    count = len(paths.start) - 1
    if fates is not None:
        require(len(fates) == count, "fates", len(fates), f"one a path, {count}", SceneError)
    ways = []
    for path, (first, stop) in enumerate(pairwise(paths.start)):
        points = np.asarray(paths.points[first:stop], dtype=float)
        lost = fates is not None and int(fates[path]) in (Fate.UNDERLAY, Fate.INSIDE)
        if len(points) > 1:
            ways.append(WaterPath(points, lost))
    behind = _evenly([way for way in ways if way.behind], MOST_BEHIND)
    outside = _evenly([way for way in ways if not way.behind], MOST_PATHS - len(behind))
    return outside + behind


def _evenly(ways: list[WaterPath], most: int) -> list[WaterPath]:
    if len(ways) <= most:
        return ways
    return [ways[int(k)] for k in np.linspace(0, len(ways) - 1, most)]


def read_deciding(paths: RecordedPaths) -> list[WaterPath]:
    """The first of recorded paths, marked as deciding; nothing where it has no length."""
    points = np.asarray(paths.points[paths.start[0] : paths.start[1]], dtype=float)
    return [WaterPath(points, behind=True, deciding=True)] if len(points) > 1 else []


def pools(standing: Sequence[Any]) -> tuple[Pool, ...]:
    """Where enough water stands to be marked, of sim.standing.Standing, fullest first."""
    told = [one for one in standing if not isfinite(one.level) or one.depth >= LEAST_DEPTH]
    rows = []
    for one in told[:MOST_POOLS]:
        deep = f"{one.depth * 1000:.0f} mm deep" if isfinite(one.level) else "with no way out"
        rows.append(Pool(np.asarray(one.point, dtype=float), f"water stands {deep}"))
    return tuple(rows)
