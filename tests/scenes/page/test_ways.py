"""The water of a page against the water that was traced."""

from __future__ import annotations

import numpy as np

from meshes.parts import Role
from scenes.page.ways import LATE, MOST_OF_A_LEAK, ROUNDS, STRAY, Ways
from scenes.run import Result, stage_of
from sim.fates import Fate
from sim.passing import passing_times
from sim.shares import evenly
from sim.storm import film_on
from tests.scenes.page.shown_once import leaking


def test_every_traced_point_lies_on_the_shown_way_at_its_time() -> None:
    """Two computations: where a drop is on the shown way, and the traced point itself. Each round leaves
    points out that lie within STRAY of the chord and are late by LATE at most, so all rounds together
    stray by ROUNDS times that."""
    result = leaking()
    paths = result.paths
    time = passing_times(paths, film_on(result.charts, result.drops))
    ways = Ways.of(result, stage_of(result, water=False))
    long = np.flatnonzero((np.diff(paths.start) > 1) & shown_of(result))
    assert len(ways.start) - 1 == len(long) > 200
    for way, path in enumerate(long):
        shown = slice(ways.start[way], ways.start[way + 1])
        own, when = ways.points[shown], ways.time[shown]
        for row in range(paths.start[path], paths.start[path + 1]):
            if time[row] < when[0]:
                continue  # on the stack, where it is cut away
            near = np.flatnonzero((when[1:] >= time[row] - ROUNDS * LATE)
                                  & (when[:-1] <= time[row] + ROUNDS * LATE))  # fmt: skip
            off = min(_off(paths.points[row], own[k : k + 2]) for k in near)
            assert off <= ROUNDS * STRAY + 1e-9


def shown_of(result: Result) -> np.ndarray:
    """(k,) which kept paths a page shows: those of no leak, and some of each."""
    shown = result.leak_of == 0
    for number in set(result.leak_of.tolist()) - {0}:
        rows = np.flatnonzero(result.leak_of == number)
        shown[rows[evenly(len(rows), MOST_OF_A_LEAK)]] = True
    return shown


def _off(point: np.ndarray, ends: np.ndarray) -> float:
    """From a point to a stretch [m]."""
    along = ends[1] - ends[0]
    square = float(along @ along)
    share = float(np.clip((point - ends[0]) @ along / square, 0, 1)) if square else 0.0
    return float(np.linalg.norm(point - ends[0] - share * along))


def test_ways_are_fewer_points_and_keep_fates_and_leaks() -> None:
    result = leaking()
    ways = Ways.of(result, stage_of(result, water=False))
    assert len(ways.points) < 0.9 * len(result.paths.points)
    assert ways.start[-1] == len(ways.points) == len(ways.time)
    assert (np.diff(ways.start) >= 2).all()
    fates = result.trace.fate[result.rows]
    behind = np.isin(fates, (Fate.UNDERLAY, Fate.INSIDE))
    gets_in = ways.enters < ways.start[1:]
    assert gets_in.sum() == (behind & shown_of(result)).sum() > 0
    counts = np.bincount(ways.leak)[1:]
    assert counts.max() == MOST_OF_A_LEAK < np.bincount(result.leak_of)[1:].max()
    assert set(ways.leak[gets_in].tolist()) == {leak.id for leak in result.findings.leaks}
    for a, b in zip(ways.start[:-1], ways.start[1:], strict=True):
        assert (np.diff(ways.time[a:b]) >= 0).all()


def test_a_way_gets_in_at_its_leak() -> None:
    """Two computations: the point where each way gets in, and the nearest place of a leak, which is the
    middle of its ways in; leaks of the library's stacks are no broader than 0.15 m from it. Before that
    point nothing is on the underlay."""
    result = leaking()
    ways = Ways.of(result, stage_of(result, water=False))
    places = {leak.id: leak.point for leak in result.findings.leaks}
    for way in np.flatnonzero(ways.leak > 0):
        row = ways.enters[way]
        assert ways.start[way] <= row < ways.start[way + 1]
        assert np.linalg.norm(ways.points[row] - places[int(ways.leak[way])]) < 0.15
        assert not ways.under[ways.start[way] : ways.start[way + 1]].any()


def test_no_water_hangs_where_the_stack_is_cut_away() -> None:
    """Derived: what ran on the part of the stack that is left out begins at the cut."""
    result = leaking()
    stage = stage_of(result, water=False)
    (stack,) = (piece for piece in stage.pieces if piece.role is Role.STACK)
    top = stack.triangles[:, :, 2].max()
    low, high = (getattr(stack.triangles.reshape(-1, 3), end)(axis=0) for end in ("min", "max"))

    def above(points: np.ndarray) -> int:
        inside = ((points[:, :2] > low[:2] - 0.02) & (points[:, :2] < high[:2] + 0.02)).all(axis=1)
        return int((inside & (points[:, 2] > top + 1e-9)).sum())

    assert above(result.paths.points) > 20
    assert above(Ways.of(result, stage).points) == 0
