"""Flattening an assembly: order, corners, slivers, limits; and the table of tolerances."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from meshes.parts import Assembly, Part, Role
from sim import tolerances
from sim.charts import Charts
from sim.edges import edges_of
from sim.fates import Fate
from sim.rain import place
from sim.surface import Surface
from sim.trace import trace
from tests.sim.shapes import DOWN, box, in_four, pitched, sheet


def test_parts_and_faces_keep_their_order() -> None:
    """The contract: faces stand in the order of parts, charts of face f are 2 f and 2 f + 1."""
    roof, block = sheet(pitched(30), [0, 1], [0, 1, 2]), box((4, 4, 0), (5, 5, 1))
    charts = Charts.of(Assembly((roof, block)))
    surface = charts.surface
    assert surface.part_names == ("roof", "box")
    assert surface.face_part.tolist() == [0] * 4 + [1] * 12
    assert_allclose(
        surface.vertices[surface.faces[4]] + surface.centre, block.vertices[block.faces[0]]
    )
    assert_allclose(charts.normals[0], [0, -0.5, np.sqrt(0.75)], atol=1e-12)
    assert_allclose(charts.normals[1], -charts.normals[0])


def test_a_soup_has_the_same_neighbours_as_a_shared_mesh() -> None:
    """Derived: corners at the same place in one part are one corner; each inner edge has two faces."""
    roof = sheet(pitched(30), np.linspace(0, 1, 5), np.linspace(0, 1, 4))
    soup = Part("roof", Role.COVERING, roof.vertices[roof.faces].reshape(-1, 3),
                np.arange(3 * len(roof.faces)).reshape(-1, 3))  # fmt: skip
    shared, loose = (edges_of(Surface.of(Assembly((part,)))) for part in (roof, soup))
    assert (shared.neighbour == loose.neighbour).all()
    quarter = edges_of(Surface.of(in_four(Assembly((roof,)))))
    rims = quarter.neighbour == np.arange(len(quarter.neighbour))[:, None] ^ 1
    assert rims.sum() == 2 * 2 * (2 * 4 + 2 * 3)  # both sides of twice as many rim pieces


def test_every_edge_leads_back() -> None:
    """Derived: the neighbour's neighbour over the same edge is the chart itself, also where four faces
    of one part meet."""
    fin = sheet(pitched(30), [-1, 0, 1], [0, 1])
    across = np.array([[0, 0, 0], [0, 1, np.tan(np.radians(30))], [0, 0, 1], [0, 0, -1]], float)
    n = len(fin.vertices)
    part = Part("cross", Role.FLASHING, np.concatenate([fin.vertices, across]),
                np.concatenate([fin.faces, [[n, n + 1, n + 2], [n, n + 3, n + 1]]]))  # fmt: skip
    edges = edges_of(Surface.of(Assembly((part,))))
    charts, sides = np.indices(edges.neighbour.shape)
    back = edges.neighbour[edges.neighbour, 3 - edges.near - edges.far]
    assert (back == charts).all()
    assert sides.max() == 2
    # Round the edge with four faces the four angles of air make one turn on each way round.
    four = np.isclose(edges.air[::2].sum(), edges.air[1::2].sum())
    assert four


def test_slivers_are_left_out_and_water_passes_them() -> None:
    """Derived: a triangle with no area between two that do changes nothing on a plane."""
    vertices = np.array([[-1, 0, 0], [1, 0, 0], [1, 1, 1], [-1, 1, 1], [0, 0.5, 0.5]], float)
    faces = np.array([[0, 1, 2], [0, 2, 3], [0, 4, 2], [1, 1, 2]])
    surface = Surface.of(Assembly((Part("roof", Role.COVERING, vertices, faces),)))
    assert surface.solid.tolist() == [True, True, False, False]
    charts = Charts.of(Assembly((Part("roof", Role.COVERING, vertices, faces),)))
    got = trace(charts, place(charts, (0.1, 0.9, 3), DOWN))
    assert got.fate[0] == Fate.SHED
    assert_allclose(got.end[0, 0], 0.1, atol=1e-9)


def test_a_mesh_of_slivers_alone_is_refused() -> None:
    """Rule of the project: one clear line."""
    flat = Part(
        "flat",
        Role.STACK,
        np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0]], float),
        np.array([[0, 1, 2]]),
    )
    with pytest.raises(SceneError, match="triangles must be at least one with an area"):
        Surface.of(Assembly((flat,)))


def test_more_parts_than_a_mask_has_bits_are_refused() -> None:
    """The contract: parts touched are bits of one 64-bit number."""
    parts = tuple(sheet(pitched(9), [0, 1], [0, 1], name=f"p{k}") for k in range(65))
    with pytest.raises(SceneError, match="parts must be at most 64"):
        Surface.of(Assembly(parts))
    assert Surface.of(Assembly(parts[:64])).face_part[-1] == 63


def test_the_64th_part_has_its_own_bit() -> None:
    """Derived: the last bit is as good as the first."""
    parts = [
        sheet(lambda x, y, k=k: 0.2 * y + 0.01 * k, [0, 1], [0, 1], name=f"p{k}") for k in range(64)
    ]
    charts = Charts.of(Assembly(tuple(parts)))
    got = trace(charts, place(charts, (0.5, 0.5, 9), DOWN))
    assert got.touched(63)[0]
    assert not got.touched(62)[0]


def test_every_tolerance_stands_in_the_table() -> None:
    """Rule of the project: no nudge without unit and reason, and none in the table that isn't used."""
    numbers = {
        name: value for name, value in vars(tolerances).items() if isinstance(value, int | float)
    }
    assert set(numbers) == set(tolerances.TABLE)
    for name, row in tolerances.TABLE.items():
        assert row.value == numbers[name]
        assert row.unit
        assert len(row.reason) > 20
