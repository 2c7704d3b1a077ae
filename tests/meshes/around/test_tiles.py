"""The covering round any plan: closed courses that keep apart, cut to the stack; a capped ridge."""

from __future__ import annotations

from math import cos, pi, radians
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.around.outline import grown
from meshes.around.scheme import Scheme, scheme_of
from meshes.around.tiles import covering, ridge_capping
from meshes.parts import Assembly, Part
from meshes.spec import Detail, Roof, Stack
from tests.meshes.crossings import cuts, cuts_itself
from tests.meshes.details import INTERLOCKING, ONE_PLANE, PLAIN_TILES

PROFILED: dict[str, Any] = {**INTERLOCKING, "covering": "profiled", "gauge": 0.330}
SMALL = {"below": 0.5, "above": 0.9, "beside": 0.5}


def scheme(pitch_deg: float = 40, roof: dict[str, Any] | None = None, **stack: Any) -> Scheme:
    """A stack of 600 x 400 mm, or as told, on plain tiles or as told."""
    about = Roof(pitch=radians(pitch_deg), **(PLAIN_TILES | (roof or {})))
    return scheme_of(
        Detail(roof=about, stack=Stack(height=3.0, **({"width": 0.6, "depth": 0.4} | stack)))
    )


def solid(part: Part) -> trimesh.Trimesh:
    """As a mesh whose corners are merged no further."""
    return trimesh.Trimesh(part.vertices, part.faces, process=False)


def clipped(polygon: np.ndarray, low: float, high: float) -> float:
    """Area of a convex polygon between y = low and y = high, by Sutherland and Hodgman's clipping."""
    for y, sign in ((low, 1.0), (high, -1.0)):
        kept = []
        for a, b in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
            if sign * (a[1] - y) >= 0:
                kept.append(a)
            if (a[1] - y) * (b[1] - y) < 0:
                kept.append(a + (b - a) * (y - a[1]) / (b[1] - a[1]))
        if len(kept) < 3:
            return 0.0
        polygon = np.array(kept)
    x, y_ = polygon.T
    return float(x @ np.roll(y_, -1) - y_ @ np.roll(x, -1)) / 2


def expected_volume(made: Scheme) -> float:
    """Upright depth times area in plan, course by course: exact, whatever wave lies on it."""
    wide = made.x_span[1] - made.x_span[0]
    hole = np.array(grown(made.plan, made.detail.roof.clearance))
    total = 0.0
    for index, course in enumerate(made.courses.courses):
        high = course.head_y
        if made.ridge is not None:
            high = min(high, made.ridge - made.detail.gap / 2)
        if high - course.nose_y < 0.001:
            continue
        spans = [(course.nose_y, high)]
        if made.ridge is not None:
            spans.append((2 * made.ridge - high, 2 * made.ridge - course.nose_y))
        for low, up in spans:
            cut = clipped(hole, low, up) if index < made.courses.over_gutter else 0.0
            total += course.depth * (wide * (up - low) - cut)
    return total


@pytest.mark.parametrize("kind", [PLAIN_TILES, PROFILED, ONE_PLANE])
@pytest.mark.parametrize(
    ("turn", "ridge"),
    [(0.0, None), (0.3, None), (pi / 4, None), (0.0, 0.2), (0.3, 0.11), (pi / 4, 0.28)],
)
def test_courses_are_closed_and_as_large_as_they_should_be(
    kind: dict[str, Any], turn: float, ridge: float | None
) -> None:
    """Volume: upright depth times plan area (derived, exact)."""
    made = scheme(roof=kind | SMALL | {"ridge": ridge}, width=0.4, turn=turn)
    mesh = solid(covering(made))
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(expected_volume(made), rel=1e-9)


@pytest.mark.parametrize(("roof", "turn"), [(PROFILED, 0.5), (PLAIN_TILES | {"ridge": 0.2}, 0.0)])
def test_courses_keep_apart(roof: dict[str, Any], turn: float) -> None:
    """No body's edge passes through another's face, at the ridge neither: brute force."""
    assert not cuts_itself(covering(scheme(roof=SMALL | roof | {"below": 0.3}, turn=turn)))


def test_the_upper_side_is_course_and_wave() -> None:
    """Each corner lies on its course's plane plus the wave, or its upright depth below (derived)."""
    made = scheme(roof=PROFILED | SMALL, turn=0.5)
    x, y, z = covering(made).vertices.T
    flat = z - np.interp(x, *made.wave.T)
    off = np.full(len(x), np.inf)
    for course in made.courses.courses:
        within = (y >= course.nose_y) & (y <= course.head_y)
        for depth in (0.0, course.depth):
            gap = np.abs(flat - course.nose_z - (y - course.nose_y) * made.courses.slope + depth)
            off = np.where(within, np.minimum(off, gap), off)
    assert off.max() < 1e-12


