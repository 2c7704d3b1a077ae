"""Boxes and walls on a plane: where they stop water, and how much of it, by exact geometry."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from meshes.around.build import build_around
from meshes.parts import Assembly, Part, Role
from meshes.spec import Joint
from sim.charts import Charts
from sim.contact_pairs import meetings
from sim.contacts import join_contacts, only_solid
from sim.events import Event
from sim.fates import Fate
from sim.rain import place, rain
from sim.site import Site
from sim.surface import Surface
from sim.tolerances import CLOSED
from sim.trace import record, trace
from sim.tree import tree_of
from tests.meshes.around.details_around import DETAILS
from tests.sim.shapes import DOWN, box, in_four, pitched, sheet, turned

PITCH = 30.0
RISE = np.tan(np.radians(PITCH))
LOW, HIGH = (-0.3, -0.25), (0.3, 0.2)
ROOF_X, ROOF_Y = (-2.0, 2.0), (-3.0, 3.0)
AREA = 24.0  # of the roof in plan [m2]
DROPS = 40_000


def roof(cells: int) -> Part:
    """A plain roof in cells x cells squares."""
    x, y = (np.linspace(*ends, cells + 1) for ends in (ROOF_X, ROOF_Y))
    return sheet(pitched(PITCH), x, y)


def welded() -> Part:
    """The roof with the box's walls and top in one mesh, sharing corners."""
    x, y = [-2, LOW[0], HIGH[0], 2], [-3, LOW[1], HIGH[1], 3]
    plain = sheet(pitched(PITCH), x, y, without=((1, 1),))
    foot = [5, 6, 10, 9]  # the hole's corners, counter-clockwise from above
    top = plain.vertices[foot] * [1, 1, 0] + [0, 0, 1.5]
    n = len(plain.vertices)
    walls = []
    for k in range(4):
        a, b, c, d = foot[k], foot[(k + 1) % 4], n + (k + 1) % 4, n + k
        walls += [(a, b, c), (a, c, d)]
    lid = [(n, n + 1, n + 2), (n, n + 2, n + 3)]
    faces = np.concatenate([plain.faces, walls, lid])
    return Part("roof", Role.COVERING, np.concatenate([plain.vertices, top]), faces)


def through(turn: float) -> Part:
    """A box that stands through the roof."""
    return box([*LOW, -1], [*HIGH, 1.5], turn=turn)


def standing(gap: float) -> Part:
    """A box square to the slope with its base `gap` above the plane [m]."""
    tilt, normal = (
        np.radians(PITCH),
        np.array([0, -np.sin(np.radians(PITCH)), np.cos(np.radians(PITCH))]),
    )
    block = box([*LOW, 0], [*HIGH, 0.5])
    c, s = np.cos(tilt), np.sin(tilt)
    vertices = block.vertices @ np.array([[1, 0, 0], [0, c, s], [0, -s, c]]) + gap * normal
    return Part("box", Role.STACK, vertices, block.faces)


def above_the_box(turn: float) -> shapely.Polygon:
    """The box's catchment in plan: what lies between its outer corners, up the slope from it."""
    corners = [(x, y) for x in (LOW[0], HIGH[0]) for y in (LOW[1], HIGH[1])]
    plan = turned(np.column_stack([corners, np.zeros(4)]), turn)[:, :2]
    shape = shapely.MultiPoint(plan).convex_hull
    left, right = plan[:, 0].min(), plan[:, 0].max()
    start, stop = (plan[plan[:, 0].argmin(), 1], plan[plan[:, 0].argmax(), 1])
    strip = shapely.Polygon([(left, start), (right, stop), (right, ROOF_Y[1]), (left, ROOF_Y[1])])
    return strip.difference(shape)


def check_catch(parts: tuple[Part, ...], area: float, sides: tuple[float, float]) -> None:
    """The share that comes down at the box's outer edges is its catchment's, within 3 SE."""
    charts = Charts.of(Assembly(parts))
    drops = rain(charts, DROPS, seed=5, rain_m_s=75 / 3.6e6)
    got = trace(charts, drops)
    assert not (got.fate == Fate.UNRESOLVED).any()
    shed = got.fate == Fate.SHED
    caught = shed & (np.abs(got.end[:, :1] - np.array(sides)) < 1e-5).any(axis=1)
    share, expected = caught.sum() / DROPS, area / AREA
    assert abs(share - expected) < 3 * np.sqrt(expected * (1 - expected) / DROPS)
    # Nobody from above the box comes down in its lee.
    lee = shed & (got.end[:, 0] > sides[0] + 1e-5) & (got.end[:, 0] < sides[1] - 1e-5)
    assert drops.points[lee, 1].max() < HIGH[1]


