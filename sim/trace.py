"""Follow drops to their fates; walk some of them again with every point kept."""

# mypy: allow-untyped-defs, no-check-untyped-defs
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.charts import Charts
from sim.compiled import compiled, is_compiled
from sim.divide import key_of, stream_of
from sim.errors import TraceError
from sim.events import Event
from sim.fates import Fate
from sim.legs import MOST_LEGS, Departure
from sim.pointers import pointer
from sim.rain import Drops
from sim.tables import hot
from sim.threads import RUN, in_threads
from sim.tree import DEPTH
from sim.walk import walk

HANDED_OVER = 4
"""Runs that one thread gets at a time: to hand one over costs about as much as to follow its drops."""

__all__ = ["Paths", "Trace", "is_compiled", "record", "trace"]


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """Where each drop ended, in the order of the drops.

    fate (n,) int8 of `Fate`; end (n, 3) [m]: last point, for drops that leave the one under the rim
    they left that is as deep, along the drive, as the model's deepest corner; end_chart (n,) int32:
    chart last run on; parts_touched (n,) uint64: bit i for part i; hops (n,) int32: straight runs,
    slides and falls; falls (n,) int32.
    """

    fate: NDArray[np.int8]
    end: NDArray[np.float64]
    end_chart: NDArray[np.int32]
    parts_touched: NDArray[np.uint64]
    hops: NDArray[np.int32]
    falls: NDArray[np.int32]

    def touched(self, part: int) -> NDArray[np.bool_]:
        """Which drops ran on the part with this index: (n,)."""
        return (self.parts_touched >> np.uint64(part)) & np.uint64(1) == 1


@dataclass(frozen=True, slots=True, eq=False)
class Paths:
    """Whole paths of k drops, one after the other.

    start (k + 1,) int64: path i has points start[i] to start[i + 1]; points (p, 3) [m]; chart (p,)
    int32: the chart that the piece which begins here runs on; kind (p,) int8 of `Event`.
    """

    start: NDArray[np.int64]
    points: NDArray[np.float64]
    chart: NDArray[np.int32]
    kind: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.start) - 1

    def some(self, chosen: NDArray[np.integer]) -> Paths:
        """Some of the paths, by their numbers (n,)."""
        counts = np.diff(self.start)[chosen]
        start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        rows = np.arange(start[-1]) + np.repeat(self.start[chosen] - start[:-1], counts)
        return Paths(start, self.points[rows], self.chart[rows], self.kind[rows])

    @staticmethod
    def joined(paths: Sequence[Paths]) -> Paths:
        """Some paths one after the other; at least one."""
        counts = np.concatenate([np.diff(some.start) for some in paths])
        return Paths(
            np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
            np.concatenate([some.points for some in paths]),
            np.concatenate([some.chart for some in paths]),
            np.concatenate([some.kind for some in paths]),
        )


def trace(charts: Charts, drops: Drops, *, threads: int | None = None) -> Trace:
    """Follow every drop to its fate. The same bytes whatever the number of threads, and for each drop
    whatever the others."""
    n = len(drops)
    # Drops that land close together share what they look up; shuffled runs keep all threads busy.
    order = np.argsort(drops.chart, kind="stable")
    result = _none_yet(n)
    for _ in _legs(charts, _Moving.of(drops), order, result, threads, shuffled=True):
        pass
    result.end[:] += charts.surface.centre
    if (result.fate == Fate.MOVING).any():
        raise TraceError(f"every drop must end. Got {(result.fate == Fate.MOVING).sum()} moving")
    return result


