"""Underlay round any plan: its hole and upturns, the sheet over the back one, the plane in the loft."""

from __future__ import annotations

from math import cos, pi, radians

import numpy as np
import pytest
import trimesh
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.around.loft import inside, underlay, upper_underlay
from meshes.around.outline import grown
from meshes.around.scheme import Scheme, scheme_of
from meshes.around.tiles import covering
from meshes.build import build
from meshes.parts import Assembly, Part
from meshes.plan import Kind
from meshes.spec import USUAL_ORDER, Detail, Roof, Stack
from tests.meshes.crossings import cuts
from tests.meshes.details import INTERLOCKING, PLAIN_TILES, detail

SMALL = {"below": 0.35, "above": 0.9, "beside": 0.3}
PROFILED = {**INTERLOCKING, "covering": "profiled", "gauge": 0.330}
DRESSED_AFTER = ("apron", "left", "right", "underlay", "gutter")


def scheme(
    pitch_deg: float = 40, roof: dict | None = None, order: tuple = USUAL_ORDER, **stack: object
) -> Scheme:
    """A stack of 600 x 400 mm, or as told, on plain tiles or as told."""
    about = Roof(pitch=radians(pitch_deg), **(PLAIN_TILES | (roof or {})))
    measures = {"width": 0.6, "depth": 0.4, "height": 3.0} | stack
    return scheme_of(Detail(roof=about, stack=Stack(**measures), order=order))


def areas(part: Part) -> tuple[float, float, float]:
    """Area in plan of what lies, area of what stands, and the least area of a triangle [m2]."""
    a, b, c = np.moveaxis(part.vertices[part.faces], 1, 0)
    twice = np.cross(b - a, c - a)
    size = np.linalg.norm(twice, axis=1) / 2
    stands = np.abs(twice[:, 2]) < 1e-9 * size
    return float(twice[:, 2].sum() / 2), float(size[stands].sum()), float(size.min())


def upturned(made: Scheme) -> float:
    """Area of all upturns: edge by edge of the plan grown by a gap, height times length in plan."""
    roof, ridge = made.detail.roof, made.ridge
    corners = grown(made.plan, made.detail.gap)
    total = 0.0
    for edge, a, b in zip(made.plan.edges, corners, [*corners[1:], corners[0]], strict=True):
        shares = [(edge.kind, 1.0)]
        if ridge is not None and edge.kind is Kind.BACK:
            # Square stacks only: what is a back below a ridge is a front beyond it.
            shares = [(Kind.FRONT, 1.0)]
        for kind, share in shares:
            front = kind is Kind.FRONT
            up = roof.underlay_front if front else roof.underlay_sides / cos(roof.pitch)
            total += up * share * float(np.hypot(b[0] - a[0], b[1] - a[1]))
    return total


@pytest.mark.parametrize(("turn", "ridge"), [(0, None), (0.3, None), (pi / 4, None), (0, 0.2)])
def test_underlay_has_the_area_of_roof_less_hole_and_of_its_upturns(
    turn: float, ridge: float | None
) -> None:
    """Exact: plan area, and 100 mm of upturn at the front, 70 mm square to the slope elsewhere (trade
    guidance, seen)."""
    made = scheme(turn=turn, roof={"ridge": ridge})
    lying, standing, least = areas(underlay(made))
    wide = made.x_span[1] - made.x_span[0] - 0.010
    long = made.y_span[1] - made.y_span[0] - 0.010
    hole = np.array(grown(made.plan, 0.001))
    x, y = hole.T
    missing = float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    assert lying == pytest.approx(wide * long - missing, rel=1e-9)
    assert standing == pytest.approx(upturned(made), rel=1e-9)
    assert least > 1e-7


def test_upturns_are_those_of_the_builder_for_square_stacks() -> None:
    """On a rectangle square to the slope both builders make the same upturns, as far from the stack."""
    plain, ours = build(detail(40))["underlay"], underlay(scheme_of(detail(40)))
    assert areas(ours)[1] == pytest.approx(areas(plain)[1], rel=1e-9)
    assert ours.vertices[:, 0].max() == pytest.approx(plain.vertices[:, 0].max())


