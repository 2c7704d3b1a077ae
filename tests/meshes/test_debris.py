"""Leaves and snow: closed bodies that touch what they lie on, and where they send the water."""

from __future__ import annotations

from math import cos, radians, tan
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from meshes.back_gutter import sole_front
from meshes.build import build
from meshes.errors import PieceError
from meshes.layout import layout_of
from meshes.parts import Assembly, Role
from meshes.spec import Debris, Detail, Stack
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import place, rain
from sim.tolerances import CLOSED
from sim.trace import Trace, trace
from tests.meshes.crossings import cuts, cuts_itself, distances
from tests.meshes.details import COVERINGS, ORDERS, detail

DEPTH = 0.44
PITCH = radians(40)
HEAPS: dict[str, Any] = {"leaves": "both", "leaves_high": 0.070, "leaves_long": 0.150}
SNOWS = (0.150, 0.350)  # [m] below and above the upstand's top edge at 40 degrees


def lain(covering: str = "plain tiles", **told: Any) -> Detail:
    """The usual stack with something lying behind it."""
    return detail(40, covering, debris=Debris(**told))


def lying(made: Assembly) -> list[str]:
    """Names of what lies there."""
    return [part.name for part in made if part.role is Role.DEBRIS]


def near(points: NDArray[np.float64], made: Assembly, *names: str) -> NDArray[np.float64]:
    """Distance [m] of points (n, 3) to the nearest of some parts."""
    return np.min([distances(points, made[name]) for name in names], axis=0)


def poured(made: Assembly) -> tuple[NDArray[np.float64], Trace]:
    """Water let fall onto the covering above the gutter: x of each drop [m], and its journey."""
    x = np.linspace(-0.28, 0.28, 57) + 0.0003
    points = np.column_stack([x, np.full(57, 1.2), np.full(57, 3.0)])
    charts = Charts.of(made)
    return x, trace(charts, place(charts, points, (0.0, 0.0, -1.0)))


def test_nothing_lies_there_unless_told() -> None:
    """Derived: the default is a clear gutter and a roof without snow."""
    assert lying(build(lain())) == []
    assert lying(build(lain(leaves="left"))) == ["leaves, left"]
    assert lying(build(lain(**HEAPS))) == ["leaves, left", "leaves, right"]
    assert lying(build(lain(snow=0.2))) == ["snow"]


def test_heaps_are_as_high_and_long_as_told_and_mirrored() -> None:
    """Exact: crest over the sole's front edge, length, 5 mm clear of the trough's end; right is left
    mirrored."""
    asked = lain(**HEAPS)
    made, layout = build(asked), layout_of(asked)
    left, right = (made[f"leaves, {side}"].vertices for side in ("left", "right"))
    end = layout.half_stack + layout.side_lines["gutter"] - 0.005
    assert right[:, 0].max() == pytest.approx(end, abs=1e-4)
    assert np.ptp(right[:, 0]) == pytest.approx(0.150, abs=5e-4)
    assert right[:, 2].max() == pytest.approx(sole_front(layout)[1] + 0.070, abs=1e-12)
    assert sorted((left * (-1, 1, 1)).round(9).tolist()) == sorted(right.round(9).tolist())


@pytest.mark.parametrize("covering", COVERINGS)
def test_a_heap_fills_the_trough_from_the_upstand_to_the_covering(covering: str) -> None:
    """Derived: each of its corners touches the gutter or the covering, nearer than what the tracer
    counts as touching, and its crest runs from the upstand to the covering above the nose."""
    asked = lain(covering=covering, leaves="right", leaves_high=0.070)
    made, courses = build(asked), layout_of(asked).courses
    corners = made["leaves, right"].vertices
    assert near(corners, made, "back gutter", "covering").max() < CLOSED
    crest = corners[corners[:, 2] > corners[:, 2].max() - 1e-9]
    assert crest[:, 1].min() == pytest.approx(sole_front(layout_of(asked))[0], abs=CLOSED)
    assert crest[:, 1].max() > courses.courses[courses.over_gutter].nose_y


@pytest.mark.parametrize("depth", SNOWS)
def test_snow_is_as_deep_as_told_and_meets_upstand_and_stack(depth: float) -> None:
    """Exact: its top lies the depth, square to the slope, over the plane through the noses; it stops
    0.05 mm short of the upstand, and of the stack's back face where it stands higher than that, and
    beside the stack 10 mm past the upstand's returns; it ends with the roof."""
    asked = lain(snow=depth)
    made, layout = build(asked), layout_of(asked)
    corners = made["snow"].vertices
    over = corners[:, 2] - corners[:, 1] * tan(PITCH)
    assert over.max() == pytest.approx(depth / cos(PITCH), abs=1e-9)
    assert corners[:, 1].max() == pytest.approx(layout.courses.top, abs=1e-9)
    assert np.ptp(corners[:, 0]) == pytest.approx(2 * layout.half_gutter - 0.020, abs=1e-9)
    body = trimesh.Trimesh(corners, made["snow"].faces, process=False)
    facing = (body.face_normals[:, 1] < -0.999) & (body.area_faces > 1e-3)
    met = {round(float(y), 6) for y in body.triangles_center[facing, 1]}
    upstand, wall = sole_front(layout)[0] + 5e-5, DEPTH + 5e-5
    fronts = {round(low, 6) for low in (upstand, wall, DEPTH - 0.040)}
    assert met == fronts if depth == SNOWS[1] else met == fronts - {round(wall, 6)}


