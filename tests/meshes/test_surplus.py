"""Surplus at a sheet's points: published identities, hand-made corners, and what the blank shows."""

from __future__ import annotations

from functools import cache
from itertools import product
from math import acos, cos, pi, radians, sin

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.around.build import pieces_around
from meshes.blank import unfold
from meshes.build import pieces
from meshes.piece import Piece
from meshes.sheet import Facets, Point, facets
from meshes.spec import Apron, BackGutter, Sides, SideWay
from meshes.surplus import corner_surplus, gauss_bonnet_sum
from scenes.scene import load, names
from tests.meshes.around.details_around import DETAILS, TURNED, around
from tests.meshes.details import COVERINGS, ORDERS, detail

JOINTS = ("return", "fin")
PITCHES = (20, 35, 50)
STEPPED: tuple[SideWay, ...] = ("soakers", "stepped cover")
FAST = settings(
    derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=60, deadline=None
)


@cache
def _every_piece() -> dict[str, Piece]:
    """Pieces of every covering, joint and order, the pitches in turn; round every plan and way to flash
    it; and of every scene of the library."""
    found = {}
    for at, (covering, joint, order) in enumerate(product(COVERINGS, JOINTS, ORDERS)):
        pitch = PITCHES[at % len(PITCHES)]
        told = detail(pitch, covering, joint=joint, order=ORDERS[order])
        for name, made in pieces(told).items():
            found[f"{name}, {covering}, {joint}, {order}, {pitch}"] = made
    stepped = {way: around(sides=Sides(way=way), roof={"clearance": 0.016}) for way in STEPPED}
    corners = {joint: around(stack=TURNED, joint=joint) for joint in ("slit and patch", "bossed")}
    two = {"two-part": around(apron=Apron(two_part=True), gutter=BackGutter(two_part=True))}
    for name, told in (DETAILS | stepped | corners | two).items():
        found |= {f"{made.name}, {name}": made for made in pieces_around(told)}
    for name in names():
        scene = load(name).detail
        assert scene is not None
        found |= {f"{piece}, {name}": made for piece, made in pieces(scene).items()}
    return found


def _euler(sheet: Facets) -> int:
    """Points less edges plus facets, counted from the rows."""
    rows = sheet.polygons
    edges = {frozenset(e) for row in rows for e in zip(row, row[1:] + row[:1], strict=True)}
    return len({point for row in rows for point in row}) - len(edges) + len(rows)


def _at(sheet: Facets, point: Point) -> int:
    return int(np.linalg.norm(sheet.points - np.array(point), axis=1).argmin())


def _between(sheet: Facets, point: int, first: int, second: int) -> float:
    a, b = (sheet.points[end] - sheet.points[point] for end in (first, second))
    return acos(float(a @ b / np.linalg.norm(a) / np.linalg.norm(b)))


def _fan(apex: Point, rim: list[Point]) -> Facets:
    """Triangles from an apex to a closed rim."""
    ring = [*rim, rim[0]]
    named = [(str(i), [apex, ring[i], ring[i + 1]]) for i in range(len(rim))]
    return facets(named, wet=(0, 0, 1))


def _box() -> list[tuple[str, list[Point]]]:
    sides = []
    for axis, end in product(range(3), (0.0, 1.0)):
        square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
        corners = [tuple(np.insert(np.array(corner), axis, end).tolist()) for corner in square]
        sides.append((f"{axis}{end}", corners))
    return sides


def _bossed(turn: float) -> Facets:
    """An upstand round a convex corner whose foot turns by `turn`: roof round it, two faces of wall."""
    half = (pi - turn) / 2
    ring = [half, half + turn / 2 + pi / 4, pi, -half - turn / 2 - pi / 4, -half]
    foot: list[Point] = [(cos(angle), sin(angle), 0.0) for angle in ring]
    corner: Point = (0.0, 0.0, 0.0)
    up: Point = (0.0, 0.0, 0.5)
    return facets(
        [
            ("roof", [corner, *foot]),
            ("left face", [corner, foot[0], (foot[0][0], foot[0][1], 0.5), up]),
            ("right face", [corner, foot[-1], (foot[-1][0], foot[-1][1], 0.5), up]),
        ],
        wet=(0, 0, 1),
    )


