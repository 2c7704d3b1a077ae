"""Drain lines known exactly: of a cone, of pyramids, and round a round stack on a plane."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.events import Event
from sim.fates import Fate
from sim.rain import place, rain
from sim.trace import Trace, record, trace
from tests.sim.shapes import DOWN, pitched, prism, regular, sheet

Points = NDArray[np.float64]
FACETS = (8, 16, 32, 64)
EDGE = 3e-4  # [m] a drop leaves a rim a stand-off above it


def corners(sides: int, radius: float, first: float = 0.0) -> Points:
    """Corners (sides, 2) of a regular polygon in a circle of that radius."""
    return regular(sides, radius * np.cos(np.pi / sides), first)


def order_of(errors: list[float], counts: tuple[int, ...] = FACETS) -> float:
    """Slope of the errors over the counts of facets, both in logarithms, turned to a power of 1/n."""
    return float(-np.polyfit(np.log(counts), np.log(errors), 1)[0])


def cone(sides: int, *, radius: float = 2.0, height: float = 1.5) -> Part:
    """A roof of so many triangles from an apex over the origin down to z = 0."""
    base = np.column_stack([corners(sides, radius), np.zeros(sides)])
    faces = np.array([(k, (k + 1) % sides, sides) for k in range(sides)])
    return Part("roof", Role.COVERING, np.vstack([base, [0.0, 0.0, height]]), faces)


def followed(part: Part, starts: Points) -> Trace:
    """Drops let go over places in plan (k, 2) on one part."""
    charts = Charts.of(Assembly((part,)))
    points = np.column_stack([starts, np.full(len(starts), 9.0)])
    drops = place(charts, points, DOWN)
    assert len(drops) == len(starts)
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    return got


def on_circle(count: int, radius: float) -> Points:
    """Places at angles with no pattern, so that none is a facet's own."""
    turn = 2 * np.pi * (((np.arange(count) + 0.37) * 0.6180339887) % 1.0)
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize("sides", FACETS)
def test_on_a_faceted_cone_a_drop_runs_square_to_its_own_eaves(sides: int) -> None:
    """Derived: a facet's fall line is square to its base line, so a drop at an angle a from the
    facet's middle keeps its distance r sin(a) from that middle line down to the eaves, R cos(pi / n)
    from the axis."""
    starts = on_circle(400, 0.5)
    got = followed(cone(sides), starts)
    turn = np.arctan2(starts[:, 1], starts[:, 0])
    middle = (np.floor(turn / (2 * np.pi / sides)) + 0.5) * 2 * np.pi / sides
    out = np.column_stack([np.cos(middle), np.sin(middle)])
    side = np.column_stack([-np.sin(middle), np.cos(middle)])
    along = (got.end[:, :2] * out).sum(axis=1)
    assert along == pytest.approx(2.0 * np.cos(np.pi / sides), abs=EDGE)
    assert (got.end[:, :2] * side).sum(axis=1) == pytest.approx(
        0.5 * np.sin(turn - middle), abs=1e-9
    )


def test_drain_lines_of_a_faceted_cone_come_to_the_radial_ones_at_first_order() -> None:
    """Derived: the cone's own line is radial. A facet's fall line leans from it by up to pi / n, so the
    way from r to R goes astray by an angle of up to (pi / n) (1 - r / R) at the eaves, half that on
    average: first order in 1 / n."""
    worst, mean = [], []
    for sides in FACETS:
        starts = on_circle(2000, 0.5)
        got = followed(cone(sides), starts)
        turn = np.arctan2(got.end[:, 1], got.end[:, 0]) - np.arctan2(starts[:, 1], starts[:, 0])
        off = np.abs((turn + np.pi) % (2 * np.pi) - np.pi)
        worst.append(float(off.max()))
        mean.append(float(off.mean()))
        assert worst[-1] == pytest.approx(np.pi / sides * 0.75, rel=0.05)
        assert mean[-1] == pytest.approx(np.pi / sides * 0.375, rel=0.05)
    assert order_of(worst) == pytest.approx(1.0, abs=0.03)
    assert order_of(mean) == pytest.approx(1.0, abs=0.03)


def pyramid(plan: Points, apex: Points) -> Part:
    """Triangles from an apex (3,) to the sides of a convex plan (k, 2), anticlockwise, at z = 0."""
    count = len(plan)
    base = np.column_stack([plan, np.zeros(count)])
    faces = np.array([(k, (k + 1) % count, count) for k in range(count)])
    return Part("roof", Role.COVERING, np.vstack([base, apex]), faces)