def record(
    charts: Charts, drops: Drops, rows: NDArray[np.integer], *, threads: int | None = None
) -> Paths:
    """The same walks again for some rows of `drops` (k,), with every point kept."""
    rows = np.atleast_1d(np.asarray(rows)).astype(np.int64)
    known = rows.size == 0 or (rows.min() >= 0 and rows.max() < len(drops))
    require(bool(known), "rows", rows, f"0 to {len(drops) - 1}", SceneError)
    moving, result = _Moving.of(drops, rows), _none_yet(len(rows))
    legs: list[tuple[NDArray[np.int64], Paths, Event]] = []
    for leg, counts in _legs(charts, moving, np.arange(len(rows)), result, threads):
        paths = _room_for(counts)
        runs = np.arange((len(leg.rows) + RUN - 1) // RUN)
        # The places that this leg began from: `_legs` has not moved the drops on yet.
        _walk_all(leg.charts, moving, leg.rows, runs, _none_yet(len(rows)), paths, threads)
        legs.append((leg.rows, paths, leg.event))
    joined = _joined(len(rows), legs)
    joined.points[:] += charts.surface.centre
    return joined


@dataclass(slots=True, eq=False)
class _Moving:
    """Drops on their way: chart (n,) int32 and place on it (n, 3), barycentric; number (n,) int64 and
    seed of each, and the key that its luck is drawn from on this leg."""

    chart: NDArray[np.int32]
    where: NDArray[np.float64]
    number: NDArray[np.int64]
    seed: int
    key: np.uint64

    @staticmethod
    def of(drops: Drops, rows: NDArray[np.integer] | slice = slice(None)) -> _Moving:
        # Writable and in one piece whatever the caller has, or the kernel would be compiled once more.
        return _Moving(
            np.array(drops.chart[rows], np.int32),
            np.array(drops.where[rows], np.float64, order="C"),
            np.require(drops.drop[rows], np.int64, ["C", "W"]),
            drops.seed,
            key_of(drops.seed, 0),
        )


def _legs(
    charts: Charts,
    moving: _Moving,
    order: NDArray[np.int64],
    result: Trace,
    threads: int | None,
    *,
    shuffled: bool = False,
) -> Iterator[tuple[Departure, NDArray[np.int64]]]:
    """Walk drops (rows `order` of those moving) leg by leg: each leg, its rows those of all drops, and
    the number of points of its paths. Those held go on from a new place, where there is one."""
    first = Departure(charts, order, moving.chart[order], moving.where[order], Event.ENDED)
    waiting = [first]
    for number in range(MOST_LEGS):
        if not waiting:
            break
        onward: list[Departure] = []
        moving.key = key_of(moving.seed, number)
        for leg in waiting:
            moving.chart[leg.rows], moving.where[leg.rows] = leg.chart, leg.where
            runs = np.arange((len(leg.rows) + RUN - 1) // RUN)
            if shuffled:
                runs = np.random.default_rng(0).permutation(runs)
            nothing = _room_for(order[:0])
            counts = _walk_all(leg.charts, moving, leg.rows, runs, result, nothing, threads)
            yield leg, counts
            onward += _departures(leg, result)
        waiting = onward


def _departures(leg: Departure, result: Trace) -> list[Departure]:
    """How the drops go on that a leg held; rows are those of all drops. Those that leave are shed."""
    held = leg.rows[result.fate[leg.rows] == Fate.HELD]
    if leg.charts.onward is None or not len(held):
        return []
    found = []
    for next_leg in leg.charts.onward.goes_on(leg.charts, result.end_chart[held], result.end[held]):
        rows, stays = held[next_leg.rows], next_leg.chart >= 0
        result.fate[rows[~stays]] = Fate.SHED
        if stays.any():
            found.append(
                replace(
                    next_leg, rows=rows[stays], chart=next_leg.chart[stays],
                    where=next_leg.where[stays],
                )
            )  # fmt: skip
    return found


def _none_yet(n: int) -> Trace:
    return Trace(
        np.zeros(n, np.int8), np.zeros((n, 3)), np.zeros(n, np.int32), np.zeros(n, np.uint64),
        np.zeros(n, np.int32), np.zeros(n, np.int32),
    )  # fmt: skip


def _room_for(counts: NDArray[np.int64]) -> Paths:
    start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    size = int(start[-1])
    return Paths(start, np.zeros((size, 3)), np.zeros(size, np.int32), np.zeros(size, np.int8))


def _joined(n: int, legs: list[tuple[NDArray[np.int64], Paths, Event]]) -> Paths:
    """The paths of n drops from those of their legs, one behind the other.

    legs: rows, paths, and what ended the leg before.
    """
    count = np.zeros(n, np.int64)
    for rows, paths, _ in legs:
        count[rows] += np.diff(paths.start)
    whole = _room_for(count)
    at = whole.start[:-1].copy()
    for number, (rows, paths, held_by) in enumerate(legs):
        _put(
            rows, at, paths.start, paths.points, paths.chart, paths.kind,
            whole.points, whole.chart, whole.kind,
        )  # fmt: skip
        if number:
            whole.kind[at[rows] - 1] = held_by
            whole.kind[at[rows]] = Event.CROSSED
        at[rows] += np.diff(paths.start)
    return whole


def _walk_all(
    charts: Charts,
    moving: _Moving,
    order: NDArray[np.int64],
    runs: NDArray[np.int64],
    result: Trace,
    paths: Paths,
    threads: int | None,
) -> NDArray[np.int64]:
    counts = np.zeros(len(order), np.int64)

    def work(first: int, last: int) -> None:
        _walk_runs(
            charts.tables, moving.chart, moving.where, moving.key, moving.number, order,
            runs[first:last], result.fate, result.end, result.end_chart, result.parts_touched,
            result.hops, result.falls, counts, paths.start, paths.points, paths.chart,
            paths.kind,
        )  # fmt: skip

    in_threads(work, len(runs), threads, least=HANDED_OVER)
    return counts


@compiled
def _walk_runs(
    tables, chart, where, key, number, order, runs, fate, end, end_chart, touched, hops, falls,
    counts, start, points, charts, kinds,
):  # fmt: skip
    room = np.empty(DEPTH, np.int32)
    quick, stack = hot(tables), pointer(room)
    keep = len(kinds) > 0
    for r in range(len(runs)):
        first = runs[r] * RUN
        for k in range(first, min(first + RUN, len(order))):
            i = order[k]
            at = start[k] if keep else 0
            got = walk(
                quick, stack, chart[i], where[i, 0], where[i, 1], where[i, 2],
                stream_of(key, number[i]), keep, at, pointer(points), pointer(charts), pointer(kinds),
            )  # fmt: skip
            fate[i] = got[0]
            end[i, 0], end[i, 1], end[i, 2] = got[1], got[2], got[3]
            end_chart[i] = got[4]
            touched[i] |= got[5]
            hops[i] += got[6]
            falls[i] += got[7]
            counts[k] = got[8]
    # Named here so that it outlives the pointer to it.
    room[0] = 0


@compiled
def _put(rows, at, start, points, charts, kinds, to_points, to_charts, to_kinds):
    """Copy the paths of a leg, for these rows of the drops, to where each drop's path goes on."""
    for i in range(len(rows)):
        to = at[rows[i]]
        for k in range(start[i], start[i + 1]):
            to_points[to, 0], to_points[to, 1], to_points[to, 2] = (
                points[k, 0],
                points[k, 1],
                points[k, 2],
            )
            to_charts[to] = charts[k]
            to_kinds[to] = kinds[k]
            to += 1
