"""Level gutters found in traced flow: their section, their flows and how deep they stand."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from sim.channel import critical_depth, deepest
from sim.channel_section import Section
from sim.charts import Charts
from sim.gutter_section import Wall, section_between, wall
from sim.gutters import Gutter, gutters
from sim.rain import place
from sim.trace import record, trace
from tests.sim.shapes import box, in_four, mapped, sheet, strip, turned

LINE = [(0.5, 0.2), (0.2, 0.01), (0.0, 0.0), (0.0, 0.1)]
DOWN = (0.0, 0.0, -1.0)


def trough(along: float = 1.0) -> Assembly:
    """A gutter 2 `along` long: a sole 200 mm wide that rises 10 mm, a leg, and an upstand of 100 mm."""
    return Assembly((strip(LINE, along=along, name="gutter", role=Role.FLASHING),))


def flowed(assembly: Assembly, x: np.ndarray, *, turn: float = 0.0) -> tuple[Gutter, ...]:
    """Gutters of an assembly into which 1 mL/s falls at each x (n,), half up the leg."""
    charts = Charts.of(mapped(assembly, lambda p: turned(p, turn)))
    points = turned(np.column_stack([x, np.full(len(x), 0.35), np.full(len(x), 1.0)]), turn)
    drops = place(charts, points, DOWN, flow=1e-6)
    return gutters(charts, record(charts, drops, np.arange(len(x))), drops.flow)


X = np.array([-0.9, -0.5, -0.2, 0.1, 0.4, 0.6, 0.7])


@pytest.mark.parametrize("turn", [0.0, 0.7, 2.5])
def test_a_trough_is_measured_as_it_was_made(turn):
    """Exact geometry; as much leaves by each end as drops are traced to it (how they divide:
    `test_level.py`); depths by the channel's own functions (tested for themselves) for the section known
    in closed form."""
    (found,) = flowed(trough(), X, turn=turn)
    assert found.parts == ("gutter",)
    assert found.length == pytest.approx(2.0, abs=1e-9)
    charts = Charts.of(trough())
    ends = trace(charts, place(charts, np.column_stack([X, 0 * X + 0.35, 0 * X + 1]), DOWN)).end
    to_left = 1e-6 * np.count_nonzero(ends[:, 0] < 0)
    left_first = [to_left, 7e-6 - to_left] if np.cos(turn) > 0 else [7e-6 - to_left, to_left]
    assert min(left_first) > 0
    np.testing.assert_allclose(found.flow, left_first, rtol=1e-12)
    np.testing.assert_allclose(found.walls, [0.1, 0.2], atol=1e-9)
    section = Section.of([0.0, 0.01, 0.1], [0.0, 0.2, 0.2 + 0.09 * 0.3 / 0.19])
    y = np.linspace(0, 0.1, 11)
    np.testing.assert_allclose(found.section.top_width(y), section.top_width(y), atol=1e-9)
    assert found.depth == pytest.approx(float(deepest(section, max(left_first))), rel=1e-9)
    np.testing.assert_allclose(found.end_depth, critical_depth(section, left_first), rtol=1e-9)
    np.testing.assert_allclose(found.freeboard, found.walls - found.depth, atol=1e-15)
    assert found.surface_tension_governs == (found.depth < 0.004)


def test_finer_triangles_change_nothing():
    """Invariance: each triangle in four; the cut then crosses more of them."""
    (plain,), (fine,) = flowed(trough(), X), flowed(in_four(trough()), X)
    np.testing.assert_allclose(fine.flow, plain.flow, rtol=1e-12)
    assert fine.length == pytest.approx(plain.length, abs=1e-12)
    y = np.linspace(0, 0.1, 11)
    np.testing.assert_allclose(fine.section.top_width(y), plain.section.top_width(y), atol=1e-9)


def test_a_block_in_the_middle_makes_two_gutters():
    """By construction: a box across the trough parts it; water on each side leaves by its own end."""
    block = box((-0.05, -0.1, -0.2), (0.05, 0.7, 0.5))
    left, right = sorted(
        flowed(Assembly((*trough().parts, block)), X), key=lambda gutter: gutter.ends[0, 0]
    )
    np.testing.assert_allclose(left.ends[:, 0], [-1, -0.05], atol=1e-9)
    np.testing.assert_allclose(right.ends[:, 0], [0.05, 1], atol=1e-9)
    np.testing.assert_allclose(left.flow, [3e-6, 0], atol=1e-15)
    np.testing.assert_allclose(right.flow, [0, 4e-6], atol=1e-15)


def test_a_gutter_round_a_corner_is_two():
    """By construction: a level valley that turns square at (1, 1), open at the edges of the sheet. Water
    that falls beside one leg and leaves by the other's end is counted in both: through the corner of
    its own, and to the end of the other."""

    def height(x, y):
        return 0.2 * np.abs(np.maximum(np.abs(x), np.abs(y)) - 1)

    charts = Charts.of(Assembly((sheet(height, [0, 1, 2], [0, 1, 2]),)))
    points = np.repeat([(0.2, 1.3, 1.0), (0.5, 1.2, 1.0), (1.2, 0.4, 1.0)], 100, axis=0)
    drops = place(charts, points, DOWN, flow=1e-6)
    one, other = gutters(charts, record(charts, drops, np.arange(300)), drops.flow)
    np.testing.assert_allclose(one.ends[:, :2], [[0, 1], [1, 1]], atol=1e-9)
    np.testing.assert_allclose(other.ends[:, :2], [[1, 0], [1, 1]], atol=1e-9)
    by_one = (trace(charts, drops).end[:, 0] < 0.5).reshape(3, 100).sum(axis=1)
    assert ((by_one > 0) & (by_one < 100)).all()
    own, from_other = by_one[:2].sum(), by_one[2]
    np.testing.assert_allclose(one.flow, 1e-6 * np.array([own + from_other, 200 - own]), rtol=1e-9)
    to_other = 300 - own - from_other
    np.testing.assert_allclose(other.flow, 1e-6 * np.array([to_other, from_other]), rtol=1e-9)


def test_a_wall_is_measured_to_where_its_own_part_ends():
    """Exact geometry: masonry goes on above an upstand of 100 mm that touches it; the water may not."""
    wall = box((-1.5, -0.3, -0.1), (1.5, 0.0, 1.0), name="wall")
    chased = [(0.5, 0.2), (0.2, 0.01), (0.02, 0.0), (0.02, 0.1), (-0.02, 0.105)]
    gutter = strip(chased, along=1.0, name="gutter", role=Role.FLASHING)
    (found,) = flowed(Assembly((wall, gutter)), X)
    assert found.walls[0] == pytest.approx(0.1025, abs=1e-9)
    assert found.crests[0, 1] == pytest.approx(0.0, abs=1e-9)
    assert found.section.heights[-1] == pytest.approx(0.2, abs=1e-9)


def test_a_sole_that_leans_along_its_length_is_no_level_gutter():
    """By construction: the crease falls 1 in 100, so water has a way on without any depth."""

    def lean(points):
        return points + np.column_stack([0 * points[:, 0], 0 * points[:, 0], 0.01 * points[:, 0]])

    assert flowed(mapped(trough(), lean), X) == ()


def test_a_slit_under_a_wall_that_leans_over_is_no_gutter():
    """A wall of 100 mm that leans 60 mm out over the sole of 20 mm: water there has no surface of its own.
    Leaning back by as much, it is a gutter."""
    leaning, back = (
        Assembly((strip([(0.3, 0.02), (0.0, 0.0), (lean, 0.1)], along=1.0, name="gutter",
                        role=Role.FLASHING),))
        for lean in (0.06, -0.06)
    )  # fmt: skip
    assert section_between(*_walls(leaning)) is None
    assert section_between(*_walls(back)) is not None


def _walls(assembly: Assembly) -> tuple[Wall, Wall]:
    """The sole and the wall of a strip, each from the crease at x = 0, y = 0, across y."""
    charts = Charts.of(assembly)
    corners = charts.surface.vertices[charts.surface.faces] + charts.surface.centre
    point = np.zeros(3) - charts.surface.centre
    found = []
    for face, three in enumerate(corners):
        low = np.flatnonzero(np.hypot(three[:, 1], three[:, 2]) < 1e-9)
        if len(low) == 2:
            edge = 3 - int(low.sum())
            chart = 2 * face + int(charts.normals[2 * face, 2] < 0)
            found.append(wall(charts, chart, edge, point, np.array([0.0, 1.0, 0.0])))
    one, two = found
    return one, two


def test_flow_must_fit_the_paths():
    """The rule of the house: what, rule and value in one line."""
    charts = Charts.of(trough())
    drops = place(charts, [(0.0, 0.3, 1.0)], DOWN)
    with pytest.raises(SceneError, match="flow must be one for each of 1 paths"):
        gutters(charts, record(charts, drops, np.arange(1)), np.ones(2))
