"""Usual figures of coverings by their trade names."""

from __future__ import annotations

from math import degrees, radians

import pytest

from meshes.coverings import USUAL, Usual
from meshes.errors import PieceError
from meshes.spec import Roof

LEAST_LAPS = {"plain tiles": 0.065, "interlocking": 0.075, "slates": 0.054, "profiled": 0.075}
"""[m] NHBC Standards 7.2, Table 21 (seen); it has no row for profiled tiles but that of interlocking."""
LENGTHS = {"plain tiles": 0.265, "interlocking": 0.420, "slates": 0.500}
"""[m] of one tile or slate (memory)."""


@pytest.mark.parametrize(("name", "least"), LEAST_LAPS.items())
def test_head_laps_reach_what_is_asked(name: str, least: float) -> None:
    """NHBC 7.2, Table 21 (seen)."""
    assert (USUAL[name].head_lap or 0) >= least


@pytest.mark.parametrize(("name", "length"), LENGTHS.items())
def test_gauge_and_lap_make_up_the_length(name: str, length: float) -> None:
    """Derived: a tile's length is its gauge, twice where it is double-lapped, and the lap; lengths from
    memory."""
    roof = Roof(pitch=radians(40), covering="coursed", **USUAL[name].figures())  # type: ignore[arg-type]
    assert roof.course_length == pytest.approx(length, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "flatter"), [("plain tiles", 6.84), ("interlocking", 4.14), ("slates", 2.29)]
)
def test_how_much_flatter_they_lie_than_the_rafters(name: str, flatter: float) -> None:
    """Derived: arctan of thickness over gauge. Trade guidance (seen) says about 5 for interlocking and
    10 for plain tiles, whose camber our flat courses lack."""
    usual = USUAL[name]
    roof = Roof(pitch=radians(20), covering=usual.covering, **usual.figures())  # type: ignore[arg-type]
    assert degrees(roof.pitch - roof.covering_pitch) == pytest.approx(flatter, abs=0.005)


def test_each_says_where_its_figures_come_from() -> None:
    """Contract: every figure of a covering is named in its source."""
    for usual in USUAL.values():
        for figure in ("head lap", "gauge", "thickness"):
            assert usual.gauge is None or figure in usual.source
        assert ("wave" in usual.source) == (usual.wave_depth is not None)
    assert not USUAL["one plane"].figures()


def test_figures_that_no_roof_can_have() -> None:
    """Own edge case: at 20 degrees a course must still fall."""
    with pytest.raises(
        PieceError, match="pitch of the covering itself must be more than 2 degrees"
    ):
        Usual(covering="coursed", gauge=0.08, thickness=0.03, source="none")
