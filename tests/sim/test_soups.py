"""Meshes as other programs write them: no shared corners, rounded, doubled, turned over, tangled."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import radians
from pathlib import Path

import numpy as np
import pytest
import trimesh

from meshes.build import build
from meshes.errors import SceneError
from meshes.files import load_part
from meshes.parts import Assembly, Part, Role
from meshes.spec import Detail, Roof, Stack
from sim import contacts
from sim.charts import Charts
from sim.edges import edges_of
from sim.fates import Fate
from sim.findings import Findings, find
from sim.nearby import groups, nearest, pairs_within
from sim.rain import rain
from sim.surface import Surface
from sim.tolerances import WELD
from sim.trace import Trace, trace
from tests.sim.shapes import box, pitched, sheet

TILES = Roof(pitch=radians(40), gauge=0.345, thickness=0.025, double_lap=False, head_lap=0.075)
RIGHT = Detail(roof=TILES, stack=Stack(width=0.59, depth=0.44))
WRONG = replace(RIGHT, order=("apron", "gutter", "left", "right", "underlay"))


def found_in(assembly: Assembly) -> tuple[Findings, Trace]:
    charts = Charts.of(assembly)
    drops = rain(charts, 4000, seed=0, rain_m_s=2e-5)
    ends = trace(charts, drops)
    return find(charts, drops, ends), ends


@cache
def as_built(detail: Detail) -> tuple[Assembly, Findings, Trace]:
    """A detail before anything is done to its meshes: the same for all tests that change them."""
    built = build(detail)
    return (built, *found_in(built))


def verdict(found: Findings) -> tuple[list[tuple[object, ...]], list[tuple[object, ...]]]:
    """What a reader is told: leaks, and laps to a tenth of a millimetre."""
    return (
        [(leak.way_in, leak.cause, leak.severity, len(leak.rows)) for leak in found.leaks],
        [(lap.upper, lap.lower, lap.where, round(lap.length, 4), lap.ok) for lap in found.laps],
    )


@pytest.mark.parametrize("joint", ["return", "fin"])
@pytest.mark.parametrize("detail", [RIGHT, WRONG], ids=["right", "wrong"])
def test_an_stl_of_a_built_detail_gets_the_same_verdict(detail, joint, tmp_path: Path) -> None:
    """Derived: float32 millimetres round a place at 2 m by 1e-7 m, a ten-thousandth of a bedding gap."""
    built, before, ends = as_built(replace(detail, joint=joint))
    read = []
    for number, part in enumerate(built):
        path = tmp_path / f"{number}.stl"
        trimesh.Trimesh(part.vertices * 1000, part.faces, process=False).export(path)
        read.append(load_part(path, name=part.name, role=part.role, unit="mm"))
    after, again = found_in(Assembly(tuple(read)))
    assert verdict(after) == verdict(before)
    assert (again.fate == ends.fate).all()
    assert bool(before.leaks) == (detail is WRONG)


def slivers(part: Part) -> Part:
    """The part, and a triangle of no area on the first side of each of its faces."""
    middle = part.vertices[part.faces[:, :2]].mean(axis=1)
    flat = np.column_stack([part.faces[:, :2], len(part.vertices) + np.arange(len(middle))])
    vertices = np.vstack([part.vertices, middle])
    return Part(part.name, part.role, vertices, np.vstack([part.faces, flat]))


def written_anew(part: Part) -> Part:
    """Every triangle with corners of its own, off their place by up to 0.2 um on each axis."""
    soup = part.vertices[part.faces].reshape(-1, 3)
    off = np.random.default_rng(len(soup)).uniform(-2e-7, 2e-7, soup.shape)
    return Part(part.name, part.role, soup + off, np.arange(len(soup)).reshape(-1, 3))


def with_more(part: Part, faces: np.ndarray) -> Part:
    return Part(part.name, part.role, part.vertices, np.vstack([part.faces, faces]))


CHANGES = {
    "faces twice": lambda part: with_more(part, part.faces),
    "faces twice, once turned over": lambda part: with_more(part, part.faces[:, ::-1]),
    "faces on one line": lambda part: with_more(part, part.faces[:, [0, 0, 1]]),
    "slivers": slivers,
}


@pytest.mark.parametrize("change", CHANGES)
@pytest.mark.parametrize("detail", [RIGHT, WRONG], ids=["right", "wrong"])
def test_what_adds_no_surface_changes_no_verdict(detail, change) -> None:
    """Derived: the same sheets are there."""
    built, before, ends = as_built(detail)
    after, again = found_in(Assembly(tuple(CHANGES[change](part) for part in built)))
    assert verdict(after) == verdict(before)
    assert (again.fate == ends.fate).all()


@pytest.mark.parametrize("detail", [RIGHT, WRONG], ids=["right", "wrong"])
def test_corners_written_anew_for_each_triangle_change_no_fate(detail) -> None:
    """Derived: 0.2 um is no crack, and tilts no soffit. (Which edge of a cut corner a drop leaves by may
    hang on it.)"""
    built, before, ends = as_built(detail)
    after, again = found_in(Assembly(tuple(written_anew(part) for part in built)))
    assert verdict(after)[1] == verdict(before)[1]
    assert (again.fate == ends.fate).all()


@pytest.mark.parametrize("turn_over", [False, True])
def test_parts_that_coincide_hold_no_water_between_them(turn_over) -> None:
    """Derived: two copies of every part in one place shed what one sheds."""
    built = build(RIGHT)
    twins = [
        Part(f"{p.name} again", p.role, p.vertices, p.faces[:, ::-1] if turn_over else p.faces)
        for p in built
    ]
    _, ends = found_in(Assembly((*built, *twins)))
    assert (ends.fate == Fate.SHED).all()


@pytest.mark.parametrize("gap", [0.0, 1e-5, 1e-4, 2e-4])
def test_sheets_closer_than_a_film_shed_as_one(gap) -> None:
    """Derived: nothing runs in a gap under the stand-off; a copy that far above lets nothing behind.
    Exactly one stand-off above, up to two drops in 4,000 rest against a lip dressed tight."""
    built = build(RIGHT)
    twins = [
        Part(f"{p.name} again", p.role, p.vertices + np.array([0, 0, gap]), p.faces) for p in built
    ]
    _, ends = found_in(Assembly((*built, *twins)))
    assert np.isin(ends.fate, (Fate.SHED, Fate.HELD)).all()
    assert (ends.fate == Fate.HELD).sum() <= (2 if gap == 2e-4 else 0)


def test_wet_sides_turned_over_still_lead_every_drop_to_an_end() -> None:
    """Derived: windings at random change what is called a leak, not that water has an end."""
    rng = np.random.default_rng(0)
    parts = [
        Part(p.name, p.role, p.vertices,
             np.where(rng.random((len(p.faces), 1)) < 0.5, p.faces, p.faces[:, ::-1]))
        for p in build(RIGHT)
    ]  # fmt: skip
    _, ends = found_in(Assembly(tuple(parts)))
    assert (ends.fate == Fate.SHED).all()


@pytest.mark.parametrize("spokes", [3, 6])
def test_many_faces_round_an_edge_hold_or_shed_but_lose_nothing(spokes) -> None:
    """Derived: leaves that stand on a slope's edges are no defect of ours: all drops end."""
    roof = sheet(pitched(35), np.linspace(-1, 1, 7), np.linspace(-1, 1, 7))
    rng = np.random.default_rng(4)
    vertices, faces = [roof.vertices], [roof.faces]
    count = len(roof.vertices)
    for _ in range(spokes - 2):
        some = roof.faces[::5]
        vertices.append(roof.vertices[some[:, 2]] + rng.normal(0, 0.1, (len(some), 3)))
        faces.append(np.column_stack([some[:, :2], count + np.arange(len(some))]))
        count += len(some)
    part = Part("roof", Role.COVERING, np.concatenate(vertices), np.concatenate(faces))
    found, ends = found_in(Assembly((part,)))
    assert found.unresolved == 0
    assert (ends.fate == Fate.SHED).any()


