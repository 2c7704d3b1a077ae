"""Folded pieces laid flat: areas and distances kept, nothing over itself, whatever the detail."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import radians

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from meshes.build import pieces
from meshes.errors import PieceError
from meshes.piece import Piece
from meshes.spec import Apron, Detail, Roof, Sides, Stack
from scenes.cutting.cut_list import cut_list
from scenes.cutting.folds import folds_of
from scenes.cutting.lay_flat import SLIVER, Flat, lay_flat, signed_area
from scenes.cutting.placed import placed
from scenes.scene import load, names
from tests.meshes.details import PLAIN_TILES
from tests.scenes.cutting.laid import folded_again, folded_area, off_when_laid_on, on_folded

SLOPE = np.array([0.0, 1.0, 0.0])


@cache
def pieces_of(name: str) -> list[Piece]:
    """What the blanks of a scene are cut for, a piece each: as it is folded, before any of it is dressed."""
    folded = {one.piece: one.folded for one in cut_list(load(name)).patterns}
    return [Piece(piece, sheet) for piece, sheet in folded.items()]


def check_flats(made: Piece, flats: tuple[Flat, ...]) -> None:
    """Area, outlines and numbers of the flat sheets of one piece."""
    assert sum(flat.area for flat in flats) == pytest.approx(folded_area(made.facets), abs=1e-9)
    every = sorted(facet for flat in flats for facet in flat.facets)
    assert every == list(range(len(made.facets.polygons)))
    for flat in flats:
        assert all(np.isfinite(panel).all() for panel in flat.panels)
        within = sum(signed_area(ring) for ring in flat.outlines)
        assert within + flat.trimmed == pytest.approx(flat.area, abs=1e-9)
        assert 0 <= flat.trimmed <= 5 * SLIVER
        # An outline may touch itself, where two cuts meet, but it goes round what it holds once.
        mended = shapely.make_valid(shapely.Polygon(flat.outlines[0], flat.outlines[1:]))
        assert mended.area == pytest.approx(within, abs=1e-7)
        polygons = [shapely.Polygon(panel).buffer(-1e-6) for panel in flat.panels]
        together = shapely.unary_union(polygons).area
        shared = sum(one.area for one in polygons) - together
        assert shared == pytest.approx(flat.trimmed, abs=1e-6 if flat.trimmed else 1e-8)


@pytest.mark.parametrize("name", names())
def test_areas_are_kept_and_no_sheet_lies_over_itself(name: str) -> None:
    """Derived: folding keeps areas, so the flat sheets have the folded mesh's area, within 1e-9 m2; the
    outlines hold as much; panels of one sheet share no area (another library's union)."""
    for made in pieces_of(name):
        flats, _ = lay_flat(made.facets)
        check_flats(made, flats)


@pytest.mark.parametrize("name", names())
def test_bend_distances_are_those_on_the_folded_mesh(name: str) -> None:
    """Derived: a straight way over the flat sheet from a bend to the edge that it is measured from is as
    long over the folded mesh, panel by panel and without a gap, within 1e-9 m."""
    seen = 0
    for made in pieces_of(name):
        for flat in lay_flat(made.facets)[0]:
            whole = placed(flat, made.facets, SLOPE)
            names = dict(zip(flat.facets, flat.names, strict=True))
            for fold in folds_of(whole.flat.bends, names, whole.flat.outlines, whole.size):
                if fold.measured is None:
                    continue
                edge = fold.measured.edge
                along = (edge[1] - edge[0]) / np.linalg.norm(edge[1] - edge[0])
                for share in (0.37, 0.61):
                    point = fold.line[0] + (fold.line[1] - fold.line[0]) * share
                    foot = edge[0] + along * ((point - edge[0]) @ along)
                    near, far = fold.measured.ends
                    told = near + (far - near) * share
                    assert float(np.linalg.norm(foot - point)) == pytest.approx(told, abs=1e-9)
                    got = on_folded(whole.flat, made.facets, point, foot)
                    if got is not None:
                        seen += 1
                        assert got[0] == pytest.approx(told, abs=1e-9)
                        assert got[1] < 1e-8
    assert seen > 20


def test_angles_are_those_between_the_facets() -> None:
    """Derived: by arccos of the normals, which knows no direction; up where the far end of the other
    panel lies on the wet side of the first."""
    for made in pieces_of("cottage"):
        sheet = made.facets
        for flat in lay_flat(sheet)[0]:
            for bend in flat.bends:
                solid = [sheet.points[list(sheet.polygons[facet])] for facet in bend.panels]
                normals = []
                for corners in solid:
                    turned = np.cross(
                        corners - corners[0], np.roll(corners, -1, axis=0) - corners[0]
                    ).sum(axis=0)
                    normals.append(turned / np.linalg.norm(turned))
                angle = np.arccos(np.clip(normals[0] @ normals[1], -1, 1))
                assert abs(bend.angle) == pytest.approx(angle, abs=1e-6)
                off = (solid[1] - solid[0][0]) @ normals[0]
                furthest = off[np.argmax(np.abs(off))]
                assert (furthest > 0) == (bend.angle > 0)


@pytest.mark.parametrize("name", names())
def test_folded_again_it_is_the_piece(name: str) -> None:
    """Two computations that share nothing: the flat sheet, wet side up, folded along its bend lines by
    their angles, up and down, is the folded mesh within 1e-8 m, turned but not mirrored."""
    for made in pieces_of(name):
        for flat in lay_flat(made.facets)[0]:
            again = folded_again(flat)
            assert sorted(again) == list(flat.facets)
            rows = dict(zip(flat.facets, flat.points, strict=True))
            got = np.vstack([again[facet] for facet in flat.facets])
            there = np.vstack([made.facets.points[list(rows[facet])] for facet in flat.facets])
            assert off_when_laid_on(got, there) < 1e-8


def test_joints_are_edges_that_no_bend_has() -> None:
    """Derived: each edge that two facets share is a bend, or flat, or a joint; a joint between two sheets
    says so."""
    for made in pieces_of("cottage"):
        flats, joints = lay_flat(made.facets)
        sheet_of = {facet: at for at, flat in enumerate(flats) for facet in flat.facets}
        for joint in joints:
            apart = sheet_of[joint.panels[0]] != sheet_of[joint.panels[1]]
            assert apart == joint.apart
            ends = made.facets.points[list(joint.edge)]
            assert float(np.linalg.norm(ends[1] - ends[0])) == pytest.approx(joint.length)
        bends = sum(len(flat.bends) for flat in flats)
        assert bends + len(joints) >= len(made.facets.polygons) - 1


def test_a_box_without_a_lid_is_one_sheet() -> None:
    """Exact: four walls on a floor unfold to a cross: one sheet, four bends of 90 degrees towards the
    inside, four upright joints between the walls."""
    from meshes.sheet import facets

    named = [
        ("floor", [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, 0.3, 0.0), (0.0, 0.3, 0.0)]),
        ("front", [(0.0, 0.0, 0.0), (0.3, 0.0, 0.0), (0.3, 0.0, 0.1), (0.0, 0.0, 0.1)]),
        ("right", [(0.3, 0.0, 0.0), (0.3, 0.3, 0.0), (0.3, 0.3, 0.1), (0.3, 0.0, 0.1)]),
        ("back", [(0.0, 0.3, 0.0), (0.3, 0.3, 0.0), (0.3, 0.3, 0.1), (0.0, 0.3, 0.1)]),
        ("left", [(0.0, 0.0, 0.0), (0.0, 0.3, 0.0), (0.0, 0.3, 0.1), (0.0, 0.0, 0.1)]),
    ]
    flats, joints = lay_flat(facets(named, wet=(0.0, 0.0, 1.0)))
    assert len(flats) == 1
    assert [round(np.degrees(bend.angle), 6) for bend in flats[0].bends] == [90.0] * 4
    assert len(joints) == 4
    assert not any(joint.apart for joint in joints)
    assert len(flats[0].outlines) == 1
    assert len(flats[0].outlines[0]) == 12
    whole = placed(flats[0], facets(named, wet=(0.0, 0.0, 1.0)), SLOPE)
    assert whole.size == pytest.approx((0.5, 0.5))


