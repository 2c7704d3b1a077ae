"""Laps put together the wrong way round: soakers, steps and cover flashings under what they should cover."""

from __future__ import annotations

from math import cos, radians, tan
from typing import Any

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from meshes.around.build import build_around, pieces_around
from meshes.errors import PieceError
from meshes.piece import Piece
from meshes.spec import Apron, BackGutter, Detail, Sides, Stack
from tests.meshes.around.details_around import around, sheets
from tests.meshes.crossings import cuts, cuts_itself, distances

HIDDEN: dict[str, Any] = {
    "apron": Apron(two_part=True, flashing_tucked=True),
    "gutter": BackGutter(two_part=True, upstand=0.16, flashing_tucked=True),
}
TURNED: dict[str, Sides] = {
    "soaker and step": Sides(way="soakers", tucked_soaker=2, tucked_step=4),
    "step behind": Sides(way="soakers", step_behind=3),
}
ROOM = {"clearance": 0.016}
X, Y = 0, 1


def soaked(**sides: Any) -> Detail:
    """The usual stack with soakers; sides: laps turned round."""
    told = Sides(way="soakers", **sides)
    return around(roof=ROOM, sides=told, gutter=BackGutter(upstand=0.16))


def named(detail: Detail) -> dict[str, Piece]:
    """The pieces by their names."""
    return {made.name: made for made in pieces_around(detail)}


def corners(made: Piece, facet: str) -> NDArray[np.float64]:
    """Corners (k, 3) [m] of a piece's first facet of a name."""
    facets = made.facets
    row = next(
        row for row, name in zip(facets.polygons, facets.names, strict=True) if name == facet
    )
    return facets.points[list(row)]


@pytest.mark.parametrize("pitch_deg", [30, 40, 50])
@pytest.mark.parametrize("covering", ["plain tiles", "slates"])
@pytest.mark.parametrize("turned", TURNED)
def test_laps_turned_round_cut_nothing(turned: str, covering: str, pitch_deg: float) -> None:
    """Exact: each sheet lies in a layer of its own, whichever way round."""
    detail = around(pitch_deg, covering, roof=ROOM, sides=TURNED[turned], **HIDDEN)
    only = sheets(build_around(detail))
    assert not cuts(only)
    assert not [part.name for part in only if part.name != "covering" and cuts_itself(part)]


@pytest.mark.parametrize("turned", TURNED)
def test_pieces_are_folded_from_their_blanks(turned: str) -> None:
    """Exact: folding keeps areas, so that a piece is as large as its blank."""
    for made in pieces_around(around(sides=TURNED[turned], roof=ROOM, **HIDDEN)):
        blank = sum(shapely.Polygon(panel).area for panel in made.blank().panels)
        part = made.part()
        a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
        folded = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()) / 2
        assert folded == pytest.approx(blank, rel=1e-9)


def test_a_tucked_soaker_lies_a_gap_under_the_one_below() -> None:
    """Exact: both lie on one course, a gap of 1 mm under each; the course over them is as much thinner,
    and no other moves."""
    was, now = soaked(), soaked(tucked_soaker=2)
    own, end = now.roof.covering_pitch, corners(named(now)["right soaker 2"], "sheet")
    # 20 mm off the wall and 10 mm up from its lower end; there the soaker below shows above it.
    within = end[np.argmin(end[:, Y])] + np.array([0.02, 0.01, 0.01 * tan(own)])
    lower = named(now)["right soaker 1"].part()
    top = lower.vertices[np.argmax(lower.vertices[:, Y] + lower.vertices[:, X])]
    assert top[2] - within[2] > (top[Y] - within[Y]) * tan(own)
    assert distances(within[None], lower)[0] == pytest.approx(now.gap, abs=2e-5)
    before, after = (build_around(detail)["covering"].vertices for detail in (was, now))
    moved = np.abs(after - before)[:, 2]
    assert set(np.round(1e6 * moved[moved > 1e-9])) == {round(1e6 * now.gap / cos(own))}


def test_a_tucked_step_hangs_behind_the_one_below() -> None:
    """Exact: all of its lower end is a gap and more inside that one, which ends in front of it, and which
    is turned in only as far as that end."""
    detail = soaked(tucked_step=3)
    made = named(detail)
    lower, upper = (corners(made[f"right step {n}"], "upstand") for n in (2, 3))
    starts, ends = upper[:, Y].min(), lower[:, Y].max()
    assert ends - starts == pytest.approx(detail.sides.step_lap, abs=1e-9)
    assert lower[:, X].min() - upper[:, X].max() >= detail.gap
    assert corners(made["right step 2"], "turn-in")[:, Y].max() == pytest.approx(starts + 0.003)
    right = named(soaked())
    apart = [corners(right[f"right step {n}"], "upstand") for n in (2, 3)]
    assert apart[1][:, X].max() >= apart[0][:, X].max() - 1e-9


