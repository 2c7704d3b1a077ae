"""A sheet in the waves of a profiled covering, laid straight over their crests before it is dressed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import hypot

import numpy as np
import pytest

from meshes.build import pieces
from meshes.piece import Piece
from meshes.sheet import Facets, facets
from meshes.spec import Detail
from scenes.cutting.cut_list import cut_list
from scenes.cutting.in_one_plane import in_one_plane
from scenes.cutting.over_crests import over_crests
from scenes.scene import load, names
from tests.scenes.cutting.laid import folded_area


@cache
def gutter() -> tuple[Detail, Piece]:
    detail = load("profiled").detail
    assert detail is not None
    return detail, pieces(detail)["back gutter"]


def test_what_goes_up_the_slope_lies_straight() -> None:
    """Derived: all of the upper edge has the height of its crests; nothing is lower than it was, what lies
    on the level sole or stands against the stack stays; each facet is flat, and there are fewer."""
    _, made = gutter()
    over = over_crests(made.facets)
    assert over is not None
    was, now = made.facets.points, over[0].points
    top = was[:, 1] > was[:, 1].max() - 1e-6
    assert np.ptp(was[top, 2]) == pytest.approx(0.030, abs=1e-9)
    assert np.ptp(now[top, 2]) < 1e-9
    assert now[top, 2].max() == pytest.approx(was[top, 2].max(), abs=1e-12)
    assert (now[:, 2] > was[:, 2] - 1e-12).all()
    assert (now[:, :2] == was[:, :2]).all()
    moved = now[:, 2] > was[:, 2] + 1e-9
    assert was[moved, 1].min() > load("profiled").detail.stack.depth  # type: ignore[union-attr]
    assert len(over[0].polygons) < len(made.facets.polygons) / 2
    assert folded_area(over[0]) < folded_area(made.facets)


def test_the_stretch_is_the_waves_length() -> None:
    """Derived from the profile: of one wave 0.3 of the pitch is crest, 0.3 trough and each flank 0.2, which
    falls by the depth; square to the leg's own slope that is the depth times its cosine. The
    sheet is not of whole waves: 0.6 % more or less."""
    detail, made = gutter()
    over = over_crests(made.facets)
    assert over is not None
    pitch, depth = detail.roof.wave_pitch, detail.roof.wave_depth
    rows = [made.facets.points[list(row)] for row in made.facets.polygons]
    top = made.facets.points[:, 1].max()
    legs = [row for row in rows if np.ptp(row[:, 1]) > 0.1 and row[:, 1].max() > top - 1e-6]
    leg = min(legs, key=lambda row: float(np.ptp(row[:, 2])))  # a crest or a trough, no flank
    run = np.ptp(leg[:, 1])
    rise = leg[leg[:, 1].argmax(), 2] - leg[leg[:, 1].argmin(), 2]
    flank = hypot(0.2 * pitch, depth * run / hypot(run, rise))
    assert over[1] == pytest.approx((0.6 * pitch + 2 * flank) / pitch - 1, abs=0.006)


@pytest.mark.parametrize("name", [name for name in names() if name != "profiled"])
def test_without_waves_there_is_nothing_to_do(name: str) -> None:
    """Derived: no piece of another scene has waves: saddles, turned stacks and steps are left alone."""
    detail = load(name).detail
    assert detail is not None
    assert all(over_crests(made.facets) is None for made in pieces(detail).values())


def test_zinc_is_not_stretched_and_keeps_its_waves() -> None:
    """Derived from the material: lead gives the 14 %, so its gutter is cut straight, and the note says so;
    zinc gives none, so every wave is folded."""
    scene = load("profiled")
    assert scene.detail is not None
    lead = cut_list(scene)
    zinc = cut_list(replace(scene, detail=replace(scene.detail, material="zinc")))
    most = [
        max(len(one.numbered) for one in found.patterns if one.piece == "back gutter")
        for found in (lead, zinc)
    ]
    assert most[0] < 15
    assert most[1] > 60
    notes = [
        " ".join(note for one in found.patterns for note in one.notes) for found in (lead, zinc)
    ]
    assert "straight over the crests" in notes[0]
    assert "14 %" in notes[0]
    assert "straight over the crests" not in notes[1]


def test_strips_in_one_plane_are_one_facet() -> None:
    """Exact: three strips of a rectangle and one bent up are a rectangle and one: same points, same area;
    four round a hole stay as they are, for one ring can't hold them."""
    named = [
        (f"strip {k}", [(0.1 * k, 0.0, 0.0), (0.1 * k + 0.1, 0.0, 0.0), (0.1 * k + 0.1, 1.0, 0.0),
                        (0.1 * k, 1.0, 0.0)])
        for k in range(3)
    ]  # fmt: skip
    up = [("up", [(0.3, 0.0, 0.0), (0.3, 0.0, 0.2), (0.3, 1.0, 0.2), (0.3, 1.0, 0.0)])]
    sheet = facets(named + up, wet=(0.0, 0.0, 1.0))
    one = in_one_plane(sheet)
    assert one.names == ("strip 0", "up")
    assert len(one.polygons[0]) == 8
    assert folded_area(one) == pytest.approx(folded_area(sheet), abs=1e-12)
    assert one.points is sheet.points
    frame = [(0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)]
    outer = np.array([[0, 0, 0], [3, 0, 0], [3, 3, 0], [0, 3, 0]], dtype=float)
    ring = Facets(np.vstack([outer, outer / 3 + [1, 1, 0]]), tuple(frame), ("a", "b", "c", "d"))
    assert in_one_plane(ring).polygons == tuple(frame)
