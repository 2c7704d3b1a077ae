"""The stack on any plan: closed, of exact volume, shedding on all sides, with the chases asked for."""

from __future__ import annotations

from math import cos, pi, radians, tan

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import Phase, given, reject, settings
from hypothesis import strategies as st

from meshes.around.loft import inside_height
from meshes.around.outline import grown
from meshes.around.scheme import Scheme, scheme_of
from meshes.around.shaft import Chase, shaft
from meshes.build import build
from meshes.errors import PieceError
from meshes.parts import Part
from meshes.spec import Detail, Roof, Stack
from tests.meshes.details import detail

FALL = tan(radians(15))


def scheme(**stack: object) -> Scheme:
    """A stack of 600 x 400 mm, or as told, on a roof of 40 degrees."""
    measures = {"width": 0.6, "depth": 0.4, "height": 3.0} | stack
    return scheme_of(Detail(roof=Roof(pitch=radians(40)), stack=Stack(**measures)))


def solid(part: Part) -> trimesh.Trimesh:
    """As a mesh whose corners are merged no further."""
    return trimesh.Trimesh(part.vertices, part.faces, process=False)


def area(corners: np.ndarray) -> float:
    """Of a polygon, anticlockwise [m2]."""
    x, y = np.asarray(corners).T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def base_volume(made: Scheme) -> float:
    """Body and capping's slab [m3]: prisms."""
    stack = made.detail.stack
    slab = area(grown(made.plan, stack.capping_overhang)) * stack.capping_thickness
    return area(made.plan.corners) * (stack.height - inside_height(made) - 0.010) + slab


def roof_volume(eaves: np.ndarray) -> float:
    """Of a roof of 15 degrees over convex eaves [m3]: the height over a point is that of the nearest
    eaves' plane, integrated over a fine grid (independent of how the roof's nodes are found)."""
    eaves = np.asarray(eaves)
    way = np.roll(eaves, -1, axis=0) - eaves
    normals = np.column_stack([-way[:, 1], way[:, 0]]) / np.linalg.norm(way, axis=1)[:, None]
    low, high = eaves.min(axis=0), eaves.max(axis=0)
    steps = (np.arange(600) + 0.5) / 600
    grid = np.stack(np.meshgrid(*(low + (high - low) * steps[:, None]).T), -1).reshape(-1, 2)
    off = (grid @ normals.T - (normals * eaves).sum(axis=1)).min(axis=1)
    return float(np.clip(off, 0, None).sum()) * FALL * float(np.prod(high - low)) / 600**2


@pytest.mark.parametrize("overhang", [0.0, 0.040])
@pytest.mark.parametrize("turn", [0.0, 0.4, pi / 4])
def test_a_rectangle_has_the_volume_of_its_blocks(overhang: float, turn: float) -> None:
    """Exact: body, capping slab and a hipped top (prism and pyramid volumes)."""
    made = scheme(turn=turn, capping_overhang=overhang)
    mesh = solid(shaft(made))
    assert mesh.is_watertight
    long, short = 0.6 + 2 * overhang, 0.4 + 2 * overhang
    peak = short / 2 * FALL
    hip = short * short * peak / 3 + (long - short) * short * peak / 2
    assert mesh.volume == pytest.approx(base_volume(made) + hip, rel=1e-9)


def test_it_is_the_stack_of_the_builder_for_square_ones() -> None:
    """Without chases the stack square to the slope is the other builder's, above the roof."""
    same = detail(40, stack=Stack(width=0.59, depth=0.44, height=1.4, chase_depth=0.0))
    ours, theirs = (
        part.vertices[part.vertices[:, 2] > 0]
        for part in (shaft(scheme_of(same)), build(same)["stack"])
    )
    ours, theirs = (np.unique(rows.round(9) + 0.0, axis=0) for rows in (ours, theirs))
    assert ours == pytest.approx(theirs, abs=1e-8)


@pytest.mark.parametrize("sides", [3, 5, 8, 64])
def test_a_regular_stack_has_a_pyramid_on_top(sides: int) -> None:
    """Exact: a pyramid over n sides, its height the distance to a side times the fall's tangent."""
    made = scheme(plan="regular", sides=sides, across=0.6, turn=0.1)
    mesh = solid(shaft(made))
    assert mesh.is_watertight
    inner = 0.3 + 0.040
    pyramid = sides * inner**2 * tan(pi / sides) * inner * FALL / 3
    assert mesh.volume == pytest.approx(base_volume(made) + pyramid, rel=1e-9)
    top = mesh.vertices[:, 2].max()
    assert top == pytest.approx(3.0 + 0.060 + inner * FALL)
    assert (mesh.vertices[:, 2] > top - 1e-6).sum() == 1


