"""Corners round any plan: returns that face either way, slits with patches, bossed corners."""

from __future__ import annotations

from math import cos, pi, radians, tan
from typing import Any

import numpy as np
import pytest

from meshes.around.build import build_around, pieces_around
from meshes.around.scheme import scheme_of
from meshes.errors import PieceError
from meshes.materials import MATERIALS
from meshes.piece import Piece
from meshes.rules import bossing_stretch
from meshes.spec import Apron, Detail, Sides, Stack
from tests.meshes.around.details_around import Wet, around, beside, not_shed, sheets
from tests.meshes.crossings import cuts, cuts_itself

PLANS = {
    "square": Stack(width=0.59, depth=0.44, height=1.4),
    "diamond": Stack(width=0.6, depth=0.6, turn=radians(45), height=1.6),
    "turned by 20": Stack(width=0.6, depth=0.44, turn=radians(20), height=1.6),
    "octagon": Stack(plan="regular", sides=8, across=0.6, height=1.6),
    "flue of 16": Stack(plan="round", diameter=0.3, facets=16, height=1.4),
    "flue of 32": Stack(plan="round", diameter=0.3, facets=32, height=1.4),
}
WAYS: dict[str, Any] = {
    "up-slope": {"facing": "up-slope"},
    "slit and patch": {"joint": "slit and patch"},
    # Sheet that gives all that a bossed corner can ask for here.
    "bossed": {"joint": "bossed", "material": "self-adhesive"},
}
DROPS = 300


def _named(detail: Detail) -> dict[str, Piece]:
    return {made.name: made for made in pieces_around(detail)}


def _facets(made: Piece, name: str) -> list[np.ndarray]:
    rows = zip(made.facets.polygons, made.facets.names, strict=True)
    return [made.facets.points[list(row)] for row, called in rows if called == name]


COVERED = {"square": 40, "diamond": 40, "turned by 20": 20, "octagon": 20, "flue of 16": 40}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("plan", COVERED)
def test_no_sheet_cuts_another_and_calm_rain_is_shed(plan: str, way: str) -> None:
    """Exact: no edge of a sheet meets another sheet or its own; every drop that falls in still air
    beside the stack ends over an edge of the roof. Plain tiles at 40 degrees, interlocking at 20."""
    pitch = COVERED[plan]
    covering = "plain tiles" if pitch == 40 else "interlocking"
    low = Apron(upstand=0.080)
    assembly = build_around(around(pitch, covering, stack=PLANS[plan], apron=low, **WAYS[way]))
    only = sheets(assembly)
    assert not cuts(only)
    assert not [part.name for part in only if part.name != "covering" and cuts_itself(part)]
    _, ended = Wet.of(assembly).fall(beside(around(stack=PLANS[plan]), DROPS))
    assert not not_shed(ended)


def test_a_fold_that_faces_up_the_slope_is_the_earlier_pieces() -> None:
    """Practice: with the usual order the side's upstand turns onto the front face; folded the wrong
    way the apron's turns onto the side's face instead, outside the side flashing's upstand."""
    right = _named(around(facing="down-slope"))
    wrong = _named(around(facing="up-slope"))
    assert _facets(right["right side flashing"], "return")
    fronts = [row[:, 1].max() for row in _facets(right["right side flashing"], "return")]
    assert min(fronts) < 0, "on the front face"
    (fold, other) = _facets(wrong["front apron"], "return")
    upstand = _facets(wrong["right side flashing"], "upstand")[0]
    onto_right = fold if fold[:, 0].max() > 0 else other
    assert onto_right[:, 0].min() > upstand[:, 0].max(), "outside that upstand"
    assert np.ptp(onto_right[:, 1]) == pytest.approx(0.030, abs=1e-9)
    assert not [
        row for row in _facets(wrong["right side flashing"], "return") if row[:, 1].max() < 0
    ]


def test_a_facing_up_the_slope_is_refused_where_nothing_is_folded() -> None:
    """No source: a setting that would change nothing is told in one line."""
    for joint in ("slit and patch", "bossed"):
        with pytest.raises(PieceError, match=f"facing must be down-slope with a {joint} joint"):
            build_around(around(joint=joint, facing="up-slope"))


@pytest.mark.parametrize(
    ("plan", "patches"), [("square", 2), ("diamond", 1), ("octagon", 4), ("flue of 16", 2)]
)
def test_patches_where_corners_are_slit(plan: str, patches: int) -> None:
    """Derived: a square has two corners below its back, a diamond one; an octagon two between its
    pieces and one within each side's; of a round flue's only those between pieces are slit."""
    made = _named(around(stack=PLANS[plan], joint="slit and patch"))
    assert len([name for name in made if name.startswith("corner patch")]) == patches