def test_identity_holds_on_every_piece() -> None:
    """Descartes, Gauss and Bonnet (published identity): total is 2 pi times points - edges + facets."""
    for name, made in _every_piece().items():
        total = gauss_bonnet_sum(made.facets)
        assert total == pytest.approx(2 * pi * _euler(made.facets), abs=1e-9), name


def test_folding_keeps_every_edge_of_every_piece() -> None:
    """Exact: each panel's edges on the blank are as long as the same facet's in place, 1e-12 m."""
    for name, made in _every_piece().items():
        blank = made.blank()
        for row, panel in zip(made.facets.polygons, blank.panels, strict=True):
            built = made.facets.points[list(row)]
            lengths = [np.linalg.norm(np.roll(c, -1, axis=0) - c, axis=1) for c in (built, panel)]
            assert np.abs(lengths[0] - lengths[1]).max() < 1e-12, name


def test_a_closed_box_has_eight_surpluses_of_a_right_angle() -> None:
    """Descartes' theorem (published): 90 degrees at each corner of a box, 4 pi in all."""
    sheet = facets(_box(), wet=(-1, 0, 0))
    surplus = corner_surplus(sheet)
    assert list(surplus.values()) == pytest.approx([pi / 2] * 8)
    assert gauss_bonnet_sum(sheet) == pytest.approx(4 * pi)


def test_an_inside_corner_has_a_right_angle_of_surplus() -> None:
    """Exact: three right angles at the one interior point; the border takes the rest of 2 pi."""
    sheet = facets([side for side in _box() if side[0].endswith("0.0")], wet=(1, 0, 0))
    assert corner_surplus(sheet) == {_at(sheet, (0, 0, 0)): pytest.approx(pi / 2)}
    assert gauss_bonnet_sum(sheet) == pytest.approx(2 * pi)


@pytest.mark.parametrize("degrees", [15, 60, 90, 135])
def test_a_bossed_corner_wants_the_angle_that_its_foot_turns_by(degrees: int) -> None:
    """Exact: a hollow facet of 180 degrees and the turn, and two right angles: minus the turn."""
    sheet = _bossed(radians(degrees))
    surplus = corner_surplus(sheet)
    assert surplus == {_at(sheet, (0, 0, 0)): pytest.approx(-radians(degrees))}
    assert gauss_bonnet_sum(sheet) == pytest.approx(2 * pi)


def test_a_ring_totals_nothing() -> None:
    """Exact: a tube open at both ends has Euler characteristic 0, and no interior point."""
    tube = facets([side for side in _box() if not side[0].startswith("2")], wet=(-1, 0, 0))
    assert corner_surplus(tube) == {}
    assert gauss_bonnet_sum(tube) == pytest.approx(0.0, abs=1e-12)


def test_fans_that_touch_at_a_point_leave_the_identity_whole() -> None:
    """Exact: a ring of seven squares that closes at one point only still has characteristic 0."""
    squares = [(x, y) for x, y in product(range(3), repeat=2) if (x, y) not in ((1, 1), (2, 2))]
    named: list[tuple[str, list[Point]]] = [
        (f"{x}{y}", [(x, y, 0), (x + 1, y, 0), (x + 1, y + 1, 0), (x, y + 1, 0)])
        for x, y in squares
    ]
    sheet = facets(named, wet=(0, 0, 1))
    assert _at(sheet, (2, 2, 0)) not in corner_surplus(sheet)
    assert _euler(sheet) == 0
    assert gauss_bonnet_sum(sheet) == pytest.approx(0.0, abs=1e-9)