@settings(max_examples=8, deadline=None, phases=(Phase.explicit, Phase.generate), derandomize=True)
@given(
    pitch=st.floats(20, 55),
    width=st.floats(0.4, 1.2),
    depth=st.floats(0.3, 0.8),
    covering=st.sampled_from(sorted(COVERINGS)),
    order=st.sampled_from(sorted(ORDERS)),
    leaves=st.sampled_from(["none", "both"]),
    high=st.floats(0.02, 0.12),
)
def test_any_debris_is_closed_and_cuts_nothing(
    pitch: float, width: float, depth: float, covering: str, order: str, leaves: Any, high: float
) -> None:
    """Property over random measurements: what can be built has no cuts, and no drop is unresolved."""
    told = Debris(leaves=leaves, leaves_high=high) if leaves == "both" else Debris(snow=4 * high)
    stack = Stack(width=width, depth=depth, height=1.6 * depth + 1.0)
    try:
        made = build(detail(pitch, covering, stack=stack, order=ORDERS[order], debris=told))
    except PieceError:
        return
    for name in lying(made):
        part = made[name]
        body = trimesh.Trimesh(part.vertices, part.faces, process=False)
        assert body.is_watertight
        assert body.volume > 0
        assert not cuts_itself(part)
        others = [other for other in made if other is not part]
        assert not [other.name for other in others if cuts(Assembly((part, other)))]
    charts = Charts.of(made)
    fates = trace(charts, rain(charts, 2000, seed=3, rain_m_s=2e-5)).fate
    assert not np.isin(fates, (Fate.MOVING, Fate.UNRESOLVED)).any()


@pytest.mark.parametrize("covering", ["plain tiles", "interlocking"])
@pytest.mark.parametrize(("side", "other"), [("left", 1), ("right", -1)])
def test_a_heap_sends_the_gutter_to_its_other_end(covering: str, side: Any, other: int) -> None:
    """Derived: no water passes a heap; all that comes down inside of its crest leaves at the free end.
    Without it an even feed leaves by both, half and half within four standard errors, and the water
    near an end mostly by that."""
    x, clear = poured(build(lain(covering=covering)))
    assert abs((clear.end[:, 0] > 0).mean() - 0.5) < 2 / np.sqrt(len(x))
    outer = np.abs(x) > 0.15
    assert (np.sign(clear.end[outer, 0]) == np.sign(x[outer])).mean() > 0.7
    x, got = poured(build(lain(covering=covering, leaves=side, leaves_high=0.07)))
    assert (got.fate == Fate.SHED).all()
    inner = x * other > -0.18
    assert inner.sum() > 40
    assert (got.end[inner, 0] * other > 0).all()


def test_heaps_at_both_ends_hold_the_water() -> None:
    """Derived: what comes down between the crests finds no way out; it ponds or it is held, and
    the rest is shed at its own end."""
    x, got = poured(build(lain(leaves="both", leaves_high=0.07)))
    inner = np.abs(x) < 0.18
    assert not np.isin(got.fate, (Fate.MOVING, Fate.UNRESOLVED)).any()
    assert (got.fate[inner] != Fate.SHED).mean() > 0.95
    assert (got.fate[np.abs(x) > 0.21] == Fate.SHED).all()


@pytest.mark.parametrize("depth", SNOWS)
def test_water_on_snow_runs_to_both_sides_of_the_stack(depth: float) -> None:
    """Derived: on the snow it comes down to the upstand or the stack, runs along it to both sides, half of
    an even feed to each within four standard errors, and leaves over them; none gets behind."""
    made = build(lain(snow=depth))
    x, got = poured(made)
    assert (got.fate == Fate.SHED).all()
    assert got.touched([part.name for part in made].index("snow")).all()
    assert abs((got.end[:, 0] > 0).mean() - 0.5) < 2 / np.sqrt(len(x))
    charts = Charts.of(made)
    assert (trace(charts, rain(charts, 20_000, seed=0, rain_m_s=2e-5)).fate == Fate.SHED).all()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"leaves": "middle"}, "leaves must be none, left, right or both"),
        ({"leaves_high": float("nan")}, "leaves high must be 10 to 300 mm. Got leaves high = nan"),
        ({"snow": -0.1}, "snow must be 0 to 2000 mm. Got snow = -100 mm"),
        ({"leaves": "left", "snow": 0.3}, "snow must be 0 where there are leaves"),
        ({"leaves": "left", "leaves_high": 0.2}, "at most the back gutter's upstand"),
        ({"leaves": "left", "leaves_long": 0.7}, "leaves long must be at most 548 mm here"),
        ({"leaves": "both", "leaves_long": 0.3}, "leaves long must be at most 274 mm here"),
        ({"snow": 0.05}, "snow must be over 104 mm here, to fill the gutter"),
        ({"snow": 0.9}, "snow must be under 790 mm here, below the stack's capping"),
    ],
)
def test_debris_that_can_not_be(told: dict[str, Any], said: str) -> None:
    """Each says what, the rule and the value in one line (own edge cases)."""
    with pytest.raises(PieceError, match=said) as error:
        build(lain(**told))
    assert "\n" not in str(error.value)
