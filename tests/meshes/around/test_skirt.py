"""Covers in front of and beside a stack: no hole along its foot, and none past the roof's edges."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from meshes.around.build import build_around
from meshes.around.reach import OFF_EDGE
from meshes.parts import Role
from meshes.spec import Detail, Stack
from tests.meshes.around.details_around import DETAILS, Wet, around, beside, not_shed

UNEQUAL = ((-0.3, 0.0), (0.2, 0.05), (0.35, 0.4), (-0.2, 0.35))
STACKS: dict[str, Detail] = {
    **DETAILS,
    "front between two backs at different heights": around(
        45, stack=Stack(plan="points", points=UNEQUAL, height=1.8, turn=0.6)
    ),
}


@pytest.mark.parametrize("name", STACKS)
def test_no_drop_beside_the_stack_meets_the_underlay_first(name: str) -> None:
    """Exact geometry: what falls straight down beside a stack lands on sheet or covering: between its
    pieces and along its foot there is no hole. And in calm rain all of it is shed."""
    detail = STACKS[name]
    wet = Wet.of(build_around(detail))
    drops, ended = wet.fall(beside(detail, 1500))
    roles = wet.charts.surface.part_roles
    first = np.array([roles[part] for part in wet.charts.part[drops.chart]])
    assert not (first == Role.UNDERLAY).any()
    assert not_shed(ended) == {}


@pytest.mark.parametrize("room", [0.04, 0.08, 0.12])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_cover_stops_at_a_verge(side: str, room: float) -> None:
    """A verge nearer than the cover is wide: the cover ends 2 mm before it, and drops still shed."""
    detail = around(roof={side: room})
    made = build_around(detail)
    plan = detail.stack.outline()
    verge = plan.left - room if side == "left" else plan.right + room
    past = min if side == "left" else max
    ends = [past(part.vertices[:, 0]) for part in made if part.name == f"{side} side flashing"]
    inside = OFF_EDGE if side == "left" else -OFF_EDGE
    assert ends == [pytest.approx(verge + inside, abs=1e-9)]
    far = [abs(part.vertices[:, 0]).max() for part in made if part.role is Role.FLASHING]
    assert min(far) <= abs(verge)
    _, ended = Wet.of(made).fall(beside(detail, 1000))
    assert not_shed(ended) == {}


def test_a_cover_stops_at_the_eaves() -> None:
    """The roof goes 300 mm below the stack, a cover asked for is longer than allowed: refused; one that
    fits stays above the eaves."""
    detail = around(roof={"below": 0.3})
    made = build_around(replace(detail, apron=replace(detail.apron, cover=0.25)))
    apron = next(part for part in made if part.name == "front apron")
    covering = next(part for part in made if part.role is Role.COVERING)
    assert apron.vertices[:, 1].min() > covering.vertices[:, 1].min()
