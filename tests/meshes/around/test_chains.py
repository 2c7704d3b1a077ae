"""Runs of edges that take one piece: in order, none lost, cut at a ridge."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi, radians

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.around.chains import Chains, chains_of
from meshes.errors import PieceError
from meshes.plan import Kind, Plan, plan_of, rectangle, regular, round_
from tests.meshes.around.details_around import polygons

FRONT, LEFT, RIGHT, BACK = Kind.FRONT, Kind.LEFT, Kind.RIGHT, Kind.BACK


def kinds(chains: Chains) -> tuple[list[Kind], Kind | None]:
    """Those below from left to right, and the one behind."""
    return [run.kind for run in chains.under], None if chains.back is None else chains.back.kind


def length(points: tuple[tuple[float, float], ...]) -> float:
    """Along a run [m]."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points))


@pytest.mark.parametrize(
    ("plan", "under"),
    [
        (rectangle(0.6, 0.4), [LEFT, FRONT, RIGHT]),
        (rectangle(0.6, 0.4, radians(0.4)), [LEFT, FRONT, RIGHT]),
        (rectangle(0.6, 0.4, radians(10)), [LEFT, FRONT]),
        (rectangle(0.6, 0.4, radians(-10)), [FRONT, RIGHT]),
        (rectangle(0.6, 0.6, radians(45)), [LEFT, RIGHT]),
        (rectangle(0.6, 0.6, radians(44)), [LEFT, FRONT]),
        (rectangle(0.6, 0.6, radians(46)), [FRONT, RIGHT]),
        (regular(8, 0.6), [LEFT, FRONT, RIGHT]),
        (round_(0.3, 16), [LEFT, FRONT, RIGHT]),
        (regular(3, 0.5), [FRONT]),
        (regular(3, 0.5, pi), [LEFT, RIGHT]),
    ],
)
def test_what_goes_round_a_plan(plan: Plan, under: list[Kind]) -> None:
    """Derived by hand from the direction of each edge's normal."""
    assert kinds(chains_of(plan)) == (under, BACK)


@settings(max_examples=60, deadline=None, derandomize=True, phases=(Phase.explicit, Phase.generate))
@given(points=polygons(), turn=st.floats(0, 6.28))
def test_every_edge_is_in_one_run_and_the_runs_close(
    points: tuple[tuple[float, float], ...], turn: float
) -> None:
    """Property: the runs' lengths add up to the outline's, each begins where the last ended, and only
    neighbours with different pieces meet."""
    plan = plan_of(points, turn)
    chains = chains_of(plan)
    assert chains.back is not None
    runs = [*chains.under, chains.back]
    outline = sum(edge.length for edge in plan.edges)
    assert sum(length(run.points) for run in runs) == pytest.approx(outline)
    for run, after in zip(runs, [*runs[1:], runs[0]], strict=True):
        assert run.end == after.start
        assert run.kind is not after.kind
    assert len(chains.neighbours()) == len(runs)
    assert [run.kind for run in runs] == sorted(
        (run.kind for run in runs), key=[LEFT, FRONT, RIGHT, BACK].index
    )


def test_a_ridge_leaves_no_back_and_runs_go_on_past_it() -> None:
    """Exact: cut 100 mm past a ridge in the middle of a 600 mm stack."""
    chains = chains_of(rectangle(0.6, 0.6), 0.3, 0.1)
    assert kinds(chains) == ([LEFT, FRONT, RIGHT], None)
    left, _, right = chains.under
    assert left.points == ((-0.3, 0.4), (-0.3, 0.3), (-0.3, 0.0))
    assert right.points == ((0.3, 0.0), (0.3, 0.3), (0.3, 0.4))


def test_past_a_ridge_an_edge_goes_with_the_side_it_continues() -> None:
    """Exact: a diamond with its ridge through the middle: the edges beyond face up the slope, and
    belong to the sides."""
    plan = rectangle(0.6, 0.6, radians(45))
    chains = chains_of(plan, plan.back / 2, 0.1)
    assert kinds(chains) == ([LEFT, RIGHT], None)
    assert chains.under[0].start[1] == pytest.approx(plan.back / 2 + 0.1)


@pytest.mark.parametrize("beyond", [0.005, 0.015])
def test_no_sliver_is_left_at_a_corner_near_a_ridge(beyond: float) -> None:
    """The project's own rule: a run is not cut within 20 mm of a corner, but at it."""
    plan = plan_of([(-0.3, 0), (0.3, 0), (0.3, 0.3 + beyond), (0.2, 0.6), (-0.3, 0.6)])
    for over in (0.0, 0.1):
        right = chains_of(plan, 0.3, over).under[-1]
        assert all(hypot(b[0] - a[0], b[1] - a[1]) > 0.019 for a, b in pairwise(right.points))


def test_runs_end_short_of_the_apron_beyond_a_ridge() -> None:
    """A ridge 60 mm before the back: sides that ran on by 100 mm would go round the corner."""
    left = chains_of(rectangle(0.6, 0.6), 0.54, 0.1).under[0]
    assert left.kind is LEFT
    assert left.start == pytest.approx((-0.3, 0.58))


@pytest.mark.parametrize(
    ("plan", "ridge", "says"),
    [
        (rectangle(0.6, 0.6), 0.57, "40 mm or more before the apron beyond it"),
        (rectangle(0.6, 0.4, radians(20)), 0.3, "where the stack is widest"),
        (round_(0.3, 16), 0.2, "where the stack is widest"),
    ],
)
def test_a_ridge_that_leaves_water_behind_the_stack_is_refused(
    plan: Plan, ridge: float, says: str
) -> None:
    """Below the ridge no edge may face up the slope: water would run against the stack."""
    with pytest.raises(PieceError, match=says) as caught:
        chains_of(plan, ridge, 0.1)
    assert "\n" not in str(caught.value)
