"""Parts from files: taken as they are, in any of four formats, or refused in one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from meshes.errors import SceneError
from meshes.files import UNITS, load_part
from meshes.parts import Role

BOX_VERTICES = np.array([(0, 0, 0), (1, 0, 0), (1, 2, 0), (0, 2, 0), (1, 2, 3)], float)
BOX_FACES = np.array([(0, 1, 2), (0, 2, 3), (1, 4, 2)])


def _write(path: Path) -> Path:
    trimesh.Trimesh(BOX_VERTICES, BOX_FACES, process=False).export(path)
    return path


@pytest.mark.parametrize("ending", ["stl", "obj", "ply"])
def test_triangles_come_back_in_their_order(tmp_path: Path, ending: str) -> None:
    """Every triangle's corners as written, in millimetres; STL corners stay unwelded."""
    part = load_part(_write(tmp_path / f"tray.{ending}"), name="tray", role="flashing", unit="mm")
    assert part.role is Role.FLASHING
    assert part.vertices[part.faces] == pytest.approx(BOX_VERTICES[BOX_FACES] / 1000)
    if ending == "stl":
        assert len(part.vertices) == 3 * len(BOX_FACES)


def test_glb_is_turned_from_y_up_to_z_up(tmp_path: Path) -> None:
    """glTF 2.0 is y-up, and its front is +z: (x, y, z) there is (x, -z, y) here (Khronos, seen)."""
    part = load_part(_write(tmp_path / "tray.glb"), name="tray", role="flashing", unit="m")
    turned = np.column_stack([BOX_VERTICES[:, 0], -BOX_VERTICES[:, 2], BOX_VERTICES[:, 1]])
    assert part.vertices[part.faces] == pytest.approx(turned[BOX_FACES])


@pytest.mark.parametrize(("unit", "size"), UNITS.items())
def test_units(tmp_path: Path, unit: str, size: float) -> None:
    """An inch is 25.4 mm exactly (international yard and pound agreement, 1959; memory)."""
    part = load_part(_write(tmp_path / "tray.stl"), name="tray", role="stack", unit=unit)
    assert np.ptp(part.vertices[:, 2]) == pytest.approx(3 * size)


def test_triangles_of_no_area_are_left_out(tmp_path: Path) -> None:
    """They have no sides; the others stay."""
    faces = np.vstack([BOX_FACES, [(0, 0, 1)]])
    trimesh.Trimesh(BOX_VERTICES, faces, process=False).export(tmp_path / "tray.ply")
    part = load_part(tmp_path / "tray.ply", name="tray", role="flashing", unit="mm")
    assert len(part.faces) == len(BOX_FACES)


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("gone.stl", None, "must be a file that is there"),
        ("empty.stl", b"", "must be a mesh. Got file of tray = empty.stl, empty"),
        ("words.stl", b"this is not a mesh at all", "must be a mesh"),
        ("words.obj", b"this is not a mesh at all", "must be a mesh"),
        ("words.ply", b"this is not a mesh at all", "must be a mesh"),
        ("words.glb", b"this is not a mesh at all", "must be a mesh"),
        ("noise.stl", bytes(range(256)) * 40, "mesh"),
        ("tray.txt", b"solid", "must be one of .stl, .obj, .ply, .glb"),
        ("points.obj", b"v 0 0 0\nv 1 0 0\n", "must be a mesh"),
        ("astray.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "mesh"),
        ("nan.obj", b"v 0 0 nan\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "must be finite"),
        ("flat.obj", b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "triangles of no area"),
    ],
)
def test_what_is_no_mesh_is_refused_in_one_line(
    tmp_path: Path, name: str, content: bytes | None, said: str
) -> None:
    """Own edge cases: any bytes at all end in a part or in one line."""
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(SceneError, match=said) as error:
        load_part(path, name="tray", role="flashing", unit="mm")
    assert "\n" not in str(error.value)


def test_too_many_triangles_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit is stated; here it is lowered so that the test stays small."""
    monkeypatch.setattr("meshes.files.MOST_TRIANGLES", 2)
    with pytest.raises(SceneError, match=r"at most 2 triangles\. Got mesh of tray = 3"):
        load_part(_write(tmp_path / "tray.stl"), name="tray", role="flashing", unit="mm")


def test_unit_and_role_are_checked(tmp_path: Path) -> None:
    """Own edge cases."""
    path = _write(tmp_path / "tray.stl")
    with pytest.raises(SceneError, match="unit of tray must be one of mm, cm, m, in"):
        load_part(path, name="tray", role="flashing", unit="ft")
    with pytest.raises(ValueError, match="tin"):
        load_part(path, name="tray", role="tin", unit="mm")