def test_a_patch_lies_over_both_and_under_the_sheet_behind() -> None:
    """Exact: 50 mm to each side of its corner, a gap outside the later upstand; the sheet behind the
    stack lies one layer above the patches."""
    detail = around(joint="slit and patch")
    made = _named(detail)
    strip = np.vstack(_facets(made["corner patch 2"], "upstand"))
    stand = 4 * detail.gap
    assert strip[:, 0].max() == pytest.approx(0.295 + stand)
    assert strip[:, 0].min() == pytest.approx(0.295 - 0.050)
    assert strip[:, 1].max() == pytest.approx(0.050)
    assert strip[:, 1].min() == pytest.approx(-stand)
    names = list(made)
    assert names.index("corner patch 1") > names.index("right side flashing")
    assert names.index("corner patch 1") < names.index("back gutter")
    layers = scheme_of(detail).layers
    assert max(layers.values()) == 4


def test_a_bossed_piece_runs_round_its_corner_in_one() -> None:
    """Derived: of a 590 mm front each side takes 0.4 at most, here three times its upstand's height;
    the earlier piece ends beneath it, 50 mm past the joint. No return is left."""
    detail = around(joint="bossed")
    made = _named(detail)
    far = min(0.4 * 0.59, 3 * 0.065 / cos(radians(40)))
    side = np.vstack(_facets(made["right side flashing"], "upstand"))
    assert side[:, 0].min() == pytest.approx(0.295 - far)
    apron = np.vstack(_facets(made["front apron"], "tongue"))
    assert apron[:, 0].max() == pytest.approx(0.295 - far + 0.050)
    returns = _facets(made["right side flashing"], "return")
    assert all(row[:, 1].min() > 0.4 for row in returns), "but behind the stack"


def test_the_stretch_of_a_bossed_corner() -> None:
    """Derived: `rules.bossing_stretch` of the upstand's height at the corner, a right angle and the
    shorter of the lengths worked; on one plane nothing else is stretched."""
    detail = around(covering="one plane", joint="bossed")
    made = _named(detail)["right side flashing"]
    lift = 2 * detail.gap / cos(radians(40))
    high = 0.065 / cos(radians(40)) - lift
    far = min(0.4 * 0.59, 3 * 0.065 / cos(radians(40)))
    tops = np.vstack(_facets(made, "upstand"))
    at = tops[(np.abs(tops[:, 0] - 0.298) < 1e-9) & (np.abs(tops[:, 1] + 0.003) < 1e-9)]
    assert np.ptp(at[:, 2]) == pytest.approx(high + 0.0, rel=0.06)
    want = bossing_stretch(float(np.ptp(at[:, 2])), pi / 2, far)
    assert made.stretch == pytest.approx(want, rel=1e-6)


def test_what_cannot_be_bossed_is_refused() -> None:
    """Practice (`materials`): zinc isn't stretched; the line says how much it would take."""
    with pytest.raises(
        PieceError, match=r"joint must be return .* zinc gives 0 %.*Got joint = bossed"
    ):
        build_around(around(joint="bossed", material="zinc"))


def test_stretch_over_steps_is_that_of_the_foot() -> None:
    """Derived: up a course the foot rises by a riser, so that each gauge of covering takes that much
    more; about thickness over gauge for tiles of 345 and 25 mm (7 %), nothing on one plane."""
    stepped = _named(around(covering="interlocking"))["right side flashing"].stretch
    assert stepped == pytest.approx(25 / 345, rel=0.5)
    assert 0 < stepped < 25 / 345
    assert _named(around(covering="one plane"))["right side flashing"].stretch == 0


def test_a_collar_within_a_run_asks_what_a_collar_asks() -> None:
    """Derived: an annulus stretched from radius r - h to r to stand up h high round a flue of radius r
    must grow by h / (2 r - h); facets of a 32-sided flue come within a fifth of that."""
    high = 0.05
    detail = around(
        20, "one plane", stack=PLANS["flue of 32"], apron=Apron(upstand=high),
        sides=Sides(upstand=0.05),
    )  # fmt: skip
    got = _named(detail)["front apron"].stretch
    assert got == pytest.approx(high / (2 * 0.15 - high), rel=0.2)
    assert tan(pi / 32) * high < 0.0147, "the corners' kites don't overlap"
    assert MATERIALS[detail.material].stretch > got
