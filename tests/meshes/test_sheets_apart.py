"""No two sheets cut each other, and where they lap they are one bedding gap apart for each layer."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.build import build
from meshes.errors import PieceError
from meshes.parts import Assembly, Part
from meshes.spec import Apron, BackGutter, Roof, Sides, Stack
from tests.meshes.crossings import cuts, cuts_itself, distances
from tests.meshes.details import COVERINGS, ORDERS, detail

GAP = 0.001
UNPOINTED = Stack(width=0.59, depth=0.44, height=1.4, pointed=False)
CLOSE = 0.05e-3  # the tolerance that the project holds itself to [m]


@pytest.mark.parametrize("covering", COVERINGS)
@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("order", ORDERS)
def test_no_part_cuts_another_or_itself(covering: str, joint: str, order: str) -> None:
    """Exact geometry: edges against triangles, every pair of parts, dressed down and resting.

    The chases are open: pointed, they hold the turn-ins in their filling (see test_pointing.py).
    """
    told: dict[str, Any] = {"joint": joint, "order": ORDERS[order], "stack": UNPOINTED}
    for pitch in (20, 35, 50):
        for fit in ("dressed", "resting"):
            made = build(detail(pitch, covering, cover_fit=fit, **told))
            assert cuts(made) == set(), (pitch, fit)
            assert not [part.name for part in made if cuts_itself(part)], (pitch, fit)


def _points_over(upper: Part) -> np.ndarray:
    """Random points on the faces of a part."""
    weights = np.random.default_rng(1).dirichlet((1, 1, 1), size=150)
    return (weights @ upper.vertices[upper.faces]).reshape(-1, 3)


def _on_the_roof(part: Part) -> Part:
    """The faces of a part that lie (not stand)."""
    corners = part.vertices[part.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lying = np.abs(normals[:, 2]) > 0.2 * np.linalg.norm(normals, axis=1)
    return Part(part.name, part.role, part.vertices, part.faces[lying])


def _lap_distances(made: Assembly, upper: str, lower: str, box: tuple) -> np.ndarray:
    # Mitred offsets stand further apart than one gap right at a bend: 2 mm each side are left out.
    lying = _on_the_roof(made[upper])
    points = _points_over(lying)
    bends = lying.vertices[np.unique(lying.faces)]
    risers = np.unique(bends[:, 1])
    points = points[(np.abs(points[:, 1:2] - risers[None]) > 2 * GAP + 1e-4).all(axis=1)]
    (x0, x1), (y0, y1) = box
    inside = (points[:, 0] > x0) & (points[:, 0] < x1) & (points[:, 1] > y0) & (points[:, 1] < y1)
    assert inside.sum() > 10
    return distances(points[inside], made[lower])


@pytest.mark.parametrize("covering", COVERINGS)
@pytest.mark.parametrize("pitch", [20, 40, 50])
def test_laps_are_one_gap_apart(covering: str, pitch: float) -> None:
    """Side over apron, gutter over side, apron and side over the covering: one gap for each layer."""
    made = build(detail(pitch, covering))
    side, apron, gutter = "right side flashing", "front apron", "back gutter"
    over_apron = _lap_distances(made, side, apron, ((0.30, 0.34), (-0.06, -0.012)))
    assert np.abs(over_apron - GAP).max() < CLOSE
    over_side = _lap_distances(made, gutter, side, ((0.302, 0.44), (0.38, 0.435)))
    assert np.abs(over_side - GAP).max() < CLOSE


@pytest.mark.parametrize("covering", COVERINGS)
def test_covers_dressed_down_lie_on_the_covering(covering: str) -> None:
    """The apron lies one gap, the side flashings two gaps off the covering, on treads and risers."""
    made = build(detail(40, covering))
    apron = _lap_distances(made, "front apron", "covering", ((-0.25, 0.25), (-0.10, -0.015)))
    assert np.abs(apron - GAP).max() < CLOSE
    side = _lap_distances(made, "right side flashing", "covering", ((0.35, 0.44), (0.0, 0.30)))
    assert np.abs(side - 2 * GAP).max() < CLOSE


def test_a_cover_resting_on_noses_touches_them_only() -> None:
    """Resting: one gap off every nose's plane and further off between noses (exact geometry)."""
    made = build(detail(40, "plain tiles", cover_fit="resting"))
    apron = _lap_distances(made, "front apron", "covering", ((-0.25, 0.25), (-0.10, -0.015)))
    assert apron.min() > GAP - CLOSE
    assert apron.max() > 3 * GAP


@settings(max_examples=40, deadline=None, phases=(Phase.explicit, Phase.generate), derandomize=True)
@given(
    pitch=st.floats(16, 55),
    width=st.floats(0.3, 1.6),
    depth=st.floats(0.25, 1.0),
    gauge=st.sampled_from([0.09, 0.1, 0.115, 0.28, 0.345]),
    joint=st.sampled_from(["return", "fin"]),
    order=st.sampled_from(sorted(ORDERS)),
    cover=st.floats(0.1, 0.25),
    overhang=st.floats(0.03, 0.12),
    sole=st.floats(0.1, 0.25),
    upstand=st.floats(0.075, 0.2),
    water_line=st.floats(0.05, 0.1),
)
def test_any_detail_builds_without_cuts_or_says_why(
    pitch: float,
    width: float,
    depth: float,
    gauge: float,
    joint: str,
    order: str,
    cover: float,
    overhang: float,
    sole: float,
    upstand: float,
    water_line: float,
) -> None:
    """Property over random measurements: an assembly in which nothing cuts, or one line."""
    try:
        made = build(
            detail(
                pitch,
                roof=Roof(pitch=np.radians(pitch), gauge=gauge, thickness=0.014),
                stack=Stack(width=width, depth=depth, height=depth * 1.5 + 0.6, pointed=False),
                apron=Apron(overhang=overhang, cover=cover, upstand=upstand),
                sides=Sides(cover=cover, upstand=water_line),
                gutter=BackGutter(sole=sole),
                joint=joint,
                order=ORDERS[order],
            )
        )
    except PieceError as error:
        line = str(error)
        made = None
    if made is None:
        assert "must be" in line
        assert "\n" not in line
        return
    assert cuts(made) == set()
