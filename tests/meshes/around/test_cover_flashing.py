"""Two-part details: cover flashings turned into the chase over upstands that stand free."""

from __future__ import annotations

from math import radians
from typing import Any

import numpy as np
import pytest

from meshes.around.build import build_around, pieces_around
from meshes.errors import PieceError
from meshes.piece import Piece
from meshes.spec import Apron, BackGutter, Detail, Sides, SideWay, Stack
from tests.meshes.around.details_around import Wet, around, beside, not_shed, sheets
from tests.meshes.around.test_corners import COVERED, PLANS
from tests.meshes.crossings import cuts, cuts_itself

TWO: dict[str, Any] = {"apron": Apron(two_part=True), "gutter": BackGutter(two_part=True)}
DROPS = 300


def _named(detail: Detail) -> dict[str, Piece]:
    return {made.name: made for made in pieces_around(detail)}


def _leg(made: Piece) -> np.ndarray:
    rows = zip(made.facets.polygons, made.facets.names, strict=True)
    return np.vstack([made.facets.points[list(row)] for row, name in rows if name == "leg"])


@pytest.mark.parametrize("plan", [name for name in COVERED if name != "diamond"])
def test_no_sheet_cuts_another_and_calm_rain_is_shed(plan: str) -> None:
    """Exact: no edge of a sheet meets another sheet; every drop that falls in still air beside the
    stack ends over an edge of the roof. Plain tiles at 40 degrees, interlocking at 20."""
    pitch = COVERED[plan]
    covering = "plain tiles" if pitch == 40 else "interlocking"
    detail = around(pitch, covering, stack=PLANS[plan], **TWO)
    assembly = build_around(detail)
    only = sheets(assembly)
    assert not cuts(only)
    assert not [part.name for part in only if part.name != "covering" and cuts_itself(part)]
    _, ended = Wet.of(assembly).fall(beside(detail, DROPS))
    assert not not_shed(ended)


def test_the_front_one_laps_the_apron_outside_everything() -> None:
    """Exact: it hangs 75 mm down over an upstand 150 mm high, two gaps outside the sheet behind the
    stack's layer, and turns 30 mm round both corners. The apron is not turned in."""
    detail = around(**TWO)
    made = _named(detail)
    leg = _leg(made["front cover flashing"])
    front = leg[np.abs(leg[:, 1] + 5 * detail.gap) < 1e-9]
    assert front[:, 2].min() == pytest.approx(
        0.150 - 0.075 - 0.005 * np.tan(radians(40)), abs=0.003
    )
    assert leg[:, 1].max() == pytest.approx(0.030 - 5 * detail.gap, abs=0.006)
    assert leg[:, 0].max() == pytest.approx(0.295 + 5 * detail.gap)
    assert "turn-in" not in made["front apron"].facets.names
    assert "turn-in" not in made["back gutter"].facets.names
    assert list(made)[-2:] == ["front cover flashing", "back cover flashing"]


def test_the_back_one_laps_the_gutters_upstand() -> None:
    """Exact: its lower edge is the lap below the upstand's top edge, all along."""
    detail = around(gutter=BackGutter(two_part=True, flashing_lap=0.06))
    made = _named(detail)
    gutter = made["back gutter"].facets
    rows = zip(gutter.polygons, gutter.names, strict=True)
    tops = np.vstack([gutter.points[list(row)] for row, name in rows if name == "upstand"])
    assert _leg(made["back cover flashing"])[:, 2].min() == pytest.approx(tops[:, 2].max() - 0.06)


@pytest.mark.parametrize("way", ["soakers", "stepped cover"])
def test_it_passes_over_the_steps_of_the_sides(way: SideWay) -> None:
    """Exact: where steps stand higher than the flashing would, it is turned in above them."""
    detail = around(sides=Sides(way=way), apron=Apron(two_part=True))
    assert not cuts(sheets(build_around(detail)))


def test_beyond_a_ridge_there_is_another() -> None:
    """Exact: a stack through the ridge has an apron on both slopes, and both are covered."""
    stack = Stack(width=0.6, depth=0.6, height=1.4)
    detail = around(stack=stack, roof={"ridge": 0.3}, apron=Apron(two_part=True))
    made = _named(detail)
    front, rear = _leg(made["front cover flashing"]), _leg(made["rear cover flashing"])
    assert rear[:, 1].min() == pytest.approx(0.6 - front[:, 1].max())
    assert rear[:, 2].max() == pytest.approx(front[:, 2].max())
    assert not cuts(sheets(build_around(detail)))


def test_what_there_is_nothing_to_cover_for_is_refused() -> None:
    """No source: a lap longer than the upstand, and an apron on a stack that has no front."""
    with pytest.raises(PieceError, match="apron flashing lap must be at most 80 mm"):
        build_around(around(apron=Apron(two_part=True, upstand=0.1, flashing_lap=0.09)))
    with pytest.raises(PieceError, match="two-part apron must be off where no face"):
        build_around(around(stack=PLANS["diamond"], apron=Apron(two_part=True)))
    stack = Stack(width=0.6, depth=0.6, height=1.4)
    through = around(stack=stack, roof={"ridge": 0.3}, gutter=BackGutter(two_part=True))
    with pytest.raises(PieceError, match="two-part gutter must be off where there is a ridge"):
        build_around(through)
