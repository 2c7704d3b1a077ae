"""Rules of the trade as check values, and masses against published densities and thicknesses."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.build import pieces
from meshes.materials import MATERIALS
from scenes.cutting.cut_list import cut_list
from scenes.cutting.pattern import Pattern
from scenes.scene import load

LEAD = 11340.0  # kg/m3, as textbooks print it
BY_CODE = {"lead code 3": 1.32, "lead code 4": 1.80, "lead code 5": 2.24, "lead code 6": 2.65}
"""Thicknesses [mm] of rolled lead sheet by code in BS EN 12588: second-hand (trade tables agree)."""
DENSITY = {"zinc": 7140.0, "copper": 8940.0, "aluminium": 2700.0}
"""kg/m3, as textbooks print them: memory."""


def pattern(name: str, piece: str) -> Pattern:
    return next(one for one in cut_list(load(name)).patterns if one.piece == piece)


@pytest.mark.parametrize("name", ["cottage", "low"])
def test_an_apron_is_the_stack_and_50_mm_at_each_end(name: str) -> None:
    """Common practice, no source: the blank is the stack's width and 50 mm at each end."""
    detail = load(name).detail
    assert detail is not None
    apron = pattern(name, "front apron")
    assert detail.apron.overhang == 0.050
    assert apron.size[0] == pytest.approx(detail.stack.width + 2 * 0.050, abs=1e-9)


@pytest.mark.parametrize("name", ["low", "ridge"])
def test_an_aprons_width_is_turn_in_upstand_and_cover(name: str) -> None:
    """Common practice, no source: turn-in + upstand + cover. The turn-in lies a bedding gap or two off
    the wall and leans 5 degrees, and the cover dresses over a nose: a few mm more, hardly less."""
    detail = load(name).detail
    assert detail is not None
    apron = pattern(name, "front apron")
    rule = detail.apron.turn_in + detail.apron.upstand + detail.apron.cover
    assert -0.002 < apron.size[1] - rule < 0.025


@pytest.mark.parametrize("name", ["cottage", "low", "terrace"])
def test_a_side_reaches_from_the_gutters_sole_to_the_aprons_lower_edge(name: str) -> None:
    """Common practice, no source: from under the back gutter down to the apron's lower edge. On the folded
    pieces: as low as the apron, and up past the gutter's upstand."""
    detail = load(name).detail
    assert detail is not None
    made = {one.name: one.facets.points for one in pieces(detail).values()}
    side, apron = made["left side flashing"], made["front apron"]
    assert side[:, 1].min() == pytest.approx(apron[:, 1].min(), abs=2e-3)
    assert side[:, 1].max() > detail.stack.depth
    straight = pattern(name, "left side flashing").size[1]
    along = (side[:, 1].max() - side[:, 1].min()) / np.cos(detail.roof.pitch)
    assert straight == pytest.approx(along, abs=0.005)


@pytest.mark.parametrize("code", BY_CODE)
def test_lead_weighs_what_its_code_says(code: str) -> None:
    """BS EN 12588's thickness by code (second-hand) times the density of lead, 11340 kg/m3."""
    assert MATERIALS[code].mass == pytest.approx(BY_CODE[code] * LEAD / 1000, rel=0.001)


@pytest.mark.parametrize("name", DENSITY)
def test_other_sheet_weighs_thickness_times_density(name: str) -> None:
    """Derived from textbook densities (memory)."""
    one = MATERIALS[name]
    assert one.mass == pytest.approx(one.thickness * DENSITY[name], rel=0.002)


def test_a_blank_weighs_its_area() -> None:
    """Derived: by hand for one blank of code 4, 1.80 mm x 11340 kg/m3."""
    found = cut_list(load("cottage"))
    apron = found.patterns[0]
    assert found.mass(apron) == pytest.approx(apron.area * 0.00180 * LEAD, rel=0.001)