def drained(plan: Points, apex: Points, start: Points) -> tuple[int, Points]:
    """The side that a drop leaves a pyramid over, and where (2,): from its planes alone.

    The roof at a place is its lowest plane; on it water runs square to that plane's base line, until
    another plane is the lower one, or the base is reached.
    """
    along = np.roll(plan, -1, axis=0) - plan
    out = np.column_stack([along[:, 1], -along[:, 0]]) / np.linalg.norm(along, axis=1)[:, None]
    reach = ((plan - apex[:2]) * out).sum(axis=1)
    fall = out * (apex[2] / reach)[:, None]
    at = start.copy()
    for _ in range(len(plan) + 1):
        height = apex[2] - fall @ (at - apex[:2])
        side = int(height.argmin())
        closing = fall @ out[side] - fall[side] @ out[side]
        ahead = (height - height[side]) / np.where(closing > 1e-12, closing, np.nan)
        ahead[side] = height[side] / np.linalg.norm(fall[side])
        step = int(np.nanargmin(np.where(ahead > 1e-12, ahead, np.nan)))
        at = at + out[side] * (ahead[step] + (1e-10 if step != side else 0.0))
        if step == side:
            return side, at
    raise AssertionError("a drop that does not end")


@pytest.mark.parametrize(
    ("plan", "apex"),
    [
        ([(-2, -1), (2, -1), (2, 1), (-2, 1)], (0.0, 0.0, 1.5)),
        ([(-2, -1), (2, -1), (2, 1), (-2, 1)], (1.2, -0.4, 0.8)),
        ([(-2, -1), (1.5, -1.4), (2.4, 0.3), (0.4, 1.9), (-1.6, 1.1)], (0.3, 0.2, 2.0)),
        ([(-2, -1), (1.5, -1.4), (2.4, 0.3), (0.4, 1.9), (-1.6, 1.1)], (1.9, -0.4, 1.0)),
        ([(0, -2), (3, 2), (-0.5, 0.5)], (0.1, 0.1, 1.0)),
    ],
)
def test_a_pyramid_is_drained_over_the_side_that_its_planes_tell(
    plan: list[tuple[float, float]], apex: tuple[float, float, float]
) -> None:
    """Derived: the roof is the lowest of its planes, each falls square to its own base line; where the
    apex does not stand before a side, water crosses a hip to the next. Worked out from the planes
    alone, without a triangle."""
    base, top = np.array(plan, float), np.array(apex)
    random = np.random.default_rng(5)
    weight = random.dirichlet(np.ones(len(base)), 300)
    starts = top[:2] + (weight @ base - top[:2]) * 0.98
    got = followed(pyramid(base, top), starts)
    due = [drained(base, top, start) for start in starts]
    assert got.end[:, :2] == pytest.approx(np.array([at for _, at in due]), abs=EDGE)
    side = got.end_chart // 2
    assert (side == [number for number, _ in due]).all()


def test_some_of_those_drops_cross_a_hip() -> None:
    """By construction: the test above means something: in the fourth pyramid some drops leave over a
    side that is not that of the face they fell on."""
    plan = np.array([(-2, -1), (1.5, -1.4), (2.4, 0.3), (0.4, 1.9), (-1.6, 1.1)])
    charts = Charts.of(Assembly((pyramid(plan, np.array([1.9, -0.4, 1.0])),)))
    drops = rain(charts, 2000, seed=1, rain_m_s=1e-5)
    got = trace(charts, drops)
    assert 20 < (got.end_chart != drops.chart).sum() < 1980


R = 0.15  # radius of the round stack [m]


def on_a_plane(sides: int, *, turned: bool, pitch_deg: float = 30.0) -> Charts:
    """A prism through a pitched plane; its first corner, or with `turned` the middle of a face,
    looks to +x."""
    return standing(corners(sides, R, np.pi / sides if turned else 0.0), pitch_deg)


def standing(plan: Points, pitch_deg: float) -> Charts:
    """A prism over a plan (k, 2) through a pitched plane."""
    roof = sheet(pitched(pitch_deg), [-1, 1], [-1.5, 1.5])
    return Charts.of(Assembly((roof, prism(plan, -1.0, 1.0))))


def upstream(count: int, reach: float) -> Points:
    """Places (count, 3) over the roof up-slope of the stack, spread evenly over -reach to reach."""
    x = reach * (2 * (np.arange(count) + 0.5) / count - 1)
    return np.column_stack([x, np.full(count, 1.0), np.full(count, 5.0)])


def level_half(sides: int, turned: bool) -> float:
    """Half the breadth of the stack's face that stands level across the slope, nil where none does [m]."""
    return R * float(np.sin(np.pi / sides)) if turned else 0.0


