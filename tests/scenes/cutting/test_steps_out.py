"""Steps set out: against exact geometry, on steps over soakers and on stepped covers."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import cos, radians, tan

import pytest

from meshes.build import pieces
from meshes.spec import Detail, Roof, Sides, Stack
from scenes.cutting.steps_out import StepOut, steps_out


def detail_of(way: str, pitch: float, gauge: float) -> Detail:
    return Detail(
        roof=Roof(pitch=radians(pitch), gauge=0.200, thickness=0.008, head_lap=0.100),
        stack=Stack(width=0.68, depth=0.9, brick_gauge=gauge, height=2.5),
        sides=replace(Sides(), way=way),
    )


def steps(detail: Detail) -> list[StepOut]:
    return list(steps_out(detail, pieces(detail).values()))


@pytest.mark.parametrize("way", ["soakers", "stepped cover"])
@pytest.mark.parametrize(("pitch", "gauge"), [(30.0, 0.075), (45.0, 0.065), (40.0, 0.100)])
def test_whole_steps_are_gauge_over_tangent(way: str, pitch: float, gauge: float) -> None:
    """Exact geometry: each step rises a course; a whole one is gauge / tan(pitch) long, so that along the
    slope the next begins gauge / sin(pitch) further up. The last two share what is left, so that neither
    is too short to be turned in. No published worked example is known here."""
    detail = detail_of(way, pitch, gauge)
    run = gauge / tan(radians(pitch))
    for side in ("left", "right"):
        own = [one for one in steps(detail) if one.side == side]
        assert len(own) > 3
        assert [one.number for one in own] == list(range(1, len(own) + 1))
        for one in own[1:]:
            assert one.rise == pytest.approx(gauge, abs=1e-9)
        for one in own[1:-2]:
            assert one.tread == pytest.approx(run, abs=1e-6)
        for one, later in pairwise(own):
            assert later.along - one.along == pytest.approx(
                one.tread / cos(radians(pitch)), abs=1e-9
            )


@pytest.mark.parametrize("way", ["soakers", "stepped cover"])
def test_both_sides_are_alike_and_turned_in(way: str) -> None:
    """An invariance: a square stack's sides mirror each other; every step is turned in by 25 mm and the
    little that its sheet stands off the wall (common practice: 25 mm)."""
    found = steps(detail_of(way, 35.0, 0.075))
    left, right = ([one for one in found if one.side == side] for side in ("left", "right"))
    assert len(left) == len(right)
    for a, b in zip(left, right, strict=True):
        assert (a.along, a.tread, a.rise, a.turn_in) == pytest.approx(
            (b.along, b.tread, b.rise, b.turn_in), abs=1e-9
        )
        assert 0.025 <= a.turn_in < 0.036


def test_plain_covers_have_no_steps() -> None:
    """Derived."""
    assert steps(detail_of("cover", 35.0, 0.075)) == []
