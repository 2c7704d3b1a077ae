"""Any plan: where its water parts, that it can be mirrored, and told in other words."""

from __future__ import annotations

from math import radians
from typing import Any

import numpy as np

from meshes.build import build
from meshes.spec import Detail, Roof, Stack
from tests.meshes.around.details_around import (
    DETAILS,
    Wet,
    beside,
    built,
    not_shed,
)


def test_a_diamond_splits_its_water_at_the_upper_corner_and_none_stands() -> None:
    """Derived: 600 mm square at 45 degrees: drops let go 5 to 100 mm above the upper corner, left or
    right of it, pass it on that side; no hollow behind it holds a millilitre."""
    wet = Wet.of(built("diamond"))
    plan = DETAILS["diamond"].stack.outline()
    random = np.random.default_rng(5)
    side = np.repeat([-1.0, 1.0], 300)
    x, y = side * random.uniform(0.002, 0.05, 600), plan.back + random.uniform(0.03, 0.1, 600)
    drops, ended = wet.fall(np.column_stack([x, y, np.full(600, 3.0)]))
    assert not_shed(ended) == {}
    # A drop that lands on the stack's capping may leave it on either side.
    names = wet.charts.surface.part_names
    free = np.array([names[part] != "stack" for part in wet.charts.part[drops.chart]])
    assert free.sum() > 200
    assert (np.sign(ended.end[free, 0]) == side[free]).all()
    wet_side = np.arange(len(wet.charts.part)) % 2 == 0
    back = (wet.charts.part == names.index("back flashing")) & wet_side
    holding = np.unique(wet.ponds.flooded[back & (wet.ponds.flooded >= 0)])
    assert (wet.ponds.volume[holding] < 1e-6).all()


def test_a_mirrored_plan_has_the_mirrored_fates() -> None:
    """Invariance: plan and drops mirrored in the fall line: every drop ends alike, and mirrored within
    3 mm (mitres of turn-ins stand a millimetre to one side of a corner)."""
    points = ((0.0, 0.0), (0.5, 0.1), (0.55, 0.45), (0.2, 0.6), (-0.1, 0.3))
    ends = []
    for sign in (1.0, -1.0):
        stack = Stack(plan="points", points=tuple((sign * x, y) for x, y in points), height=1.9)
        detail = Detail(roof=Roof(pitch=radians(38)), stack=stack)
        start = beside(Detail(roof=detail.roof, stack=_right(points)), 600) * [sign, 1.0, 1.0]
        ends.append(Wet.of(build(detail)).fall(start)[1])
    assert (ends[0].fate == ends[1].fate).all()
    off = np.linalg.norm(ends[0].end - ends[1].end * [-1.0, 1.0, 1.0], axis=1)
    assert (off < 3e-3).mean() > 0.98


def _right(points: tuple[tuple[float, float], ...]) -> Stack:
    return Stack(plan="points", points=points, height=1.9)


def test_the_same_plan_told_otherwise_makes_the_same_bytes() -> None:
    """Invariance: as points, from another first corner, the other way round, or as a rectangle."""
    corners = [(0.0, 0.0), (0.7, 0.0), (0.7, 0.5), (0.0, 0.5)]
    told: list[dict[str, Any]] = [
        {"plan": "points", "points": tuple(corners)},
        {"plan": "points", "points": tuple(corners[::-1])},
    ]
    made = [
        build(Detail(roof=Roof(pitch=radians(35)), stack=Stack(height=1.9, turn=0.5, **how)))
        for how in (*told, {"width": 0.7, "depth": 0.5})
    ]
    for other in made[1:]:
        for part, theirs in zip(made[0], other, strict=True):
            assert sorted(map(tuple, part.vertices.round(9).tolist())) == sorted(
                map(tuple, theirs.vertices.round(9).tolist())
            )