def test_a_welded_box_catches_the_strip_above_it() -> None:
    """Derived: 0.6 m wide, 2.8 m of run above it, of 24 m2; level rear wall, half to each side."""
    check_catch((welded(),), 0.6 * 2.8, (LOW[0], HIGH[0]))


@pytest.mark.parametrize("cells", [1, 7])
@pytest.mark.parametrize("turn", [0.0, 0.3, np.pi / 4, 1.2])
def test_a_box_through_the_roof_catches_the_strip_above_it(cells: int, turn: float) -> None:
    """Derived: what lies up-slope between its outer corners, whatever its turn and the roof's mesh."""
    plan = turned(np.array([(x, y, 0) for x in (-0.3, 0.3) for y in (-0.25, 0.2)]), turn)
    sides = (plan[:, 0].min(), plan[:, 0].max())
    check_catch((roof(cells), through(turn)), above_the_box(turn).area, sides)


@pytest.mark.parametrize("gap", [0.0, 1e-4, -1e-4])
def test_a_box_that_stands_on_the_roof_catches_too(gap: float) -> None:
    """Derived: rear edge of the base at 0.2 m up the slope; 0.1 mm is under the stand-off of 0.2 mm."""
    charts = Charts.of(Assembly((roof(3), standing(gap))))
    drops = place(charts, [(0.1, 1.0, 5), (-0.2, 2.0, 5)], DOWN)
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    # Its rear edge is level: which of its two ends a drop takes, `test_level.py` asks.
    assert_allclose(abs(got.end[:, 0]), 0.3, atol=1e-3)


def test_a_gap_of_1_mm_lets_water_under() -> None:
    """Derived: over the stand-off there is no contact, water runs straight on below."""
    for stood in (standing(1e-3), wall(1e-3)):
        charts = Charts.of(Assembly((roof(3), stood)))
        got = trace(charts, place(charts, (0.1, 1.0, 5), DOWN))
        assert_allclose(got.end[0, 0], 0.1, atol=1e-9)


def wall(gap: float) -> Part:
    """An upright open sheet across the slope, `gap` above the plane [m]."""
    x, z = [-0.3, 0.3, 0.3, -0.3], [0, 0, 0.3, 0.3]
    vertices = np.column_stack([x, np.full(4, 0.2), 0.2 * RISE + gap + np.array(z)])
    return Part("wall", Role.FLASHING, vertices, np.array([(0, 1, 2), (0, 2, 3)]))


@pytest.mark.parametrize("gap", [0.0, 1e-4, -0.05])
@pytest.mark.parametrize("cells", [1, 4])
def test_water_runs_along_a_wall_to_both_its_ends(gap: float, cells: int) -> None:
    """Derived: a level foot 0.6 m wide; from x = 0.1 two thirds go to the right end, within four standard
    errors, the rest to the left one, and there run on down."""
    charts = Charts.of(Assembly((roof(cells), wall(gap))))
    drops = place(charts, np.tile([0.1, 1.0, 5.0], (900, 1)), DOWN)
    kept = record(charts, drops, np.array([0]))
    slid = list(kept.kind).index(Event.SLID)
    assert_allclose(kept.points[slid, :2], [0.1, 0.2], atol=2e-4)
    end = trace(charts, drops).end[:, 0]
    assert_allclose(abs(end), 0.3, atol=1e-6)
    assert abs((end > 0).mean() - 2 / 3) < 4 * np.sqrt(2 / 9 / 900)


def test_water_on_a_wall_comes_down_onto_the_roof() -> None:
    """Derived: put on the wall's down-slope face, it runs down to the plane and straight on."""
    charts = Charts.of(Assembly((roof(3), wall(-0.05))))
    got = trace(charts, place(charts, (0.05, -1, 0.3), (0, 1, 0)))
    assert got.fate[0] == Fate.SHED
    assert got.parts_touched[0] == 0b11
    assert_allclose(got.end[0, 0], 0.05, atol=1e-9)


def test_a_surface_without_contacts_stays_as_it_is() -> None:
    """Derived: sheets a bedding gap apart don't touch."""
    upper = sheet(lambda x, y: RISE * y + 0.001, [-1, 1], [-1, 1], name="upper")
    surface = Surface.of(Assembly((roof(3), upper)))
    assert join_contacts(surface) is surface


def test_faces_are_split_without_losing_area() -> None:
    """Derived: each part's area stays, whatever cuts it; only a gap that is closed changes it."""
    assembly = Assembly((roof(7), through(0.3), wall(-0.05)))
    before = Surface.of(assembly)
    after = join_contacts(before)
    assert len(after.faces) > len(before.faces)
    assert_allclose(areas(after), areas(before), rtol=1e-9)