def test_a_step_behind_the_soakers_hangs_between_them_and_the_underlay() -> None:
    """Exact: one gap outside the underlay's upturn, and one or more inside every soaker's."""
    detail = soaked(step_behind=3)
    made = named(detail)
    sheet = corners(made["right step 3"], "upstand")
    wall = detail.stack.outline().right
    assert sheet[:, X] == pytest.approx(wall + 2 * detail.gap)
    inner = min(
        corners(piece, "upturn")[:, X].min()
        for name, piece in made.items()
        if "right soaker" in name
    )
    assert inner == pytest.approx(wall + 3 * detail.gap)


def test_a_tucked_cover_flashing_hangs_behind_the_upstand_and_goes_in_first() -> None:
    """Exact: between the underlay's upturn, a gap off the wall, and the innermost sheet, midway; from one
    corner to the other but for 3 mm; its lap as deep as the right one's."""
    detail = around(**HIDDEN)
    made = named(detail)
    assert list(made)[:2] == ["front cover flashing", "back cover flashing"]
    front, back = (corners(made[f"{place} cover flashing"], "leg") for place in ("front", "back"))
    assert front[:, Y] == pytest.approx(-1.5 * detail.gap)
    assert back[:, Y] == pytest.approx(0.440 + 2 * detail.gap)
    for leg in (front, back):
        assert leg[:, X].max() == pytest.approx(0.295 - 0.003)
        assert leg[:, X].min() == pytest.approx(-0.295 + 0.003)
    rise = (
        0.5 * detail.gap * tan(detail.roof.pitch)
    )  # its own line is half a gap further in, and up
    top = corners(made["front apron"], "upstand")[:, 2].max()
    assert top - front[:, 2].min() == pytest.approx(detail.apron.flashing_lap - rise)


def test_it_ends_before_sides_that_rise_higher_at_the_corner() -> None:
    """Exact: there their returns, 30 mm wide, are dressed to the wall above the free upstand."""
    told: dict[str, Any] = {"apron": Apron(two_part=True, upstand=0.1, flashing_tucked=True)}
    detail = around(sides=Sides(upstand=0.12), **told)
    leg = corners(named(detail)["front cover flashing"], "leg")
    assert leg[:, X].max() == pytest.approx(0.295 - 0.030 - 0.003)
    assert not cuts(sheets(build_around(detail)))


def test_where_front_and_back_meet_it_ends_before_the_corner() -> None:
    """Exact: no sheet cuts another on a stack without sides at two of its corners."""
    turned = Stack(width=0.6, depth=0.44, turn=radians(20), height=1.6)
    assert not cuts(sheets(build_around(around(stack=turned, **HIDDEN))))


@pytest.mark.parametrize(
    ("sides", "told"),
    [
        ({"tucked_soaker": 1}, "tucked soaker must be 2 or 0 here. Got tucked soaker = 1"),
        ({"tucked_soaker": 3}, "tucked soaker must be 2 or 0 here. Got tucked soaker = 3"),
        ({"tucked_step": 9}, "tucked step must be 2, 3, 4, 5 or 0 here. Got tucked step = 9"),
        ({"step_behind": 1}, "step behind must be 2, 3, 4, 5 or 0 here. Got step behind = 1"),
        (
            {"step_behind": 3, "tucked_step": 3},
            "step behind must be 0 where there is a tucked step. Got step behind = 3",
        ),
    ],
)
def test_what_cannot_be_turned_round_is_refused(sides: dict[str, int], told: str) -> None:
    """One line: the first has none below it; where soakers lap by more than half of their length the one
    two below reaches as far up as the lap would be."""
    with pytest.raises(PieceError) as got:
        build_around(soaked(**sides))
    assert str(got.value) == told


def test_steps_in_one_piece_and_bossed_corners_are_refused() -> None:
    """One line: a strip has no laps; a bossed corner closes the way behind the upstand."""
    long = Stack(width=0.59, depth=1.5, height=3)
    with pytest.raises(PieceError, match="tucked step must be 0 here"):
        build_around(around(stack=long, roof=ROOM, sides=Sides(way="soakers", tucked_step=3)))
    with pytest.raises(PieceError, match="tucked flashing must be off at bossed corners"):
        build_around(around(joint="bossed", **HIDDEN))
