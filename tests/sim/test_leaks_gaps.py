"""Gaps in a sheet itself: splits, tears and holes, found by exact geometry and told with their width."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from meshes.parts import Part, Role
from sim.leaks_causes import Cause
from sim.leaks_figures import mm
from tests.sim.sheets_for_laps import along, on_slope
from tests.sim.test_leaks import below, leaks_of, row
from tests.sim.test_leaks_why import PITCH, START, reads_well


def torn(gap: float) -> Part:
    """A sheet on the slope in two halves, the lower of which begins a gap below the other's end."""
    upper = along(on_slope(PITCH, 0.5, 1.2), -0.5, 0.5, name="sheet")
    lower = along(on_slope(PITCH, 0.1, 0.5 - gap), -0.5, 0.5, name="sheet")
    return joined(upper, lower)


def split_in_its_bend(gap: float) -> Part:
    """A sheet that falls to its own upstand, split where it bends: the sole ends a gap before that."""
    sole = along([(gap, 0.0), (1.0, np.tan(PITCH))], -0.5, 0.5, name="sheet")
    return joined(along([(0.0, 0.1), (0.0, 0.0)], -0.5, 0.5, name="sheet"), sole)


def joined(one: Part, other: Part) -> Part:
    """Two parts as one."""
    faces = np.vstack([one.faces, other.faces + len(one.vertices)])
    return Part(one.name, one.role, np.vstack([one.vertices, other.vertices]), faces)


@pytest.mark.parametrize("made", [torn, split_in_its_bend])
@pytest.mark.parametrize("gap", [0.002, 0.012])
def test_water_that_goes_through_a_gap_in_a_sheet(
    made: Callable[[float], Part], gap: float
) -> None:
    """Exact geometry: the gap is as wide as it was made, and what goes through is said to."""
    (leak,), _, _ = leaks_of([made(gap), below()], row(9, 0.9, 1.0))
    assert leak.cause is Cause.THROUGH_A_GAP
    assert leak.course.gap == pytest.approx(gap, abs=1e-6)
    assert leak.parts == ("sheet",)
    assert leak.way_in.startswith("through a gap in the sheet, at the ")
    reads_well(leak)
    assert f"comes to a gap in the sheet itself, {mm(gap)} wide, and its own weight" in leak.why


@pytest.mark.parametrize("above", [True, False])
def test_the_way_in_is_at_the_gap(above: bool) -> None:
    """Derived: water goes in where the sheet is torn, 0.5 m up the slope, though a board hides the sky from
    there up to 0.8 m, or though it runs on in the open on what lies 10 mm below the gap."""
    half, lift = (2.0, 0.1) if above else (0.5, -0.010)
    name, role = ("board", Role.STACK) if above else ("covering", Role.COVERING)
    other = along(on_slope(PITCH, 0.15, 0.8, lift), -half, half, name=name, role=role)
    (leak,), _, _ = leaks_of([torn(0.012), other, below()], row(9, 0.9, 1.0))
    assert leak.cause is Cause.THROUGH_A_GAP
    assert leak.point[1:] == pytest.approx(on_slope(PITCH, 0.0, 0.5)[1], abs=2e-3)
    assert leak.course.run[-1].length == pytest.approx(START - 0.5, abs=2e-3)
    assert leak.parts == ("sheet",)


def test_a_wide_opening_is_no_gap() -> None:
    """Derived: two pieces 60 mm apart end there, each for itself."""
    (leak,), _, _ = leaks_of([torn(0.06), below()], row(9, 0.9, 1.0))
    assert leak.cause is Cause.PAST_AN_END
    assert np.isnan(leak.course.gap)


def test_a_hem_is_no_gap() -> None:
    """Derived: the raw edge of a hem 12 mm deep lies that far from the fold, on the sheet's own breadth."""
    line = [*on_slope(PITCH, 0.0, 0.5)[::-1], on_slope(PITCH, 0.012, 0.012, -0.002)[0]]
    hemmed = along(line, -0.5, 0.5, name="gutter")
    (leak,), _, _ = leaks_of([hemmed, below()], row(9, 0.3, 1.0))
    assert leak.cause is not Cause.THROUGH_A_GAP
    assert np.isnan(leak.course.gap)