@settings(derandomize=True, max_examples=25, phases=(Phase.explicit, Phase.generate), deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 2 * pi), st.floats(0.7, 1)), min_size=4, max_size=9),
    st.floats(0.4, 2.5),
)
def test_any_convex_capping_sheds_outward_on_all_sides(
    spots: list[tuple[float, float]], size: float
) -> None:
    """Closed; every upper face falls at 15 degrees, square to an edge of the plan and away from the
    stack; the volume is that of the lowest of all eaves' planes (a grid of 600 x 600, so to 0.2 %)."""
    ring = [(2 * pi * k / 5 + 0.1, 1.0) for k in range(5)]
    points = [(size / 2 * r * np.cos(a), size / 2 * r * np.sin(a)) for a, r in ring + spots]
    hull = shapely.get_coordinates(shapely.MultiPoint(points).convex_hull)[:-1]
    try:
        made = scheme(plan="points", points=tuple(map(tuple, hull.tolist())), height=5.0)
    except PieceError:  # an edge under 10 mm
        reject()
    mesh = solid(shaft(made))
    assert mesh.is_watertight
    top = (mesh.triangles_center[:, 2] > 5.06) & (mesh.face_normals[:, 2] > 0.01)
    normals = mesh.face_normals[top]
    assert normals[:, 2] == pytest.approx(np.full(top.sum(), cos(radians(15))), abs=1e-6)
    edges = np.array([edge.normal for edge in made.plan.edges])
    across = normals[:, :2] / np.linalg.norm(normals[:, :2], axis=1)[:, None]
    assert (across @ edges.T).max(axis=1) == pytest.approx(np.ones(top.sum()), abs=1e-6)
    eaves = np.array(grown(made.plan, 0.040))
    assert mesh.volume - base_volume(made) == pytest.approx(roof_volume(eaves), rel=2e-3)


@pytest.mark.parametrize("backwards", [False, True])
def test_a_level_chase_takes_its_slot(backwards: bool) -> None:
    """12 mm high, 35 mm deep, mitred at both corners of a face 600 mm wide, 2 mm past the mitre, and
    opening 3 mm below its line (exact)."""
    made = scheme()
    ends = [(-0.3, 0.0, 0.15), (0.3, 0.0, 0.15)]
    chase = Chase(*(ends[::-1] if backwards else ends), (0.0, 1.0))
    cut, whole = solid(shaft(made, [chase])), solid(shaft(made))
    assert cut.is_watertight
    slot = 0.012 * (0.6 * 0.035 - (0.035 - 0.002) ** 2)
    assert whole.volume - cut.volume == pytest.approx(slot, rel=1e-9)
    heights = cut.vertices[np.abs(cut.vertices[:, 2] - 0.15) < 0.02, 2]
    assert (heights.min(), heights.max()) == pytest.approx((0.147, 0.159))


def test_a_sloping_chase_takes_its_slot_where_it_runs() -> None:
    """Between corners: square to its line 12 mm, in plan 200 mm long, 35 mm deep (exact)."""
    made = scheme(turn=0.4)
    edge = made.plan.edges[0]
    (x, y), (ux, uy), (nx, ny) = edge.start, edge.along, edge.normal
    start, end = ((x + ux * s, y + uy * s, 0.3 + s * FALL) for s in (0.1, 0.3))
    # A bend stands off the face: the slot is in the face all the same.
    off = [(px + nx * 0.002, py + ny * 0.002, pz) for px, py, pz in (start, end)]
    cut, whole = solid(shaft(made, [Chase(off[0], off[1], (-nx, -ny))])), solid(shaft(made))
    assert cut.is_watertight
    slot = 0.2 * 0.035 * 0.012 / cos(radians(15))
    assert whole.volume - cut.volume == pytest.approx(slot, rel=1e-9)


@pytest.mark.parametrize("facets", [8, 32])
def test_chases_all_round_meet(facets: int) -> None:
    """A ring: what remains at its height is the plan moved in by the chase's depth (exact)."""
    made = scheme(plan="round", diameter=0.5, facets=facets)
    chases = [
        Chase((*edge.start, 0.6), (*edge.end, 0.6), (-edge.normal[0], -edge.normal[1]))
        for edge in made.plan.edges
    ]
    cut, whole = solid(shaft(made, chases)), solid(shaft(made))
    assert cut.is_watertight
    ring = area(made.plan.corners) - area(grown(made.plan, -0.035))
    assert whole.volume - cut.volume == pytest.approx(0.012 * ring, rel=1e-6)


def test_chases_that_no_face_has() -> None:
    """One clear line each."""
    with pytest.raises(PieceError, match="chase must be along a face"):
        Chase((0.0, 0.0, 0.1), (0.0, 0.2, 0.1), (0.0, 1.0))
    with pytest.raises(PieceError, match="chase must be along a face"):
        Chase((0.0, 0.0, 0.1), (0.0, 0.0, 0.2), (0.0, 1.0))
    with pytest.raises(PieceError, match="chase must be in a face"):
        shaft(scheme(turn=0.4), [Chase((0.0, 0.0, 0.1), (0.2, 0.0, 0.1), (0.0, 1.0))])


def test_a_short_face_is_cut_no_deeper_than_its_mitres_meet() -> None:
    """A round stack of 80 mm, whose facets are shorter than a chase is deep at its mitres."""
    made = scheme(plan="round", diameter=0.08, facets=8, chase_depth=0.09)
    edge = made.plan.edges[0]
    inward = (-edge.normal[0], -edge.normal[1])
    cut = solid(shaft(made, [Chase((*edge.start, 0.5), (*edge.end, 0.5), inward)]))
    assert cut.is_watertight
    middle = np.mean(made.plan.corners, axis=0)
    third = area(np.array([edge.start, edge.end, middle]))
    taken = solid(shaft(made)).volume - cut.volume
    assert 0.9 * third * 0.012 < taken < 1.4 * third * 0.012
