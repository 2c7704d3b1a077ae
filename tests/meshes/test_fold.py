"""Folding keeps every length: a piece is its blank, moved panel by panel without strain."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from meshes.blank import fold, unfold
from meshes.build import pieces
from meshes.layout import layout_of
from meshes.line import between
from meshes.piece import strips
from meshes.sheet import facets, triangles
from meshes.spec import Dressed
from tests.meshes.details import COVERINGS, ORDERS, detail


def _distances(points: np.ndarray) -> np.ndarray:
    return np.linalg.norm(points[:, None] - points[None], axis=2)


@pytest.mark.parametrize("covering", COVERINGS)
@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("order", ORDERS)
def test_piece_area_is_blank_area(covering: str, joint: str, order: str) -> None:
    """Exact: triangles' area against the flat panels', 1e-9 of it, for every piece."""
    for pitch in (20, 35, 50):
        for made in pieces(detail(pitch, covering, joint=joint, order=ORDERS[order])).values():
            part = made.part()
            corners = part.vertices[part.faces]
            sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            area = np.linalg.norm(sides, axis=1).sum() / 2
            assert made.blank().area == pytest.approx(area, rel=1e-9)


@pytest.mark.parametrize("joint", ["return", "fin"])
def test_folding_the_blank_gives_the_piece_back(joint: str) -> None:
    """Two ways to one shape: all distances between corners of the refolded blank and of the piece."""
    for made in pieces(detail(40, joint=joint)).values():
        folded = np.vstack(fold(made.blank()))
        built = np.vstack([made.facets.points[list(row)] for row in made.facets.polygons])
        assert np.abs(_distances(folded) - _distances(built)).max() < 1e-12


@pytest.mark.parametrize("piece", ["apron", "left", "right"])
def test_a_piece_that_is_only_folded_comes_from_one_flat_sheet(piece: Dressed) -> None:
    """On a plane (nothing to dress down over) no panel of the blank lies on another: exact geometry.

    Only where a side flashing's return and cover are dressed tight at their common corner do a lip
    1.3 mm wide and one 1 mm wide lie on each other: under 4 mm2, which lead is dressed out for. The
    back gutter is left out: its upstand's returns are soldered on, and the piece says so.
    """
    for joint in ("return", "fin"):
        made = pieces(detail(40, "one plane", joint=joint))[piece]
        assert made.stretch == 0.0
        panels = [shapely.Polygon(panel) for panel in made.blank().panels]
        overlap = sum(panel.area for panel in panels) - shapely.unary_union(panels).area
        dressed = joint == "return" and piece != "apron"
        assert overlap < (4e-6 if dressed else 1e-9), (joint, overlap)


def test_a_side_dressed_over_courses_says_its_stretch() -> None:
    """Exact: an upright leg over treads and risers is as much longer as the steps are.

    Tread of a 100 mm gauge and a riser of 12 mm thickness, per course: about 6 % at 40 degrees.
    """
    made = pieces(detail(40, "plain tiles"))
    tread = 0.1 * cos(np.radians(40)) / cos(np.radians(40) - np.arctan(0.12))
    riser = (
        0.1
        * cos(np.radians(40))
        * (np.tan(np.radians(40)) - np.tan(np.radians(40) - np.arctan(0.12)))
    )
    per_course = (tread + riser) / 0.1 - 1
    assert made["right"].stretch == pytest.approx(per_course, abs=0.01)
    assert made["apron"].stretch == 0.0
    assert pieces(detail(40, "plain tiles", cover_fit="resting"))["right"].stretch == 0.0


def test_a_cover_dressed_down_has_a_longer_blank() -> None:
    """Dressed down over courses the apron's blank is as much longer as its section line is."""
    dressed = pieces(detail(40, "plain tiles"))["apron"]
    resting = pieces(detail(40, "plain tiles", cover_fit="resting"))["apron"]
    cover = [i for i, name in enumerate(dressed.facets.names) if name.startswith("cover")]
    flat = [i for i, name in enumerate(resting.facets.names) if name.startswith("cover")]
    longer = sum(_depth(dressed, i) for i in cover)
    straight = sum(_depth(resting, i) for i in flat)
    assert straight == pytest.approx(0.150, abs=1e-9)
    layout = layout_of(detail(40, "plain tiles"))
    line = between(layout.cover_line("apron"), layout.apron_edge, -0.002)
    assert longer == pytest.approx(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
    assert longer > straight + 0.001


def _depth(piece, row: int) -> float:  # type: ignore[no-untyped-def]
    corners = piece.facets.points[list(piece.facets.polygons[row])]
    return float(np.hypot(np.ptp(corners[:, 1]), np.ptp(corners[:, 2])))


def test_apron_width_follows_the_common_rule() -> None:
    """An apron is the stack's width and 50 mm at each end (common practice, no source)."""
    made = pieces(detail(40))["apron"]
    assert np.ptp(made.facets.points[:, 0]) == pytest.approx(0.590 + 2 * 0.050, abs=1e-12)


def test_bend_angles_of_a_right_angled_tray() -> None:
    """Exact: an upstand stands at a right angle to its tray and folds up, a drip folds down."""
    tray = facets(
        [
            ("tray", [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)]),
            ("upstand", [(0, 1, 0), (1, 1, 0), (1, 1, 0.3), (0, 1, 0.3)]),
            ("drip", [(0, 0, 0), (1, 0, 0), (1, 0, -0.2), (0, 0, -0.2)]),
        ],
        wet=(0, 0, 1),
    )
    angles = sorted(bend.angle for bend in unfold(tray).bends)
    assert angles == pytest.approx([-pi / 2, pi / 2])
    assert unfold(tray).area == pytest.approx(1.5)


@settings(max_examples=100, deadline=None)
@given(
    legs=st.lists(st.tuples(st.floats(0.01, 0.3), st.floats(-2.6, 2.6)), min_size=1, max_size=7),
    run=st.floats(0.05, 2),
)
def test_any_section_unfolds_to_the_sum_of_its_legs(
    legs: list[tuple[float, float]], run: float
) -> None:
    """Property over random sections (legs and bends): the blank is the legs' sum times the run."""
    heading, points = 0.0, [(0.0, 0.0)]
    for length, bend in legs:
        heading += bend
        y, z = points[-1]
        points.append((y + length * cos(heading), z + length * sin(heading)))
    line = np.array(points)
    closed = min((float(np.linalg.norm(a - b)) for i, a in enumerate(line) for b in line[:i]))
    if closed < 1e-4:
        return  # the section runs through one of its own corners: no sheet can
    sheet = facets(strips("leg", line, 0.0, run), wet=(0, 0, 1))
    blank = unfold(sheet)
    total = sum(length for length, _ in legs)
    spread = np.ptp(np.vstack(blank.panels), axis=0)
    assert blank.area == pytest.approx(total * run, rel=1e-9)
    assert sorted(spread) == pytest.approx(sorted((total, run)), rel=1e-9)
    assert len(triangles(sheet)) == 2 * len(legs)
