"""Where steps fall, and side pieces whose top edges follow them."""

from __future__ import annotations

from math import cos, radians, tan
from typing import Any

import numpy as np
import pytest

from meshes.around.build import build_around, pieces_around
from meshes.around.steps import step_at, steps_of
from meshes.errors import PieceError
from meshes.spec import Detail, Sides, Stack
from tests.meshes.crossings import cuts, cuts_itself
from tests.meshes.details import detail


def stepped(pitch_deg: float, **changes: Any) -> Detail:
    """The shipped stack with step and cover in one piece."""
    stack = Stack(width=0.59, depth=0.44, height=1.6)
    return detail(pitch_deg, stack=stack, sides=Sides(way="stepped cover"), **changes)


@pytest.mark.parametrize(("pitch_deg", "run_mm"), [(40, 89.4), (45, 75.0), (25, 160.8)])
def test_whole_steps_are_brick_gauge_over_tangent_long(pitch_deg: float, run_mm: float) -> None:
    """75 mm over tan 40 = 89.4 mm: exact geometry (derived), to a tenth of a millimetre."""
    pitch = radians(pitch_deg)
    steps = steps_of(0.085, pitch, 0.075, low=0.0, high=0.9)
    runs = [step.end - step.start for step in steps[1:-1]]
    assert len(runs) >= 3
    assert runs == pytest.approx([run_mm / 1000] * len(runs), abs=5e-5)


def test_steps_are_in_the_lowest_joint_over_the_water_line() -> None:
    """Exact geometry (derived): no part of a step lies under the line, each end within one joint."""
    pitch, line = radians(35), 0.065 / cos(radians(35))
    steps = steps_of(line, pitch, 0.075, low=-0.003, high=0.443)
    for step in steps:
        low, high = (line + y * tan(pitch) for y in (step.start, step.end))
        assert high <= step.height + 1e-9
        assert low >= step.height - 0.075 - 1e-9
        assert step.height / 0.075 == pytest.approx(round(step.height / 0.075))
    assert steps[0].start == -0.003
    assert steps[-1].end == 0.443
    assert step_at(steps, 1.0) == steps[-1]


def test_short_steps_at_the_ends_are_left_to_the_next() -> None:
    """By its own rule: none shorter than asked at either end."""
    steps = steps_of(0.074, radians(45), 0.075, low=0.0, high=0.302, shortest=0.04)
    assert steps[0].height == pytest.approx(0.150)
    assert steps[-1].end - steps[-1].start == pytest.approx(0.04)
    with pytest.raises(PieceError, match=r"length of steps must be above 0 mm"):
        steps_of(0.08, radians(40), 0.075, low=0.2, high=0.1)


@pytest.mark.parametrize("pitch_deg", [25, 35])
def test_stepped_covers_cut_nothing(pitch_deg: float) -> None:
    """Sheets are held apart, and a level top edge is as high as its joint (derived)."""
    made = build_around(stepped(pitch_deg))
    assert not {pair for pair in cuts(made) if "stack" not in pair}
    assert not any(cuts_itself(part) for part in made if "side flashing" in part.name)
    left = next(one for one in pieces_around(stepped(pitch_deg)) if one.name.startswith("left"))
    for row, name in zip(left.facets.polygons, left.facets.names, strict=True):
        if name == "turn-in":
            bend = left.facets.points[list(row)][:, 2].min()
            assert bend / 0.075 == pytest.approx(round(bend / 0.075), abs=0.02)
    assert np.isfinite(left.facets.points).all()


def test_what_cannot_have_steps_is_refused() -> None:
    """One line, with the rule and the value."""
    turned = Stack(width=0.59, depth=0.44, turn=radians(20), height=1.6)
    with pytest.raises(PieceError, match="cover where a side doesn't run straight up the slope"):
        build_around(detail(35, stack=turned, sides=Sides(way="stepped cover")))
    order = ("left", "apron", "right", "gutter", "underlay")
    with pytest.raises(PieceError, match="apron first and gutter last where the sides have steps"):
        build_around(stepped(35, order=order))