def areas(surface: Surface) -> list[float]:
    """Area of each part [m2]."""
    a, b, c = (surface.vertices[surface.faces[:, k]] for k in range(3))
    size = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
    return [float(size[surface.face_part == k].sum()) for k in range(len(surface.part_names))]


def test_three_parts_that_cut_each_other_at_one_point_still_shed() -> None:
    """Derived: two crossed walls through a plane leave a pocket that drains nowhere but along them."""
    across = wall(-0.05)
    foot = np.array([0, 0.2, 0])
    along = Part("along", Role.FLASHING, turned(across.vertices - foot, 0.7) + foot, across.faces)
    charts = Charts.of(Assembly((roof(5), across, along)))
    points = np.random.default_rng(2).uniform([-0.5, 0, 5], [0.5, 1, 5], (2000, 3))
    got = trace(charts, place(charts, points, DOWN))
    held = got.fate == Fate.HELD
    assert set(got.fate) <= {Fate.SHED, Fate.HELD}
    # What is held is held where the two walls meet the plane, in the corner they make up-slope.
    assert_allclose(got.end[held] - [0, 0.2, 0.2 * RISE], 0.0, atol=1e-3)


def test_a_narrow_slit_in_one_part_is_no_contact() -> None:
    """Derived: two flaps of one part leave a common corner and are 0.2 mm apart at 300 mm; split in four,
    the small faces next to that corner share none, and still they don't touch."""
    upper = np.array([[0, 0, 0], [0.3, 0.1, 1e-4], [0.3, -0.1, 1e-4]])
    lower = upper * [1, 1, -1]
    faces = np.array([[0, 2, 1], [0, 5, 4]])
    vertices = np.concatenate([upper, lower])
    vertices[3] = vertices[0]
    slit = Assembly((Part("slit", Role.FLASHING, vertices, faces),))
    for assembly in (slit, in_four(slit)):
        surface = Surface.of(assembly)
        assert join_contacts(surface) is surface


def test_a_corner_in_the_middle_of_a_side_lets_water_pass() -> None:
    """Derived: a plane whose lower half has a corner where its upper half has none is still a plane."""
    plan = [(-1, 2), (1, 2), (-1, 1), (1, 1), (0.2, 1), (-1, 0), (1, 0)]
    vertices = np.array([(x, at, RISE * at) for x, at in plan])
    faces = np.array([[0, 2, 3], [0, 3, 1], [2, 5, 4], [4, 5, 6], [4, 6, 3]])
    charts = Charts.of(Assembly((Part("roof", Role.COVERING, vertices, faces),)))
    points = np.random.default_rng(3).uniform([-0.99, 1, 5], [0.99, 2, 5], (500, 3))
    drops = place(charts, points, DOWN)
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    assert_allclose(got.end[:, 0], points[:, 0], atol=1e-9)


def _missed(assembly: Assembly, joined: Surface) -> list[str]:
    """Contacts of which some place, away from their ends, lies on no edge of one of their two parts."""
    surface = only_solid(Surface.of(assembly))
    pair, line = meetings(surface, tree_of(surface))
    found = []
    for faces, (start, end) in zip(pair, line, strict=True):
        if np.linalg.norm(end - start) < 1e-3:
            continue
        places = start + (end - start) * np.array([[0.25], [0.5], [0.75]])
        for part in surface.face_part[faces]:
            away = min(float(_from_edges(joined, int(part), place)) for place in places)
            if away > 2 * CLOSED:
                found.append(f"{surface.part_names[part]}: {away * 1000:.2f} mm off")
    return found


def _from_edges(surface: Surface, part: int, place: np.ndarray) -> float:
    faces = surface.faces[(surface.face_part == part) & surface.solid]
    a, b = (surface.vertices[np.roll(faces, -k, axis=1).ravel()] for k in (0, 1))
    way = b - a
    share = np.clip(((place - a) * way).sum(axis=1) / (way * way).sum(axis=1), 0, 1)
    return float(np.linalg.norm(a + share[:, None] * way - place, axis=1).min())


@pytest.mark.parametrize(
    ("name", "joint"),
    [("square", "slit and patch"), ("square", "bossed"), ("octagon", "return")],
)
def test_every_contact_of_a_detail_is_an_edge_of_both_its_parts(name: str, joint: Joint) -> None:
    """Two computations: contacts found face by face, and the edges of the surface split along them;
    then those of the finer surface on which the wind is followed."""
    assembly = build_around(replace(DETAILS[name], joint=joint))
    assert _missed(assembly, join_contacts(Surface.of(assembly))) == []
    assert _missed(assembly, Site.of(assembly).still.surface) == []