@pytest.mark.parametrize("size", [1e-4, 1e-3, 5e-3, 0.02])
def test_crumpled_sheets_end_every_drop(size) -> None:
    """Derived: sheets that cut through each other everywhere are read without a fault of ours."""
    rng = np.random.default_rng(0)
    parts = [
        Part(p.name, p.role, p.vertices + rng.normal(0, size, p.vertices.shape), p.faces)
        for p in build(RIGHT)
    ]
    charts = Charts.of(Assembly(tuple(parts)))
    drops = rain(charts, 4000, seed=0, rain_m_s=2e-5)
    assert find(charts, drops, trace(charts, drops)).unresolved == 0


def test_a_tangle_is_refused_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: 40 triangles at random cut each other into far more than 100 pieces."""
    monkeypatch.setattr(contacts, "MOST_PIECES", 100)
    corners = np.random.default_rng(0).uniform(-1, 1, (120, 3))
    part = Part("tangle", Role.COVERING, corners, np.arange(120).reshape(-1, 3))
    with pytest.raises(SceneError, match="must be at most 100: they are tangled") as caught:
        Charts.of(Assembly((part,)))
    assert "\n" not in str(caught.value)


def test_more_parts_than_a_mask_holds_are_refused_in_one_line() -> None:
    """Derived: the parts that a drop ran on are kept in 64 bits."""
    parts = [box([k, 0, 0], [k + 0.5, 1, 1], name=f"box {k}") for k in range(65)]
    assert len(Surface.of(Assembly(tuple(parts[:64]))).part_names) == 64
    with pytest.raises(SceneError, match=r"parts must be at most 64\. Got parts = 65"):
        Surface.of(Assembly(tuple(parts)))


def test_a_box_in_a_fine_bumpy_slope_keeps_its_feet_tight() -> None:
    """Derived: water runs round a box that stands through 20,000 triangles, none through it."""
    x = np.linspace(-1, 1, 101)
    roof = sheet(lambda x, y: 0.7 * y + 0.01 * np.sin(19 * x) * np.cos(13 * y), x, x)
    stack = box([-0.2, -0.15, -1.0], [0.21, 0.17, 1.0], turn=0.1)
    loft = sheet(lambda x, y: 0 * x - 2, [-1, 1], [-1, 1], name="loft", role=Role.INSIDE)
    soup = Part("roof", Role.COVERING, roof.vertices[roof.faces].reshape(-1, 3),
                np.arange(roof.faces.size).reshape(-1, 3))  # fmt: skip
    found, ends = found_in(Assembly((soup, stack, loft)))
    assert found.unresolved == 0
    assert not (ends.fate == Fate.INSIDE).any()


def test_faces_that_coincide_lie_in_one_order_at_all_their_edges() -> None:
    """Derived: along the common normal the later face comes second, whichever edge is asked."""
    corners = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0.5, -1, 0], [1, 1, 0], [-1, 0.5, 0]])
    faces = np.array([[0, 1, 2], [0, 3, 1], [1, 4, 2], [0, 2, 5]])
    lower = Part("lower", Role.COVERING, corners.astype(float), faces)
    upper = Part("upper", Role.COVERING, corners.astype(float), faces)
    both = Surface.of(Assembly((lower, upper)))
    shared = np.concatenate([both.corners[:6], both.corners[:6]])
    one = Surface.from_arrays(
        both.vertices, both.centre, both.faces, both.face_part, both.part_names, both.part_roles,
        shared,
    )  # fmt: skip
    assert one.solid.tolist() == [True] * 4 + [False] * 4
    every = replace(one, solid=np.ones(8, dtype=bool), normals=both.normals)
    neighbour = edges_of(every).neighbour
    assert (neighbour[0] == 9).all()  # the lower's wet side faces the upper's dry side
    assert (neighbour[8] != 1).all()


def test_pairs_within_are_those_of_a_search_by_hand() -> None:
    """Outside library: all distances, taken one by one."""
    points = np.round(np.random.default_rng(3).uniform(0, 0.3, (400, 3)), 2)
    away = np.linalg.norm(points[:, None] - points[None], axis=2)
    a, b = np.nonzero(np.triu(away <= 0.025, 1))
    got = pairs_within(points, 0.025)
    assert sorted(map(tuple, got.tolist())) == sorted(zip(a.tolist(), b.tolist(), strict=True))
    distance, row = nearest(points[:50], points[50:])
    assert (distance == away[50:, :50].min(axis=1)).all()
    assert (away[np.arange(50, 400), row] == distance).all()


def test_groups_hang_together_through_others() -> None:
    """Derived by hand: 4-2, 2-5 and 1-3; numbered by their lowest rows."""
    assert groups(6, np.array([[4, 2], [2, 5], [3, 1]])).tolist() == [0, 1, 2, 1, 2, 2]
    assert groups(3, np.zeros((0, 2), dtype=np.int64)).tolist() == [0, 1, 2]


def test_corners_of_one_part_within_a_micrometre_are_one_and_of_two_parts_are_not() -> None:
    """Derived: both faces hang together; the same gap between parts stays a gap."""
    left = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], dtype=float)
    right = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 0]]) + np.array([0.5 * WELD, 0, 0])
    faces = np.arange(6).reshape(-1, 3)
    one = Surface.of(Assembly((Part("sheet", Role.COVERING, np.vstack([left, right]), faces),)))
    assert one.corners.tolist() == [0, 1, 2, 1, 4, 2]
    assert (one.vertices[3] == one.vertices[1]).all()
    apart = (
        Part("left", Role.COVERING, left, faces[:1]),
        Part("right", Role.COVERING, right, faces[:1]),
    )
    two = Surface.of(Assembly(apart))
    assert two.corners.tolist() == [0, 1, 2, 3, 4, 5]