def left_at(charts: Charts, points: Points) -> Points:
    """Where drops leave over the eaves: their x (k,)."""
    got = trace(charts, place(charts, points, DOWN))
    assert (got.fate == Fate.SHED).all()
    assert got.end[:, 1] == pytest.approx(-1.5, abs=EDGE)
    return got.end[:, 0]


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("sides", FACETS)
@pytest.mark.parametrize("pitch_deg", [12.0, 45.0])
def test_water_leaves_a_polygon_at_its_widest_corner(
    sides: int, turned: bool, pitch_deg: float
) -> None:
    """Derived: water that meets the stack runs down its foot line as long as that falls outward, to the
    widest corner, R from the middle, or R cos(pi / n) where a face stands along the slope; from there
    straight down. What passes beside it stays where it is. What comes to a face that stands level
    divides between its ends, b / (a + b) to the one that is a off (four standard errors)."""
    charts = on_a_plane(sides, turned=turned, pitch_deg=pitch_deg)
    wide = R * np.cos(np.pi / sides) if turned else R
    points = upstream(200, 0.3)
    x = left_at(charts, points)
    meets = np.abs(points[:, 0]) < wide
    assert x[~meets] == pytest.approx(points[~meets, 0], abs=1e-9)
    level = np.abs(points[:, 0]) < level_half(sides, turned)
    falls = meets & ~level
    assert x[falls] == pytest.approx(np.sign(points[falls, 0]) * wide, abs=5e-6)
    assert np.abs(x[level]) == pytest.approx(wide, abs=5e-6)
    if turned:
        share = 0.5 + points[level, 0] / level_half(sides, turned) / 2
        off = (x[level] > 0).sum() - share.sum()
        assert abs(off) <= 4 * np.sqrt((share * (1 - share)).sum())


def test_a_many_sided_stack_comes_to_the_round_one_at_second_order() -> None:
    """Derived: round the circle water leaves at x = R; a polygon that stands with a face along the slope
    lets it go R (1 - cos(pi / n)) short: pi^2 R / 2 n^2. 64 sides are within 0.13 % of round."""
    short = []
    for sides in FACETS:
        x = left_at(on_a_plane(sides, turned=True), upstream(50, 0.1))
        short.append(float(R - np.abs(x).mean()))
    assert order_of(short) == pytest.approx(2.0, abs=0.02)
    assert short[-1] / R == pytest.approx(np.pi**2 / 2 / 64**2, rel=0.01)


@pytest.mark.parametrize("sides", [4, 5, *FACETS])
@pytest.mark.parametrize("turn_deg", [1.0, 17.0, 29.0])
def test_at_any_turn_water_parts_at_the_top_corner_and_leaves_at_the_widest(
    sides: int, turn_deg: float
) -> None:
    """Derived: the highest corner parts the water; what comes down on its right leaves at the corner
    farthest right, the rest at the one farthest left; both are between R cos(pi / n) and R off."""
    plan = corners(sides, R, np.radians(turn_deg))
    right, left = plan[:, 0].max(), plan[:, 0].min()
    assert R * np.cos(np.pi / sides) <= min(right, -left) <= max(right, -left) <= R
    top = plan[plan[:, 1].argmax(), 0]
    points = upstream(300, 0.2)
    x = left_at(standing(plan, 22.0), points)
    meets = (points[:, 0] > left) & (points[:, 0] < right)
    due = np.where(points[:, 0] > top, right, left)
    assert x[meets] == pytest.approx(due[meets], abs=5e-6)
    assert x[~meets] == pytest.approx(points[~meets, 0], abs=1e-9)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("sides", FACETS)
def test_a_round_stack_parts_the_water_in_halves(sides: int, turned: bool) -> None:
    """Derived: the stand is its own mirror image: as much goes left as right, drop by drop for places
    that mirror each other; and the drain lines above the parting stay straight. Before a face that
    stands level each drop has its own luck: half of them within four standard errors."""
    charts = on_a_plane(sides, turned=turned)
    points = upstream(400, 0.99 * R * np.cos(np.pi / sides))
    x = left_at(charts, points)
    level = np.abs(points[:, 0]) < level_half(sides, turned)
    assert (x[~level] > 0).sum() == (x[~level] < 0).sum() == (~level).sum() // 2
    assert np.abs(x) == pytest.approx(np.abs(x[::-1]), abs=1e-9)
    assert (np.sign(x) == np.sign(points[:, 0]))[~level].all()
    assert abs((x[level] > 0).sum() - level.sum() / 2) <= 2 * np.sqrt(level.sum())


def test_the_way_round_follows_the_foot_line() -> None:
    """Derived: between meeting and leaving, every point of the path lies on the polygon's outline in
    plan."""
    sides = 32
    charts = on_a_plane(sides, turned=True)
    drops = place(charts, [(0.02, 1.0, 5.0)], DOWN)
    path = record(charts, drops, np.array([0]))
    slid = np.flatnonzero(path.kind == Event.SLID)
    assert len(slid) >= sides // 4 - 1
    plan = path.points[slid, :2]
    angle = np.arctan2(plan[:, 1], plan[:, 0])
    middle = np.round(angle / (2 * np.pi / sides)) * 2 * np.pi / sides
    out = np.column_stack([np.cos(middle), np.sin(middle)])
    assert (plan * out).sum(axis=1) == pytest.approx(R * np.cos(np.pi / sides), abs=1e-6)
    assert (np.diff(plan[:, 1]) < 0).all()
