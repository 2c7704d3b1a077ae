"""Where drops are at any time, on ways for which it is known exactly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from scenes.run import stage_of
from scenes.window.water import GOLDEN, SHORTEST, Running, Way, _below, ways_of
from tests.scenes.window.leaking import leaking


def _straight(seconds: float, *, enters: float = np.inf) -> Way:
    """One metre along x in so long."""
    points = np.array([[0.0, 0, 0], [1.0, 0, 0]])
    return Way(0, points, np.array([0.0, seconds]), enters, 0)


def test_a_way_is_parted_where_it_gets_in() -> None:
    """Exact: a quarter of the way along after a quarter of its time; drops are behind from then on."""
    way = _straight(2.0, enters=0.5)
    assert way.coming.tolist() == [[0, 0, 0], [0.25, 0, 0]]
    assert way.within.tolist() == [[0.25, 0, 0], [1, 0, 0]]
    running = Running.of([way])
    assert [running.at(time)[1].tolist() for time in (0.4, 0.6)] == [[False], [True]]
    assert len(_straight(2.0, enters=0.0).coming) == 0


def test_a_drop_goes_at_its_speed_and_begins_anew() -> None:
    """Exact: one way of 2 s: half-way after 1 s, at the start again after 2 s."""
    running = Running.of([_straight(2.0)])
    for time, place in ((0.0, 0.0), (0.5, 0.25), (1.0, 0.5), (1.99, 0.995), (2.0, 0.0), (7.0, 0.5)):
        at, behind = running.at(time)
        assert at == pytest.approx(np.array([[place, 0, 0]]), abs=1e-9)
        assert behind.tolist() == [False]


def test_more_drops_run_on_a_longer_way() -> None:
    """Exact: rounds are as long as the middle one of 2, 2 and 6 s: three drops on the last, 2 m/6 apart
    in place; each way begins at its own share of a round."""
    running = Running.of([_straight(2.0), _straight(2.0), _straight(6.0, enters=0.0)])
    at, behind = running.at(0.7)
    assert behind.tolist() == [False, False, True, True, True]
    expected = [np.mod(0.7 - np.mod(GOLDEN * k, 1) * 2.0, 2.0) for k in range(3)]
    places = [expected[0] / 2, expected[1] / 2, *((expected[2] + 2 * k) / 6 for k in range(3))]
    assert at[:, 0] == pytest.approx(places)


def test_drops_of_one_leak_alone() -> None:
    """Exact: of what gets in, the drops of the second leak; what stays outside runs on."""
    ways = [_straight(2.0), *(replace(_straight(2.0, enters=0.0), leak=k) for k in (1, 2, 2))]
    running = Running.of(ways)
    assert [int(running.at(0.3, only=leak)[1].sum()) for leak in (0, 1, 2)] == [3, 1, 2]
    assert [len(running.at(0.3, only=leak)[0]) for leak in (0, 1, 2)] == [4, 2, 3]


def test_a_short_way_rests_between_its_drops() -> None:
    """Exact: a way of 0.1 s has a drop for a fifth of a round, which is SHORTEST long."""
    running = Running.of([_straight(0.1)])
    assert len(running.at(0.09)[0]) == 1
    assert len(running.at(0.11)[0]) == 0
    assert len(running.at(SHORTEST)[0]) == 1


def test_no_way_no_drop() -> None:
    """Exact: an empty list; and a way that takes no time is at its end."""
    assert len(Running.of([]).at(3.0)[0]) == 0
    assert Running.of([_straight(0.0)]).at(0.0)[0].tolist() == [[1.0, 0.0, 0.0]]


def test_what_ran_on_a_part_cut_away_is_left_out() -> None:
    """Exact: down a stack (part 3) from 2 m to 0, cut at 0.5 m: it begins there, a quarter above the end
    of the stretch, and in time with it; what never ran there stays as it is."""
    points = np.array([[0.0, 0, 3.0], [0, 0, 2.0], [0, 0, 0], [1, 0, 0]])
    time = np.array([0.0, 1.0, 5.0, 6.0])
    kept, when, part = _below(points, time, np.array([3, 3, 1, 1]), 3, 0.5)
    assert kept.tolist() == [[0, 0, 0.5], [0, 0, 0], [1, 0, 0]]
    assert when.tolist() == [4.0, 5.0, 6.0]
    assert part.tolist() == [3, 1, 1]
    assert len(_below(points, time, np.array([1, 1, 1, 1]), 3, 0.5)[0]) == 4
    assert len(_below(points[:2], time[:2], np.array([3, 3]), 3, 0.5)[0]) == 0


def test_the_kept_paths_of_a_result() -> None:
    """Derived: each is a kept path, its drops end where that does, later than it began, and it says
    which leak it is of."""
    result = leaking()
    ways = ways_of(result, stage_of(result))
    assert len(ways) > 300
    for way in ways:
        last = result.paths.points[result.paths.start[way.number + 1] - 1]
        assert way.points[-1] == pytest.approx(last)
        assert (np.diff(way.time) >= 0).all()
        assert way.leak == result.leak_of[way.number]
        assert way.behind == (way.leak > 0)
