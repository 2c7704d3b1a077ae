"""A detail built as it should be keeps calm rain out, whatever the pitch, the joint and the covering."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import PieceError
from meshes.layout import layout_of
from meshes.spec import Apron, BackGutter, CoverFit, Detail, Joint, Roof, Sides, Stack
from sim.fates import Fate
from sim.findings import find
from tests.meshes.details import COVERINGS
from tests.scenes.standard import pitched, rained_on, shipped, without_turn_ins

DROPS = 200_000


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_shipped_scenes_shed_every_drop(name: str) -> None:
    """Upright rain, 200,000 drops: none behind, none held, none unresolved; every lap long enough."""
    rained = rained_on(shipped(name), DROPS)
    assert len(rained.drops) == DROPS
    assert rained.count(Fate.SHED) == DROPS
    found = find(rained.charts, rained.drops, rained.trace)
    assert found.leaks == ()
    assert [(lap.upper, lap.lower, lap.where) for lap in found.laps if not lap.ok] == []


@pytest.mark.parametrize("name", ["cottage", "terrace"])
@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("pitch", [20, 25, 30, 35, 40, 45, 50])
@pytest.mark.parametrize("turn_in", [True, False])
def test_right_at_every_pitch_with_either_joint(
    name: str, joint: Joint, pitch: float, turn_in: bool
) -> None:
    """In upright rain the turn-ins have no work to do: the capping keeps the stack's faces dry."""
    detail = pitched(replace(shipped(name), joint=joint), pitch)
    rained = rained_on(detail if turn_in else without_turn_ins(detail), DROPS)
    assert rained.count(Fate.SHED) == DROPS


@settings(
    max_examples=40,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),
    derandomize=True,
)
@given(
    pitch=st.floats(18, 55),
    width=st.floats(0.3, 1.6),
    depth=st.floats(0.25, 1.0),
    covering=st.sampled_from(sorted(COVERINGS)),
    joint=st.sampled_from(["return", "fin"]),
    fit=st.sampled_from(["dressed", "resting"]),
    cover=st.floats(0.1, 0.25),
    sole=st.floats(0.1, 0.25),
)
def test_any_size_built_in_the_usual_order_is_dry(
    pitch: float,
    width: float,
    depth: float,
    covering: str,
    joint: Joint,
    fit: CoverFit,
    cover: float,
    sole: float,
) -> None:
    """Property over random measurements: what can be built sheds every drop of upright rain."""
    try:
        rained = rained_on(
            Detail(
                roof=Roof(pitch=radians(pitch), **COVERINGS[covering]),
                stack=Stack(width=width, depth=depth, height=1.5 * depth + 0.6),
                apron=Apron(cover=cover),
                sides=Sides(cover=cover),
                gutter=BackGutter(sole=sole),
                joint=joint,
                cover_fit=fit,
            ),
            10_000,
        )
    except PieceError:
        return
    assert rained.count(Fate.SHED) == 10_000


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_a_plain_covering_and_resting_covers_are_right_too(name: str) -> None:
    """The same pieces over one plane, and lying on the noses instead of dressed down."""
    detail = shipped(name)
    plain = replace(detail, roof=replace(detail.roof, covering="plain", thickness=0.012))
    for changed in (plain, replace(detail, cover_fit="resting")):
        assert rained_on(changed, 50_000).count(Fate.SHED) == 50_000


@pytest.mark.parametrize("name", ["cottage", "terrace"])
def test_gutter_share_is_its_catchment_in_plan(name: str) -> None:
    """Share of upright rain that reaches the back gutter: its width between the outlets, which are its
    outer ends, times the run of roof above its sole's front edge, over the roof's plan (exact).

    What falls on its end laps beside the stack is added, and what the capping carries off taken away.
    Three standard errors.
    """
    detail = shipped(name)
    layout, rained = layout_of(detail), rained_on(detail, DROPS)
    front = detail.stack.depth + layout.front_lines["gutter"]
    above = (layout.courses.top - front) * 2 * layout.half_gutter
    lap = layout.gutter_lap * cos(detail.roof.pitch)
    ends = 2 * lap * (layout.half_gutter - layout.half_stack - layout.side_lines["gutter"])
    plan = (
        (layout.courses.top - layout.courses.eaves) * 2 * (layout.half_stack + detail.roof.beside)
    )
    width, depth = (
        side + 2 * detail.stack.capping_overhang
        for side in (detail.stack.width, detail.stack.depth)
    )
    over = detail.stack.capping_overhang
    # The capping stands over a strip of the gutter, and its back hip sheds into it; its side hips
    # shed past the stack's faces, onto the end laps where these lie beside the capping.
    shadow = width * (over - layout.front_lines["gutter"])
    hips = min(width, depth) / 2
    back = hips * (width - hips)
    shadow_of_ends = 2 * lap * (over - layout.side_lines["gutter"])
    end_run = lap + over
    sides = 2 * _side_hip_beyond(depth, hips, end_run)
    expected = above - shadow + back + ends - shadow_of_ends + sides
    share = expected / plan
    error = (share * (1 - share) / DROPS) ** 0.5
    assert rained.touched("back gutter").mean() == pytest.approx(share, abs=3 * error)


def _side_hip_beyond(depth: float, hips: float, run: float) -> float:
    """Plan area [m2] of one side hip whose water leaves within `run` of the capping's back edge."""
    run = min(run, depth)
    if run <= hips:
        return run * run / 2
    return hips * hips / 2 + hips * (run - hips)
