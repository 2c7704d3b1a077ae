"""The water of a page: kept paths with the time at each point, as few points as the eye needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.run import Result
from scenes.stage import Stage
from sim.entering import entering
from sim.passing import passing_times
from sim.shares import evenly
from sim.storm import film_on

Floats = NDArray[np.float64]

STRAY: Final = 1e-4
"""A point is left out when the path without it passes within 0.1 mm of it [m] ..."""
LATE: Final = 0.01
"""... and its drop within 0.01 s of its time [s]."""
MOST_OF_A_LEAK: Final = 30
"""Paths shown of one leak: results keep more, which would show a small leak as a flood."""
ROUNDS: Final = 4
"""How often every second point is tried."""


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """k paths. start (k + 1,): rows of each; points (n, 3) [m]; time (n,) [s] since the drop landed;
    enters (k,): row of the point where it gets behind the flashings, that after its last for one that does
    not; under (n,): the piece that begins there runs behind a flashing; leak (k,): its leak's number, 0
    for none."""

    start: NDArray[np.int64]
    points: Floats
    time: Floats
    enters: NDArray[np.int64]
    under: NDArray[np.bool_]
    leak: NDArray[np.int32]

    @staticmethod
    def of(result: Result, stage: Stage) -> Ways:
        """The kept paths of a result, without what ran on a part of the stack that the stage has cut
        away."""
        chosen = np.flatnonzero(_few_of_each(result.leak_of))
        leak = result.leak_of[chosen]
        rows = _marked(result, chosen)
        count = len(chosen)
        away = _cut_away(result, stage, rows.points, rows.chart)
        kept = _thinned(rows, ~_leading(away, rows.path))
        start = np.concatenate([[0], np.cumsum(np.bincount(rows.path[kept], minlength=count))])
        long = np.diff(start) > 1
        kept[kept] = long[rows.path[kept]]
        ends = np.cumsum(np.diff(start)[long])
        enters = ends.copy()
        number = np.cumsum(long) - 1
        at = np.flatnonzero(rows.way_in[kept])
        enters[number[rows.path[kept][at]]] = at
        return Ways(
            np.concatenate([[0], ends]), rows.points[kept], rows.time[kept], enters,
            rows.under[kept], leak[long],
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """Points (n, 3) [m] of paths, by their path (n,), with the chart, time [s], whether the piece that
    begins there runs behind a flashing, and whether the path gets in there."""

    path: NDArray[np.int64]
    points: Floats
    chart: NDArray[np.int32]
    time: Floats
    under: NDArray[np.bool_]
    way_in: NDArray[np.bool_]


def _marked(result: Result, chosen: NDArray[np.int64]) -> _Rows:
    """The chosen paths, with a point more where one gets in."""
    paths = result.paths.some(chosen)
    time = passing_times(paths, film_on(result.charts, result.drops))
    how = entering(result.charts, paths, result.trace.fate[result.rows[chosen]])
    path = np.repeat(np.arange(len(chosen)), np.diff(paths.start))
    enters = np.flatnonzero(np.isfinite(how.gets_in))
    after = np.floor(how.gets_in[enters]).astype(np.int64) + 1
    new = np.column_stack([paths.points, time])
    rows = np.insert(new, after, how.there(new)[enters], axis=0)
    under = how.behind & np.isinf(how.gets_in)[path]
    way_in = np.insert(np.zeros(len(path), dtype=bool), after, True)
    return _Rows(
        np.insert(path, after, enters), rows[:, :3], np.insert(paths.chart, after, paths.chart[after - 1]),
        rows[:, 3], np.insert(under, after, under[after - 1]), way_in,
    )  # fmt: skip


def _few_of_each(leak: NDArray[np.int32]) -> NDArray[np.bool_]:
    """(k,) which paths are shown: all that belong to no leak, and of each leak at most MOST_OF_A_LEAK,
    evenly picked."""
    shown = leak == 0
    for number in np.unique(leak[leak > 0]):
        rows = np.flatnonzero(leak == number)
        shown[rows[evenly(len(rows), MOST_OF_A_LEAK)]] = True
    return shown


def _cut_away(
    result: Result, stage: Stage, points: Floats, chart: NDArray[np.integer]
) -> NDArray[np.bool_]:
    """(n,) whether a point is on a part that is cut away there."""
    parts = list(result.assembly)
    away = np.zeros(len(points), dtype=bool)
    for piece in stage.pieces:
        if piece.role is Role.STACK and piece.cut_face:
            level = float(piece.triangles[:, :, 2].max())
            number = next(k for k, part in enumerate(parts) if part.name == piece.name)
            away |= (result.charts.part[chart] == number) & (points[:, 2] > level)
    return away


def _leading(flags: NDArray[np.bool_], path: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Which flags belong to the unbroken run at the beginning of their path."""
    first = np.concatenate([[True], path[1:] != path[:-1]])
    broken = np.cumsum(~flags)
    before = np.where(first, broken - ~flags, 0)
    return flags & (broken - np.maximum.accumulate(before) == 0)


def _thinned(rows: _Rows, kept: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Without points that a straight stretch at even speed passes by anyway; where a path gets in, or
    behind a flashing and out again, it keeps one."""
    kept = kept.copy()
    path, points, time = rows.path, rows.points, rows.time
    fixed = rows.way_in | (rows.under != np.roll(rows.under, 1))
    for turn in range(ROUNDS):
        some = np.flatnonzero(kept)
        if len(some) < 3:
            break
        before, here, after = some[:-2], some[1:-1], some[2:]
        inner = (path[before] == path[here]) & (path[here] == path[after])
        inner &= (np.arange(len(here)) % 2 == turn % 2) & ~fixed[here]
        span = points[after] - points[before]
        long = np.einsum("ij,ij->i", span, span)
        share = np.einsum("ij,ij->i", points[here] - points[before], span)
        share = np.divide(share, long, out=np.zeros_like(share), where=long > 0)
        aside = np.linalg.norm(points[here] - points[before] - share[:, None] * span, axis=1)
        late = np.abs(time[before] + share * (time[after] - time[before]) - time[here])
        gone = inner & (aside < STRAY) & (late < LATE) & (share >= 0) & (share <= 1)
        kept[here[gone]] = False
    return kept