@FAST
@given(
    sides=st.integers(3, 9),
    heights=st.lists(st.floats(-1, 1), min_size=9, max_size=9),
    top=st.floats(-1, 1),
)
def test_the_blank_gapes_or_overlaps_by_the_surplus(
    sides: int, heights: list[float], top: float
) -> None:
    """Two ways to one angle: the sum of angles in space, and by how much the two copies of the one
    edge that the flat blank leaves open are turned from each other."""
    angles = [2 * pi * i / sides for i in range(sides)]
    rim = [(cos(a), sin(a), z) for a, z in zip(angles, heights, strict=False)]
    sheet = _fan((0.0, 0.0, top), rim)
    apex = _at(sheet, (0.0, 0.0, top))
    blank = unfold(sheet)
    (cut,) = blank.worked
    rows = [list(sheet.polygons[panel]) for panel in cut]
    (end,) = (set(rows[0]) & set(rows[1])) - {apex}
    ways = []
    for panel, row in zip(cut, rows, strict=True):
        flat = blank.panels[panel]
        ways.append(complex(*(flat[row.index(end)] - flat[row.index(apex)])))
    # The facet that the edge ends, anticlockwise round the apex, lies before the opening.
    ended = 1 if rows[0][(rows[0].index(apex) + 1) % 3] == end else 0
    opening = float(np.angle(ways[1 - ended] / ways[ended]))
    surplus = corner_surplus(sheet)[apex]
    assert (opening - surplus + pi) % (2 * pi) - pi == pytest.approx(0.0, abs=1e-9)
    assert gauss_bonnet_sum(sheet) == pytest.approx(2 * pi)


@FAST
@given(valleys=st.lists(st.floats(0.15, 1.0), min_size=4, max_size=4), bend=st.floats(0.05, 2.8))
def test_a_sheet_that_is_only_folded_has_no_surplus(valleys: list[float], bend: float) -> None:
    """Exact: a square turned about one diagonal of its middle, and a point put there, stays developable;
    moved off the fold by any height it does not."""
    run = np.array(valleys)
    flat = [(run[0], 0.0), (0.0, run[1]), (-run[2], 0.0), (0.0, -run[3])]
    folded = [(x, y * cos(bend if y > 0 else 0), y * sin(bend) if y > 0 else 0.0) for x, y in flat]
    assert corner_surplus(_fan((0.0, 0.0, 0.0), folded)).popitem()[1] == pytest.approx(0, abs=1e-9)
    rim = [(x, y, 0.0) for x, y in flat]
    assert corner_surplus(_fan((0.0, 0.0, 0.05), rim)).popitem()[1] > 1e-4


@pytest.mark.parametrize("pitch", [20, 35, 50])
def test_the_ear_takes_up_ninety_degrees_less_the_pitch(pitch: int) -> None:
    """design.md (derived): the overhang's surplus at the corner; the ear leaves none of it.

    Measured on the built apron: the leaves' angles at the corner, less the open mouth between them.
    """
    sheet = pieces(detail(pitch, "one plane", joint="fin"))["apron"].facets
    ears = [row for row, name in zip(sheet.polygons, sheet.names, strict=True) if "ear" in name]
    surplus = corner_surplus(sheet)
    assert len(ears) == 4
    for right in (True, False):
        leaves = [row for row in ears if (sheet.points[list(row), 0] > 0).all() == right]
        (corner, tip) = set(leaves[0]) & set(leaves[1])
        if corner not in surplus:
            corner, tip = tip, corner
        edges = [next(p for p in row if p not in (corner, tip)) for row in leaves]
        taken = sum(_between(sheet, corner, tip, edge) for edge in edges)
        mouth = _between(sheet, corner, *edges)
        assert taken - mouth == pytest.approx(pi / 2 - radians(pitch), abs=1e-9)
        assert surplus[corner] == pytest.approx(0.0, abs=1e-9)


def test_two_cones_tip_to_tip_have_no_interior_point() -> None:
    """Exact: at the common tip the facets make two circles, not one; the identity holds all the same."""
    square = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)]
    points = np.array([(0.0, 0.0, 0.0), *((x, y, z) for z in (1.0, -1.0) for x, y in square)])
    rows = [(0, first + i, first + (i + 1) % 4) for first in (1, 5) for i in range(4)]
    cones = Facets(points, tuple(rows), tuple(str(row) for row in rows))
    assert corner_surplus(cones) == {}
    assert gauss_bonnet_sum(cones) == pytest.approx(2 * pi * _euler(cones))
