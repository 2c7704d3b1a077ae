"""Plans: what each edge takes by its direction, polygons moved to their place, and what is refused."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from meshes.errors import PieceError
from meshes.plan import Kind, Plan, kind_of, plan_of, rectangle, regular, round_

SQUARE = ((-0.3, 0.0), (0.3, 0.0), (0.3, 0.6), (-0.3, 0.6))


def normal(angle_deg: float) -> tuple[float, float]:
    """Outward normal at an angle above straight to the right [degrees]."""
    return (cos(radians(angle_deg)), sin(radians(angle_deg)))


def area(plan: Plan) -> float:
    """Gauss's sum [m2]."""
    x, y = np.array(plan.corners).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


@pytest.mark.parametrize(
    ("angle", "kind"),
    [
        (90, Kind.BACK),
        (0.51, Kind.BACK),
        (179.49, Kind.BACK),
        (0.49, Kind.RIGHT),
        (179.51, Kind.LEFT),
        (0, Kind.RIGHT),
        (180, Kind.LEFT),
        (-44.9, Kind.RIGHT),
        (-45, Kind.RIGHT),
        (-45.1, Kind.FRONT),
        (-90, Kind.FRONT),
        (-134.9, Kind.FRONT),
        (-135, Kind.LEFT),
        (-135.1, Kind.LEFT),
    ],
)
def test_what_an_edge_takes_at_each_limit(angle: float, kind: Kind) -> None:
    """The project's own rule: up the slope by half a degree or more a back, within 45 degrees of
    straight down it a front (at 45 itself a side), else the side that it looks to."""
    assert kind_of(normal(angle)) is kind


@pytest.mark.parametrize("quarter", range(-8, 9))
def test_a_diamond_has_two_sides_and_two_backs_at_every_turn(quarter: int) -> None:
    """Exact geometry: at 45 degrees and every quarter turn more, rounding makes no front of a side."""
    kinds = sorted(edge.kind for edge in rectangle(0.6, 0.6, pi / 4 + quarter * pi / 2).edges)
    assert kinds == [Kind.BACK, Kind.BACK, Kind.LEFT, Kind.RIGHT]


@given(angle=st.floats(-180, 180))
@settings(derandomize=True, phases=(Phase.explicit, Phase.generate))
def test_kinds_mirror(angle: float) -> None:
    """Invariance: mirrored in the fall line, left and right change places and nothing else does."""
    x, y = normal(angle)
    other = {Kind.LEFT: Kind.RIGHT, Kind.RIGHT: Kind.LEFT}
    here = kind_of((x, y))
    if abs(x) > 1e-12:
        assert kind_of((-x, y)) is other.get(here, here)


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("way", [1, -1])
def test_points_in_any_order_make_the_same_ring(first: int, way: int) -> None:
    """Invariance: whichever corner is first, and whichever way round, the same corners follow."""
    rows = [(x + 3.1, y - 2.4) for x, y in np.roll(SQUARE, first, axis=0)[::way].tolist()]
    plan = plan_of(rows)
    assert sorted(plan.corners) == sorted(SQUARE)
    assert area(plan) == pytest.approx(0.36)


@pytest.mark.parametrize("turn_deg", [0, 17, 45, 90, 133, 270, 359])
def test_a_plan_stands_on_its_place_with_its_sizes_kept(turn_deg: float) -> None:
    """Exact geometry: lowest on y = 0, middle on x = 0; the bounds of a turned rectangle are
    w |cos| + d |sin| and w |sin| + d |cos|; area and edges are kept."""
    turn = radians(turn_deg)
    plan = rectangle(0.8, 0.5, turn)
    c, s = abs(cos(turn)), abs(sin(turn))
    assert plan.front == 0
    assert plan.left == pytest.approx(-plan.right, abs=1e-12)
    assert plan.right - plan.left == pytest.approx(0.8 * c + 0.5 * s, abs=1e-11)
    assert plan.back == pytest.approx(0.8 * s + 0.5 * c, abs=1e-11)
    assert area(plan) == pytest.approx(0.4)
    assert sorted(round(edge.length, 9) for edge in plan.edges) == [0.5, 0.5, 0.8, 0.8]


