"""What the rule book asks, against the figures it is taken from."""

from __future__ import annotations

from math import nan, radians, sin

import pytest

from meshes.errors import SceneError
from meshes.parts import Role
from meshes.rules import RISE_OF_A_LAP
from sim.rulebook import need_of

FLASHING, COVERING, UNDERLAY = Role.FLASHING, Role.COVERING, Role.UNDERLAY


def way(length, degrees_up):
    return length, length * sin(radians(degrees_up))


@pytest.mark.parametrize(("degrees_up", "printed"), [(11, 390), (15, 290), (17.5, 250), (22, 200)])
def test_laps_up_the_slope_against_the_handbook_row(degrees_up, printed):
    """Seen: the row 390@11, 290@15, 250@17.5, 200@22, in trade guidance citing the sheet-lead manual.

    It is 75 mm over the sine, rounded to 10 mm: 393.1, 289.8, 249.4, 200.2. All are within 1 %.
    """
    need = need_of(FLASHING, FLASHING, *way(0.2, degrees_up))
    assert need is not None
    assert need.length * 1000 == pytest.approx(printed, rel=0.01)
    assert need.length * sin(radians(degrees_up)) == pytest.approx(RISE_OF_A_LAP, rel=1e-12)


@pytest.mark.parametrize("degrees_up", [30, 40, 60])
def test_a_lap_up_a_steep_slope_has_a_floor(degrees_up):
    """Seen: 150 mm as a floor from 30 degrees up (same source)."""
    for upper in (FLASHING, COVERING):
        need = need_of(upper, FLASHING, *way(0.2, degrees_up))
        assert need is not None
        assert need.length == pytest.approx(0.150, rel=1e-12)


def test_a_cover_over_the_covering_is_150_whichever_way_it_runs():
    """Seen: covers of aprons and side flashings, several trade guides: 150 mm."""
    for degrees_up in (0, 25, 60):
        need = need_of(FLASHING, COVERING, *way(0.1, degrees_up))
        assert need is not None
        assert need.length == 0.150


@pytest.mark.parametrize(
    ("roof", "lap"), [(40, 0.100), (35, 0.100), (34, 0.150), (15, 0.150), (14, 0.225)]
)
def test_underlay_goes_by_the_pitch_of_the_roof(roof, lap):
    """Seen: underlay laps 100 mm at 35 degrees and above, 150 at 15 to 34, 225 below."""
    need = need_of(UNDERLAY, FLASHING, *way(0.1, roof - 7), roof_pitch=radians(roof))
    assert need is not None
    assert need.length == lap
    own = need_of(UNDERLAY, FLASHING, *way(0.1, roof))
    assert own is not None
    assert own.length == lap


def test_across_the_slope_and_round_an_edge_25_are_enough():
    """Practice: 25 to 30 mm for returns and folded edges (common practice, no source)."""
    sideways = need_of(FLASHING, FLASHING, *way(0.03, 2))
    folded = need_of(FLASHING, FLASHING, *way(0.03, 40), wraps=True)
    assert sideways is not None
    assert folded is not None
    assert sideways.length == folded.length == 0.025
    assert "practice" in sideways.source


def test_on_an_upright_face_the_rise_counts():
    """Seen: water line of a side flashing 65 mm; over the sine of the way's climb (derived)."""
    straight = need_of(FLASHING, FLASHING, *way(0.1, 90), upright=True)
    askew = need_of(FLASHING, FLASHING, *way(0.1, 60), upright=True)
    assert straight is not None
    assert askew is not None
    assert straight.length == pytest.approx(0.065)
    assert askew.length == pytest.approx(0.065 / sin(radians(60)))


@pytest.mark.parametrize(
    ("upper", "lower"),
    [(COVERING, COVERING), (FLASHING, UNDERLAY), (UNDERLAY, COVERING), (Role.STACK, FLASHING)],
)
def test_pairs_without_a_rule_are_left_alone(upper, lower):
    """Derived: the rule book's own list of pairs."""
    assert need_of(upper, lower, *way(0.1, 30)) is None


def test_a_way_that_falls_inward_is_no_lap():
    """Derived: water runs in by its weight, however long the way."""
    assert need_of(FLASHING, FLASHING, *way(0.3, -20)) is None
    assert need_of(FLASHING, COVERING, *way(0.3, -20)) is None


@pytest.mark.parametrize(
    ("length", "rise"), [(0.0, 0.0), (-0.1, 0.0), (0.1, 0.11), (nan, 0.0), (0.1, nan)]
)
def test_nonsense_is_refused(length, rise):
    """Derived: the ranges in the docstring."""
    with pytest.raises(SceneError, match="of a lap must be"):
        need_of(FLASHING, FLASHING, length, rise)
