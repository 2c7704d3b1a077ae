"""Remarks: what the material can't give, covers that a roof's edge cuts short, worked corners."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from meshes.around.build import pieces_around
from meshes.around.worth_saying import longest_side, worth_saying
from meshes.build import pieces
from meshes.piece import piece
from meshes.spec import BackGutter, Detail, Sides, Stack
from tests.meshes.around.details_around import around
from tests.meshes.details import detail as square


def _remarks(detail: Detail) -> tuple[str, ...]:
    return worth_saying(detail, pieces_around(detail))


def test_longest_side_of_a_folded_strip() -> None:
    """Exact: 300 mm wide, folded square from legs of 200 and 50 mm."""
    named = [
        ("upright", [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, 0.0, 0.05), (0.0, 0.0, 0.05)]),
        ("level", [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, -0.2, 0.0), (0.0, -0.2, 0.0)]),
    ]
    assert longest_side(piece("strip", named, wet=(0, -1, 0))) == pytest.approx(0.3)


def test_both_sides_in_one_line() -> None:
    """Practice (`materials`): zinc gives no stretch, plain tiles ask for some; said once for both."""
    found = [line for line in _remarks(around(material="zinc")) if "must be stretched" in line]
    assert len(found) == 1
    assert found[0].startswith("side flashing (left and right) must be stretched by")
    assert "zinc gives none" in found[0]


def test_a_piece_longer_than_its_sheet() -> None:
    """Seen (NHBC 7.2 Table 22 by `materials`): lead pieces to 1.5 m; the apron of a 1.6 m stack isn't."""
    stack = Stack(width=1.6, depth=0.5, height=1.9)
    found = [line for line in _remarks(around(stack=stack)) if line.startswith("front apron is")]
    assert len(found) == 1
    assert "a piece of lead code 4 at most 1500 mm" in found[0]
    assert not [line for line in _remarks(around()) if "long, a piece" in line]


def test_a_cover_that_runs_out_at_the_verge() -> None:
    """Exact: 90 mm of roof beside the stack, less the stand-off of 3 mm and 2 mm at the verge."""
    found = [line for line in _remarks(around(roof={"right": 0.09})) if "verge" in line]
    assert found == ["the right cover is 85 mm wide instead of 150 mm: the verge is there"]
    assert not [line for line in _remarks(around()) if "verge" in line]


def test_a_cover_that_runs_out_at_the_eaves() -> None:
    """Derived: a diamond's cover of 400 mm reaches 1.25 times that down the slope from its lowest
    corner; with 300 mm of roof in plan there, at 40 degrees, the rest of it is missing."""
    stack = Stack(width=0.6, depth=0.6, turn=radians(45), height=1.6)
    detail = around(stack=stack, sides=Sides(cover=0.4), roof={"below": 0.3})
    found = [line for line in _remarks(detail) if "eaves" in line]
    assert len(found) == 1
    short = float(found[0].split(" cut ")[1].split(" mm ")[0])
    low = min(made.facets.points[:, 1].min() for made in pieces_around(detail))
    assert short == pytest.approx(
        (0.5 * np.cos(radians(40)) + low) / np.cos(radians(40)) * 1000, abs=4
    )


def test_corners_of_pieces_that_are_alike_are_told_once() -> None:
    """Derived (angle defect, `surplus`): a 40 degree roof's side flashing turned round a square corner,
    upstand and cover, lacks sheet there; both sides in one line, and fewer degrees than a full turn."""
    found = [line for line in _remarks(around()) if line.startswith("side flashing")]
    told = [line for line in found if "lacks sheet at 1 corner of the stack each" in line]
    assert len(told) == 1
    assert told[0].startswith("side flashing (left and right)")
    assert 0 < int(told[0].split(", ")[1].split(" ")[0]) < 360
    assert "weld it, patch it or boss it there" in told[0]


def test_pieces_of_the_square_builder_too() -> None:
    """Derived (angle defect): a gutter's upstand, turned round both back corners with its sole beside
    it, lacks sheet at both; nothing is said of a fin, whose ear takes up its surplus by folding."""
    detail = square(joint="fin")
    found = worth_saying(detail, pieces(detail).values())
    assert len(found) == 1
    assert found[0].startswith("back gutter lacks sheet at 2 corners of the stack, ")


def test_a_saddle_says_its_height_and_its_valleys_fall() -> None:
    """IRC R1003.20's rule by `rules` (seen): half the width times the pitch's tangent; exact: valleys
    at 45 degrees in plan fall by the pitch's tangent over the root of two."""
    stack = Stack(width=1.5, depth=0.5, height=1.9)
    detail = around(30, stack=stack, gutter=BackGutter(behind="saddle"), roof={"above": 2.2})
    found = [line for line in _remarks(detail) if line.startswith("the saddle")]
    height, fall = 750 * np.tan(radians(30)), np.degrees(np.arctan(np.tan(radians(30)) / 2**0.5))
    assert len(found) == 1
    assert f"{height:.0f} mm over the roof" in found[0]
    assert f"fall at {fall:.1f} degrees" in found[0]
    assert not [line for line in _remarks(around()) if "saddle" in line]


def test_what_cannot_be_bossed_is_not_told_to_be() -> None:
    """Common practice, no source: zinc gives no stretch, so its corners are soldered or patched."""
    detail = around(material="zinc")
    told = " ".join(worth_saying(detail, pieces(detail).values()))
    assert "boss" not in told
    assert "solder, weld or patch it there" in told