def test_any_detail_lies_flat() -> None:
    """A property, on details drawn at random: what can be built is laid flat with its area, finite, in
    outlines that hold it; most can be built."""
    built = []

    @settings(
        max_examples=10, derandomize=True, deadline=None, phases=(Phase.explicit, Phase.generate),
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(
        pitch=st.floats(20, 55),
        width=st.floats(0.4, 1.2),
        depth=st.floats(0.35, 0.9),
        turn=st.sampled_from((0.0, 0.0, 0.3, -0.7)),
        cover=st.floats(0.1, 0.25),
        way=st.sampled_from(("cover", "soakers", "stepped cover")),
    )
    def try_one(
        pitch: float, width: float, depth: float, turn: float, cover: float, way: str
    ) -> None:
        way = "cover" if turn else way
        try:
            detail = Detail(
                roof=Roof(pitch=radians(pitch), **PLAIN_TILES),
                stack=Stack(width=width, depth=depth, turn=turn, height=3.0),
                apron=Apron(cover=cover),
                sides=replace(Sides(cover=cover), way=way),
            )
            made = pieces(detail)
        except PieceError:
            built.append(False)
            return
        built.append(True)
        for one in made.values():
            check_flats(one, lay_flat(one.facets)[0])

    try_one()
    assert sum(built) > 0.6 * len(built)