def test_the_cut_stands_off_by_the_clearance_and_spares_what_lies_over_the_back_sheet() -> None:
    """Nearest corner of a cut course: the clearance (exact). A course over the back sheet is whole."""
    made = scheme(turn=pi / 6)
    mesh = solid(covering(made))
    normals = np.array([edge.normal for edge in made.plan.edges])
    ends = (normals * np.array(made.plan.corners)).sum(axis=1)
    off = (mesh.vertices[:, :2] @ normals.T - ends).max(axis=1)
    assert off.min() == pytest.approx(0.010, abs=1e-9)
    bodies = mesh.split()
    whole = len(made.courses.courses) - made.courses.over_gutter
    assert sum(len(body.vertices) == 8 for body in bodies) >= whole
    uppermost = max(bodies, key=lambda body: body.bounds[1, 1])
    assert uppermost.bounds[:, 0] == pytest.approx(made.x_span, abs=0)


@settings(derandomize=True, max_examples=25, phases=(Phase.explicit, Phase.generate), deadline=None)
@given(
    st.sampled_from([3, 4, 5, 6, 8, 12]),
    st.floats(0.2, 0.9),
    st.floats(-pi, pi),
    st.sampled_from([PLAIN_TILES, PROFILED, ONE_PLANE]),
    st.floats(18, 50),
)
def test_any_convex_plan(
    sides: int, across: float, turn: float, kind: dict[str, Any], pitch: float
) -> None:
    """Closed, and of the exact volume, at any turn: the same formula as above."""
    told = {"plan": "regular", "sides": sides, "across": across, "turn": turn}
    made = scheme(pitch, kind | SMALL, **told)
    mesh = solid(covering(made))
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(expected_volume(made), rel=1e-9)


def test_a_corner_of_the_cut_on_a_nose_leaves_a_closed_body() -> None:
    """The lowest corner of a diamond set on a nose: two parts of a course must not touch in a line."""
    first = scheme(turn=pi / 4, width=0.4)
    low = min(y for _, y in grown(first.plan, 0.010))
    nose = max(c.nose_y for c in first.courses.courses if c.nose_y < low)
    # Moving the first free course moves all noses by as much.
    opened = first.detail.roof.gutter_open + (low - nose) / cos(radians(40))
    made = scheme(turn=pi / 4, width=0.4, roof={"gutter_open": opened})
    assert min(abs(c.nose_y - low) for c in made.courses.courses) < 1e-12
    assert solid(covering(made)).is_watertight


@pytest.mark.parametrize(("turn", "ridge"), [(0.0, 0.2), (pi / 4, 0.2), (0.3, 0.11)])
@pytest.mark.parametrize("kind", [PLAIN_TILES, PROFILED])
def test_a_ridge_is_capped_clear_of_what_lies_there(
    kind: dict[str, Any], turn: float, ridge: float
) -> None:
    """Two closed bodies 12 mm thick, from verge to stack, its underside one gap over the
    uppermost cover as it would rest on noses and crests (exact), and clear of one dressed to them."""
    made = scheme(roof=kind | SMALL | {"ridge": ridge}, width=0.4, turn=turn)
    layers = made.top_layer
    part = ridge_capping(made, layers)
    assert part is not None
    mesh = solid(part)
    assert mesh.is_watertight
    assert len(mesh.split()) == 2
    assert mesh.bounds[:, 0] == pytest.approx(made.x_span)
    assert mesh.bounds[:, 1] == pytest.approx([ridge - 0.12, ridge + 0.12])
    wide = (part.vertices[:, 0].min(), part.vertices[:, 0].max())
    assert mesh.volume < (wide[1] - wide[0]) * 0.24 * 0.012 / cos(radians(40))
    lie = made.cover_lie(layers)
    upright = np.array([z - lie.height(x, y) for x, y, z in part.vertices])
    assert upright.min() > 0.5 * made.detail.gap
    over = part.vertices[:, 2] - [made.nose_plane(y) + made.crest for y in part.vertices[:, 1]]
    gaps = over * cos(radians(40)) / made.detail.gap
    assert np.unique(gaps.round(6)) == pytest.approx([layers + 1, layers + 1 + 12])
    assert not cuts(Assembly((part, covering(made))))


def test_no_ridge_no_capping() -> None:
    """Nothing to cap: no ridge, or no more roof beside the stack than the clearance."""
    assert ridge_capping(scheme(), 3) is None
    narrow = {"ridge": 0.2, "left": 0.03, "right": 0.03, "clearance": 0.03}
    assert ridge_capping(scheme(roof=narrow), 3) is None
