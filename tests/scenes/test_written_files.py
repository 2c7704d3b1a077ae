"""paths.vtp and model.glb: written by hand, so opened here with the libraries that others use."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvista
import trimesh

from meshes.parts import Assembly, Part, Role
from scenes.glb import glb_bytes
from scenes.vtp import vtp_text

WEDGE = np.array([[1.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 3.0], [1.0, 2.0, 3.0]])
TWO_FACES = np.array([[0, 1, 2], [1, 3, 2]], dtype=np.int32)


def two_parts() -> Assembly:
    return Assembly(
        (
            Part('front "apron" é', Role.FLASHING, WEDGE, TWO_FACES),
            Part("covering", Role.COVERING, WEDGE - 5.0, TWO_FACES[:1]),
        )
    )


@pytest.mark.parametrize("count", [0, 3, 9000])
def test_vtp_opens_in_vtk(tmp_path: Path, count: int) -> None:
    """Derived: what VTK reads is what was given; 9000 points fill several compressed blocks."""
    points = np.random.default_rng(0).random((count, 3)) * 1e3
    offsets = np.array([0, 2, count] if count else [0])
    lines = len(offsets) - 1
    file = tmp_path / "paths.vtp"
    text = vtp_text(
        points,
        offsets,
        of_points={"event": np.arange(count).astype(np.int8)},
        of_lines={"flow": np.arange(lines) * 0.1, "drop": np.arange(lines, dtype=np.int64)},
        words={"units": ["points: m", 'a <"b"> é'], "empty": []},
    )
    file.write_text(text, encoding="utf-8")
    mesh = pyvista.read(file)
    assert np.array_equal(mesh.points, points) or count == 0
    assert (mesh.n_points, mesh.n_lines) == (count, lines)
    assert list(mesh.field_data["units"]) == ["points: m", 'a <"b"> é']
    if count:
        assert mesh.get_cell(1).point_ids == list(range(2, count))
        assert np.array_equal(mesh.point_data["event"], np.arange(count).astype(np.int8))
        assert np.array_equal(mesh.cell_data["flow"], np.arange(lines) * 0.1)


def test_glb_opens_with_its_names_and_places(tmp_path: Path) -> None:
    """glTF 2.0: metres, +Y up. Derived: (x, y, z) becomes (x, z, -y), which keeps sides."""
    file = tmp_path / "model.glb"
    file.write_bytes(glb_bytes(two_parts(), "T"))
    scene = trimesh.load(file, process=False)
    assert set(scene.graph.nodes_geometry) == {'front "apron" é', "covering"}
    mesh = scene.geometry['front "apron" é']
    assert np.allclose(mesh.vertices, WEDGE[:, [0, 2, 1]] * (1, 1, -1), rtol=1e-7)
    assert np.array_equal(mesh.faces, TWO_FACES)
    turned = np.cross(WEDGE[1] - WEDGE[0], WEDGE[2] - WEDGE[0])[[0, 2, 1]] * (1, 1, -1)
    assert np.allclose(mesh.face_normals[0], turned / np.linalg.norm(turned))
    materials = [shape.visual.material for shape in scene.geometry.values()]
    assert all(material.doubleSided for material in materials)
    colours = {tuple(material.baseColorFactor) for material in materials}
    assert len(colours) == 2


def test_glb_blocks_are_whole() -> None:
    """glTF 2.0, binary layout: length in the header, chunks of a multiple of four bytes."""
    content = glb_bytes(two_parts(), "a title of odd length.")
    assert content[:4] == b"glTF"
    assert int.from_bytes(content[8:12], "little") == len(content)
    assert int.from_bytes(content[12:16], "little") % 4 == 0
    assert content == glb_bytes(two_parts(), "a title of odd length.")