@pytest.mark.parametrize("sides", [3, 4, 7, 8, 64])
def test_a_regular_plan(sides: int) -> None:
    """Exact geometry: every flat is across/2 from the middle, one faces straight down the slope, every
    corner turns 360 degrees over the number of sides, and the area is n a^2 tan(pi/n) / 4."""
    plan = regular(sides, 0.5)
    middle = np.mean(plan.corners, axis=0)
    for edge in plan.edges:
        assert (np.array(edge.start) - middle) @ np.array(edge.normal) == pytest.approx(0.25)
    assert any(edge.normal[1] == pytest.approx(-1) for edge in plan.edges)
    turns = [plan.turn_at(number) for number in range(sides)]
    assert_allclose(turns, 2 * pi / sides, rtol=1e-9)
    assert area(plan) == pytest.approx(sides * 0.25 * tan(pi / sides) / 4)


@pytest.mark.parametrize("facets", [8, 16, 32, 64])
def test_a_round_plan_has_the_area_of_its_circle_and_a_corner_up_the_slope(facets: int) -> None:
    """Exact geometry: the area is that of the circle; water splits at a corner at the top."""
    plan = round_(0.3, facets)
    assert area(plan) == pytest.approx(pi * 0.15**2)
    top = max(plan.corners, key=lambda corner: corner[1])
    assert top[0] == pytest.approx(0, abs=1e-12)
    assert sum(corner[1] > top[1] - 1e-9 for corner in plan.corners) == 1


def test_a_round_plan_converges_to_its_circle_at_the_second_order() -> None:
    """Exact geometry: corners stand off the circle by a share that falls with the square of the
    number of facets: twice the facets, a quarter of it (within 5 %)."""
    off = []
    for facets in (8, 16, 32, 64):
        plan = round_(0.3, facets)
        x, y = np.mean(plan.corners, axis=0)
        off.append(max(hypot(a - x, b - y) for a, b in plan.corners) - 0.15)
    assert_allclose(np.array(off[:-1]) / off[1:], 4, rtol=0.05)


@pytest.mark.parametrize(
    ("points", "says"),
    [
        ([(0, 0), (1, 0)], "three or more corners"),
        ([(0, 0), (1, 0), (1, 1), (0.5, 0.2)], "convex"),
        ([(0, 0), (0.5, 0), (1, 0), (1, 1), (0, 1)], "convex"),
        ([(0, 0), (1, 1), (1, 0), (0, 1)], "convex|edges that cross"),
        ([(0, 0), (0.6, 0), (0.6, 0.005), (0, 0.6)], "10 mm or longer"),
        ([(0, 0), (0.6, 0), (0.6, 0.07), (0, 0.07)], "80 mm to 6 m across"),
        ([(0, 0), (6.1, 0), (6.1, 1), (0, 1)], "80 mm to 6 m across"),
        ([(0, 0), (1, 0), (1, float("nan")), (0, 1)], "finite points"),
        ([(0, 0), (1, 0), (1, float("inf")), (0, 1)], "finite points"),
        ([(0, 0), (1, 0), (0, 0.7)], "45 degrees or more"),
    ],
)
def test_what_is_no_plan_is_refused_in_one_line(
    points: list[tuple[float, float]], says: str
) -> None:
    """The project's own limits, each with its rule in the message."""
    with pytest.raises(PieceError, match=says) as caught:
        plan_of(points)
    assert "\n" not in str(caught.value)


def test_a_star_that_goes_round_twice_is_refused() -> None:
    """A pentagram turns left at every corner, but twice round."""
    star = [(sin(4 * pi * k / 5), cos(4 * pi * k / 5)) for k in range(5)]
    with pytest.raises(PieceError, match="once round"):
        plan_of(star)


@pytest.mark.parametrize("facets", [7, 6, 9, 66])
def test_a_round_plan_takes_an_even_number_of_facets(facets: int) -> None:
    """8 to 64, even, so that a corner can be straight up the slope and one straight down it."""
    with pytest.raises(PieceError, match="even number, 8 to 64"):
        round_(0.3, facets)


def test_square_to_the_slope() -> None:
    """Quarter turns leave a rectangle square to the slope; a degree does not."""
    assert all(rectangle(0.6, 0.4, quarter * pi / 2).square_to_slope for quarter in range(-4, 5))
    assert not rectangle(0.6, 0.4, radians(1)).square_to_slope
    assert not regular(8, 0.5).square_to_slope


def test_an_edge_that_all_but_runs_level_does() -> None:
    """Derived: a rectangle turned by a hundred-thousandth of a radian is square to the slope, and one
    turned by a tenth of a degree is not; what is moved is under a tenth of a millimetre."""
    square, hardly = rectangle(0.6, 0.4), rectangle(0.6, 0.4, 1e-5)
    assert hardly.square_to_slope
    assert np.abs(np.array(hardly.corners) - np.array(square.corners)).max() < 1e-4
    assert not rectangle(0.6, 0.4, radians(0.1)).square_to_slope
