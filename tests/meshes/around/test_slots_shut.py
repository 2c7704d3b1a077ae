"""Nothing but sheet is seen from behind the sheets at a stack's corners: no slot leads to the sky."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.around.build import build_around
from meshes.around.scheme import scheme_of
from meshes.around.skirt import sheet_of, top_above
from meshes.parts import Assembly
from meshes.plan import Kind
from meshes.spec import Detail
from tests.meshes.around.details_around import around
from tests.meshes.crossings import crossings

Floats = NDArray[np.float64]
RAYS = 3000
FAR = 3.0  # length of a ray [m]
HALF, DEPTH = 0.295, 0.44  # half the stack's width, and its depth [m]
OFF = 1e-4  # [m] how far off wall and sheets rays start
SLIT = [(40, "plain tiles"), (45, "interlocking"), (35, "slates"), (50, "one plane")]


def slit(pitch: float, covering: str) -> Detail:
    """A stack square to the slope, its corners slit."""
    return around(pitch, covering, joint="slit and patch")


def missed(made: Assembly, closing: tuple[str, ...], start: Floats, way: Floats, side: int) -> int:
    """How many rays from points (n, 3) at the right side, or mirrored at the left one, meet none."""
    mirror = np.array([side, 1.0, 1.0])
    faces = np.concatenate([made[name].vertices[made[name].faces] for name in closing])
    met = crossings(start * mirror, (start + FAR * way) * mirror, faces)
    return len(start) - len({ray for ray, _ in met})


def _spread(rng: np.random.Generator, *spans: tuple[float, float]) -> Floats:
    return np.column_stack([rng.uniform(*span, RAYS) for span in spans])


def sheets_beside(side: int) -> tuple[str, ...]:
    """The sheets in front of the stack and on one side of it, without the patch over both."""
    return ("front apron", f"{'right' if side > 0 else 'left'} side flashing", "stack")


@pytest.mark.parametrize(("pitch", "covering"), SLIT)
@pytest.mark.parametrize("side", [-1, 1])
def test_at_a_slit_corner_no_way_leads_out_below_the_turn_in(
    side: int, pitch: float, covering: str
) -> None:
    """Exact geometry, by brute force: from between the stack and the two upstands, outward and up."""
    detail = slit(pitch, covering)
    scheme, made = scheme_of(detail), build_around(detail)
    lower = sheet_of(scheme, Kind.RIGHT)
    top = lower.top(0.0, -lower.rim.distance) - 0.005
    rng = np.random.default_rng(7)
    start = _spread(rng, (HALF + OFF, HALF + 2 * detail.gap - OFF), (0.001, 0.020), (0.03, top))
    way = _spread(rng, (0.0, 0.3), (-1.0, -0.3), (0.0, 0.3))
    patch = f"corner patch {2 if side > 0 else 1}"
    assert missed(made, (*sheets_beside(side), patch), start, way, side) == 0
    assert missed(made, sheets_beside(side), start, way, side) > RAYS / 100, (
        "the patch covers the slit"
    )


@pytest.mark.parametrize(("pitch", "covering"), SLIT)
@pytest.mark.parametrize("side", [-1, 1])
def test_at_a_slit_corner_no_way_leads_out_above_the_lower_turn_in(
    side: int, pitch: float, covering: str
) -> None:
    """Exact geometry: from behind the apron's upstand round the stack's corner, where wind drives what
    runs down the stack's side."""
    detail = slit(pitch, covering)
    scheme, made = scheme_of(detail), build_around(detail)
    low = sheet_of(scheme, Kind.RIGHT).top(0.0, 0.0) + 0.010
    high = top_above(scheme, Kind.FRONT) - 2 * detail.gap * scheme.slope - 0.003
    assert high > low + 0.010
    rng = np.random.default_rng(7)
    start = _spread(rng, (HALF - 0.004, HALF - OFF), (-2 * detail.gap + OFF, -OFF), (low, high))
    way = _spread(rng, (0.3, 1.0), (-0.3, 0.3), (-0.05, 0.05))
    assert missed(made, sheets_beside(side), start, way, side) == 0


@pytest.mark.parametrize("joint", ["return", "slit and patch"])
@pytest.mark.parametrize("side", [-1, 1])
def test_behind_a_gutters_return_no_way_leads_out_along_the_wall(side: int, joint: str) -> None:
    """Exact geometry: from between the stack's side and the upstand turned round its back corner, down
    the slope, over the side's turn-in."""
    detail = around(joint=joint)
    scheme, made = scheme_of(detail), build_around(detail)
    gutter = made["back gutter"].vertices
    upper = gutter[np.abs(gutter[:, 1] - DEPTH) < 0.02][:, 2].max() - 0.005
    lower = sheet_of(scheme, Kind.RIGHT).top(0.0, DEPTH) + 0.003
    stand = scheme.stand_off(scheme.layers[Kind.BACK])
    rng = np.random.default_rng(7)
    start = _spread(rng, (HALF + OFF, HALF + stand - OFF), (DEPTH - 0.02, DEPTH), (lower, upper))
    way = _spread(rng, (-0.02, 0.1), (-1.0, -0.5), (0.0, 0.05))
    closing = ("back gutter", sheets_beside(side)[1], "stack")
    assert missed(made, closing, start, way, side) == 0
