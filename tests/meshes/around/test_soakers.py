"""Soakers between the courses and the step flashing over them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import atan, cos, hypot, radians, sin
from typing import Any

import numpy as np
import pytest

import sim.surface
from meshes.around.build import build_around, pieces_around
from meshes.around.scheme import scheme_of
from meshes.around.soakers import soakers_on
from meshes.around.step_flashing import wall_of
from meshes.around.step_pieces import MOST_PARTS
from meshes.errors import PieceError
from meshes.parts import Role
from meshes.rules import US_STEP_LAP, US_STEP_LEG
from meshes.sheet import normal_of
from meshes.spec import BackGutter, Detail, Roof, Sides, Stack
from meshes.surplus import corner_surplus
from tests.meshes.around.details_around import around
from tests.meshes.crossings import cuts, cuts_itself
from tests.meshes.details import detail

STACK = Stack(width=0.59, depth=0.44, height=1.6)
SOAKERS = Sides(way="soakers")


def soaked(pitch_deg: float = 35, **changes: Any) -> Detail:
    """The shipped stack with soakers and step flashing."""
    settings: dict[str, Any] = {"stack": STACK, "sides": Sides(way="soakers")}
    return detail(pitch_deg, **(settings | changes))


def test_soakers_have_the_handbooks_length() -> None:
    """Gauge 100 and lap 65 mm give 190 mm, up the slope: trade guidance (seen)."""
    pieces = {made.name: made for made in pieces_around(soaked())}
    points = pieces["left soaker 3"].facets.points
    long = np.ptp(points[[*pieces["left soaker 3"].facets.polygons[0]]][:, 1:], axis=0)
    assert hypot(*long) == pytest.approx(0.190, abs=1e-4)


def test_soakers_are_folded_only() -> None:
    """No surplus and no want of sheet but where the first one is dressed over the apron (exact)."""
    for made in pieces_around(soaked()):
        if "soaker" in made.name and not made.name.endswith(" 1"):
            assert corner_surplus(made.facets) == {}


def test_the_american_step_is_expressed() -> None:
    """4 by 4 in with 2 in lap, IRC R905.2.8.3 (seen): legs on roof and wall, and successive laps."""
    roof = Roof(pitch=radians(30), gauge=0.127, thickness=0.012, head_lap=US_STEP_LAP)
    sides = Sides(way="soakers", soaker_width=US_STEP_LEG, soaker_upturn=US_STEP_LEG)
    told = soaked(roof=roof, sides=sides)
    made = scheme_of(told)
    row = soakers_on(made, wall_of(made.chains.under[0]))
    own = cos(atan(made.courses.slope))
    for below, above in pairwise(row):
        assert (below.high - above.low) / own >= US_STEP_LAP - 1e-9
        apart = above.off_at(above.low) - below.off_at(above.low)
        assert apart == pytest.approx(told.gap)
    assert not {pair for pair in cuts(build_around(told)) if "stack" not in pair}


@pytest.mark.parametrize("pitch_deg", [30, 40, 50])
@pytest.mark.parametrize("covering", ["plain tiles", "interlocking", "slates"])
def test_soakers_and_steps_cut_nothing(covering: str, pitch_deg: float) -> None:
    """Each stands outside the one below it, in the covering's slot (derived)."""
    made = build_around(around(pitch_deg, covering, roof={"clearance": 0.016}, sides=SOAKERS))
    assert not {pair for pair in cuts(made) if "stack" not in pair}
    assert not [part.name for part in made if part.role is Role.FLASHING and cuts_itself(part)]


@pytest.mark.parametrize("corner_return", [0.0, 0.004, 0.015, 0.09])
def test_soakers_and_steps_cut_nothing_whatever_the_return(corner_return: float) -> None:
    """The first soaker's return stands between the apron's upstand and the step's return (derived)."""
    made = build_around(soaked(40, sides=replace(SOAKERS, corner_return=corner_return)))
    assert not {pair for pair in cuts(made) if "stack" not in pair}


@pytest.mark.parametrize("covering", ["plain tiles", "interlocking"])
def test_upturns_end_on_one_line_over_the_noses(covering: str) -> None:
    """Derived: 75 mm (trade guidance, seen) over the plane through the noses, square to it, from end
    to end of each, however flat the courses run; nowhere less above the sheet itself."""
    deep = Stack(width=0.59, depth=1.2, height=2.4)
    told = around(35, covering, roof={"clearance": 0.016}, sides=SOAKERS, stack=deep)
    pitch, found = told.roof.pitch, 0
    for made in pieces_around(told):
        for row, name in zip(made.facets.polygons, made.facets.names, strict=True):
            if name != "upturn":
                continue
            points = made.facets.points[list(row)]
            over = points[:, 2] * cos(pitch) - points[:, 1] * sin(pitch)
            top = over > over.max() - 1e-6
            assert over[top] == pytest.approx([told.sides.soaker_upturn] * 2, abs=1e-6)
            # The first one comes down over the apron, two bedding gaps above the courses.
            assert over[~top].max() < (0.003 if made.name.endswith(" 1") else 0.0)
            found += 1
    assert found >= 6


@pytest.mark.parametrize("pitch_deg", [30, 37, 45])
def test_soakers_show_their_wet_side(pitch_deg: float) -> None:
    """Derived: it is the upper side on the roof and the outer side up the wall, on both sides of the
    stack."""
    for made in pieces_around(soaked(pitch_deg)):
        if "soaker" not in made.name:
            continue
        outward = -1 if made.name.startswith("left") else 1
        for row, name in zip(made.facets.polygons, made.facets.names, strict=True):
            x, _, z = normal_of(made.facets.points[list(row)])
            assert z > -1e-9 if name == "sheet" else True
            assert x * outward > 0.9 if name == "upturn" else True


def test_a_sheet_behind_that_would_be_turned_in_through_the_steps_is_refused() -> None:
    """One line, with the height that is enough (derived)."""
    tall = replace(SOAKERS, soaker_upturn=US_STEP_LEG)
    settings: dict[str, Any] = {"roof": {"clearance": 0.016}, "sides": tall}
    with pytest.raises(PieceError, match="gutter upstand must be at least 132 mm here"):
        build_around(around(30, "interlocking", **settings))
    made = build_around(around(30, "interlocking", gutter=BackGutter(upstand=0.132), **settings))
    assert not {pair for pair in cuts(made) if "stack" not in pair}


def test_no_more_parts_than_the_water_takes() -> None:
    """The steps become one strip a side where there would be more, and then soakers are refused."""
    assert MOST_PARTS == sim.surface.MOST_PARTS
    long = Stack(width=0.59, depth=1.5, height=3)
    names = [made.name for made in pieces_around(soaked(35, stack=long))]
    assert "left step flashing" in names
    endless = Stack(width=0.59, depth=4, height=5)
    with pytest.raises(PieceError, match=r"side way must be .* more soakers than"):
        build_around(soaked(35, stack=endless))


def test_what_cannot_have_soakers_is_refused() -> None:
    """One line, with the rule and the value."""
    with pytest.raises(PieceError, match="cover or stepped cover on a covering without courses"):
        build_around(soaked(covering="one plane"))
    steep = soaked(50, sides=Sides(way="soakers", step_lap=0.06))
    with pytest.raises(PieceError, match="step lap must be at most 53 mm here"):
        build_around(steep)
