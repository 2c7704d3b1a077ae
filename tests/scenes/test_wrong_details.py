"""Turned wrong by parameters or order alone, a detail leaks, and the leak is named at its place."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import pytest

from meshes.build import build
from meshes.spec import BackGutter, Detail
from sim.charts import Charts
from sim.fates import Fate
from sim.findings import find
from sim.leaks import Leak, went_behind
from sim.rain import place
from sim.trace import record, trace
from tests.scenes.standard import (
    APRON_OVER_SIDES,
    BEHIND,
    GRAVITY,
    GUTTER_OVER_UNDERLAY,
    SIDES_OVER_GUTTER,
    Rained,
    rained_on,
    shipped,
    without_turn_ins,
)

SCENES = ("cottage", "terrace")
SIDES = {"left side flashing", "right side flashing"}


def leaks_of(rained: Rained) -> tuple[Leak, ...]:
    """The leaks, the largest first."""
    return find(rained.charts, rained.drops, rained.trace).leaks


def mostly(leaks: tuple[Leak, ...], share: float = 0.9) -> list[Leak]:
    """The largest leaks that together carry this share of what leaks."""
    total = sum(leak.share for leak in leaks)
    chosen: list[Leak] = []
    for leak in leaks:
        if sum(other.share for other in chosen) >= share * total:
            break
        chosen.append(leak)
    return chosen


@pytest.mark.parametrize("name", SCENES)
def test_sides_dressed_over_the_gutter(name: str) -> None:
    """At least 90 % of the water that reaches the gutter gets behind the side flashings.

    What runs in beside the stack goes on into the roof; what runs in further out runs down between
    covering and cover and comes out again at the bottom.
    """
    detail = replace(shipped(name), order=SIDES_OVER_GUTTER)
    rained = rained_on(detail)
    reached = np.flatnonzero(rained.touched("back gutter"))
    behind = went_behind(rained.charts, record(rained.charts, rained.drops, reached))
    into_the_roof = np.isin(rained.trace.fate[reached], BEHIND)
    assert (behind | into_the_roof).mean() > 0.9
    assert into_the_roof.mean() > 0.6
    for leak in mostly(leaks_of(rained)):
        assert set(leak.parts) & {"back gutter", *SIDES}
        assert abs(leak.point[0]) == pytest.approx(detail.stack.width / 2, abs=0.03)
        assert leak.point[1] == pytest.approx(detail.stack.depth, abs=0.25)


@pytest.mark.parametrize("name", SCENES)
def test_gutter_no_longer_than_the_stack_is_wide(name: str) -> None:
    """All it gathers runs past its ends, at the stack's back corners."""
    detail = replace(shipped(name), gutter=BackGutter(beyond_stack=0.0))
    rained = rained_on(detail)
    reached = rained.touched("back gutter")
    assert np.isin(rained.trace.fate[reached], BEHIND).all()
    leaks = mostly(leaks_of(rained))
    assert {leak.cause for leak in leaks} <= {"past an end", "through a corner"}
    for leak in leaks:
        assert "back gutter" in leak.parts
        assert abs(leak.point[0]) == pytest.approx(detail.stack.width / 2, abs=0.03)
        assert leak.point[1] == pytest.approx(detail.stack.depth, abs=0.03)
    assert {np.sign(leak.point[0]) for leak in leaks} == {-1, 1}


@pytest.mark.parametrize("name", SCENES)
def test_underlay_tucked_under_the_gutter_and_covering_short_of_it(name: str) -> None:
    """Rain on the bare underlay above the gutter runs in under the gutter's top edge.

    With the underlay lapped over the edge as it should be, the same rain runs into the gutter.
    """
    detail = shipped(name)
    short = replace(
        detail, roof=replace(detail.roof, gutter_open=0.35), gutter=BackGutter(leg=-0.1)
    )
    tucked = replace(short, order=GUTTER_OVER_UNDERLAY)
    rained = rained_on(tucked)
    leaks = mostly(leaks_of(rained))
    assert sum(leak.share for leak in leaks) > 0.03
    for leak in leaks:
        assert {"back gutter", "upper underlay"} <= set(leak.parts)
        assert leak.cause == "ran under"
        assert leak.point[1] > detail.stack.depth + 0.15
    lapped = rained_on(short)
    over_the_leg = lapped.touched("upper underlay") & lapped.touched("back gutter")
    assert over_the_leg.sum() == lapped.touched("upper underlay").sum()


@pytest.mark.parametrize("name", SCENES)
@pytest.mark.parametrize(("from_deg", "face"), [(0, "front"), (90, "right"), (270, "left")])
def test_no_turn_in_with_rain_driven_onto_the_stack(name: str, from_deg: float, face: str) -> None:
    """Rain slanting at 45 degrees onto a face runs down behind the upstand there, over its top edge.

    With turn-ins the same rain gets in nowhere near as much: under a twentieth.
    """
    weather = {"slant": radians(45), "from_angle": radians(from_deg)}
    detail = shipped(name)
    rained = rained_on(without_turn_ins(detail), **weather)
    wet = rained.count(*BEHIND) / len(rained.drops)
    assert wet > 0.04
    main = leaks_of(rained)[0]
    piece = {"front": "front apron", "right": "right side flashing", "left": "left side flashing"}
    assert main.cause == "over a top edge"
    assert piece[face] in main.parts
    assert main.severity == "inside"
    right = rained_on(detail, **weather)
    assert right.count(*BEHIND) / len(right.drops) < wet / 20


def _poured_beside_the_corner(detail: Detail, push: float) -> dict[Fate, int]:
    """Fates of 400 drops put on the right side flashing's cover just above the front corner."""
    made = build(detail)
    charts = Charts.of(made, (-push, 0.0, -GRAVITY))
    start = detail.stack.width / 2 + 0.004
    x = np.linspace(start, start + 0.04, 400)
    above = np.column_stack([x, np.full(400, 0.05), np.full(400, 0.3)])
    drops = place(charts, above, (0.0, 0.0, -1.0))
    ends = trace(charts, drops).fate
    return {fate: int((ends == fate).sum()) for fate in Fate if (ends == fate).any()}


@pytest.mark.parametrize("push", [3.0, 5.0])
def test_side_flashing_under_the_apron_with_water_driven_at_it(push: float) -> None:
    """Water pushed towards the stack at the corner runs in under the apron's overhang; dressed the
    right way, over the apron, every drop of it runs off over the apron."""
    right = shipped("cottage")
    assert _poured_beside_the_corner(right, push) == {Fate.SHED: 400}
    wrong = _poured_beside_the_corner(replace(right, order=APRON_OVER_SIDES), push)
    assert wrong == {Fate.UNDERLAY: 400}


def test_side_flashing_under_the_apron_is_named_at_the_corner() -> None:
    """The same wrong order in pushed rain everywhere: a leak at the right front corner."""
    wrong = replace(shipped("cottage"), order=APRON_OVER_SIDES)
    rained = rained_on(wrong, 50_000, push=(-3.0, 0.0, 0.0))
    near = [
        leak
        for leak in leaks_of(rained)
        if abs(leak.point[0] - wrong.stack.width / 2) < 0.06 and abs(leak.point[1]) < 0.06
    ]
    assert near
    assert {"right side flashing", "front apron"} & set(near[0].parts)
