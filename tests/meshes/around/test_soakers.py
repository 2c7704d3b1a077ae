"""Soakers between the courses and the step flashing over them."""

from __future__ import annotations

from itertools import pairwise
from math import atan, cos, hypot, radians
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
from meshes.rules import US_STEP_LAP, US_STEP_LEG
from meshes.spec import Detail, Roof, Sides, Stack
from meshes.surplus import corner_surplus
from tests.meshes.crossings import cuts
from tests.meshes.details import detail

STACK = Stack(width=0.59, depth=0.44, height=1.6)


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


@pytest.mark.parametrize("covering", ["plain tiles", "interlocking"])
def test_soakers_and_steps_cut_nothing(covering: str) -> None:
    """Each stands outside the one below it, in the covering's slot (derived)."""
    made = build_around(soaked(30, covering=covering))
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