def test_upturns_stand_all_round_the_stack_and_shed_to_the_outside() -> None:
    """Near the stack the sheet's only free edges are the upturns' tops, 100 mm up at the front (trade
    guidance, seen) and less elsewhere; its wet side looks up or away from the stack."""
    made = scheme(turn=0.5)
    part = underlay(made)
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    edges = trimesh.grouping.group_rows(mesh.edges_sorted, require_count=1)
    rim = part.vertices[mesh.edges_sorted[edges]].reshape(-1, 3)
    plane = np.array([made.nose_plane(y) for y in rim[:, 1]]) - made.underlay_depth
    middle = np.array(made.plan.corners).mean(axis=0)
    near = np.linalg.norm(rim[:, :2] - middle, axis=1) < 0.4
    sides = made.detail.roof.underlay_sides / cos(radians(40))
    assert (rim[near, 2] - plane[near]).max() == pytest.approx(0.100, abs=1e-9)
    # Where two heights meet at a corner, the upright edge between them is rim too.
    assert (rim[near, 2] - plane[near]).min() >= sides - 1e-9
    stands = np.abs(mesh.face_normals[:, 2]) < 1e-9
    outward = mesh.triangles_center[stands, :2] - middle
    assert ((outward * mesh.face_normals[stands, :2]).sum(axis=1) > 0).all()
    assert (mesh.face_normals[~stands, 2] > 0).all()


@settings(derandomize=True, max_examples=20, phases=(Phase.explicit, Phase.generate), deadline=None)
@given(st.integers(3, 16), st.floats(0.15, 0.9), st.floats(-pi, pi), st.floats(15, 55))
def test_any_convex_plan(sides: int, across: float, turn: float, pitch: float) -> None:
    """No triangle without area; upturns of the exact area; nothing cuts the covering."""
    made = scheme(
        pitch,
        INTERLOCKING | SMALL,
        plan="regular",
        sides=sides,
        across=across,
        turn=turn,
        height=4.0,
    )
    part = underlay(made)
    _, standing, least = areas(part)
    assert standing == pytest.approx(upturned(made), rel=1e-8)
    assert least > 1e-8
    upper = upper_underlay(made, made.outer)
    assert upper is not None
    assert not cuts(Assembly((part, covering(made), upper, inside(made))))


@pytest.mark.parametrize("pitch", [20, 50])
@pytest.mark.parametrize("order", [USUAL_ORDER, DRESSED_AFTER])
@pytest.mark.parametrize("covers", [PLAIN_TILES, INTERLOCKING, PROFILED])
def test_upper_sheet_lies_between_the_courses(pitch: float, order: tuple, covers: dict) -> None:
    """Its lower edge lies three gaps (leg, welt; one when dressed first) above course and wave (exact),
    its upper edge a gap over the underlay; it falls all the way and cuts nothing."""
    made = scheme(pitch, covers | SMALL, order, width=0.4, turn=0.5)
    part = upper_underlay(made, (-0.3, 0.4))
    assert part is not None
    low = part.vertices[part.vertices[:, 1] < part.vertices[:, 1].min() + 1e-9]
    courses = made.courses
    lies = np.array([courses.top_of(courses.over_gutter - 1, y) for y in low[:, 1]])
    gaps = 3 if order is USUAL_ORDER else 1
    lies += np.interp(low[:, 0], *made.wave.T)
    square = cos(made.detail.roof.covering_pitch)
    assert (low[:, 2] - lies) * square == pytest.approx(gaps * made.detail.gap, abs=1e-9)
    assert (low[:, 0].min(), low[:, 0].max()) == pytest.approx((-0.29, 0.39))
    high = part.vertices[np.argmax(part.vertices[:, 1])]
    above = high[2] - made.nose_plane(high[1]) + made.underlay_depth
    assert above * cos(radians(pitch)) == pytest.approx(made.detail.gap, abs=1e-9)
    a, b, c = np.moveaxis(part.vertices[part.faces], 1, 0)
    normals = np.cross(b - a, c - a)
    assert (normals[:, 2] > 0).all()
    assert (-normals[:, 1] > 0).all()
    assert not cuts(Assembly((part, covering(made), underlay(made))))


def test_a_ridge_leaves_no_upper_sheet() -> None:
    """Nothing lies behind a stack that stands through the ridge."""
    assert upper_underlay(scheme(roof={"ridge": 0.2}), (-0.6, 0.6)) is None


@pytest.mark.parametrize("ridge", [None, 0.2])
@pytest.mark.parametrize("left", [None, 0.05])
def test_the_loft_lies_below_everything_and_within_the_roof(
    ridge: float | None, left: float | None
) -> None:
    """Level, 0.3 m past the stack and 0.6 m behind it, but never past the underlay's edges."""
    made = scheme(roof={"ridge": ridge, "left": left})
    part, sheet = inside(made), underlay(made)
    assert np.ptp(part.vertices[:, 2]) == 0
    (x0, y0, z), (x1, y1, _) = part.vertices.min(axis=0), part.vertices.max(axis=0)
    assert (x1, y0, y1) == pytest.approx((0.6, -0.3, 1.0))
    assert x0 == pytest.approx(-0.6 if left is None else -0.34)
    assert x0 > sheet.vertices[:, 0].min()
    over = [made.nose_plane(y) - made.underlay_depth for y in (y0, y1)]
    assert min(over) - z == pytest.approx(0.05)
