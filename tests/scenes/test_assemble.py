"""Parts from files beside the built detail and beside each other: sizes, places, names, number."""

from __future__ import annotations

from pathlib import Path

import pytest
import trimesh

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.scene import read
from sim.surface import MOST_PARTS

UP = (0.0, 0.0, 5.0)


def part(name: str, file: str, unit: str = "m") -> str:
    return f'[[part]]\nname = "{name}"\nfile = "{file}"\nrole = "flashing"\nunit = "{unit}"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with box.stl, 0.5 m wide, and boxes 1 m and 1 km away."""
    for name, away in (("box", 0.0), ("beside", 1.0), ("far", 1000.0)):
        box = trimesh.creation.box((0.5, 0.5, 0.5))
        box.apply_translation((away, *UP[1:]))
        box.export(tmp_path / f"{name}.stl")
    return tmp_path


def refused(text: str, folder: Path) -> str:
    with pytest.raises(SceneError) as caught:
        assemble(read(text, "a.toml", folder))
    message = str(caught.value)
    assert message.startswith("a.toml, line ")
    assert len(message.splitlines()) == 1
    return message


def test_parts_beside_the_detail_come_after_it(smallest: str, folder: Path) -> None:
    """Parts from files stand beside the built detail, in the order of the scene."""
    text = smallest + part("two", "box.stl") + part("one", "beside.stl")
    assert [made.name for made in assemble(read(text, "a.toml", folder))][-2:] == ["two", "one"]


@pytest.mark.parametrize(
    ("unit", "file", "size"), [("m", "mm.stl", "500 m"), ("mm", "box.stl", "0.5 mm")]
)
def test_a_wrong_unit_is_asked_about(unit: str, file: str, size: str, folder: Path) -> None:
    """Derived: 500 mm told as metres is 500 m; half a metre told as millimetres is 0.5 mm."""
    trimesh.creation.box((500, 500, 500)).export(folder / "mm.stl")
    message = refused(part("dome", file, unit), folder)
    assert "line 3, part[1].file: dome must be 5 mm to 100 m across." in message
    assert f'Got {size}: is unit = "{unit}" right?' in message


@pytest.mark.parametrize("built", [True, False])
def test_a_part_out_of_place(built: bool, smallest: str, folder: Path) -> None:
    """Derived: 1 km off, it is no part of this roof; alone, the first part's place counts. A scene
    of parts alone may stand anywhere."""
    text = (smallest if built else part("box", "box.stl")) + part("far", "far.stl")
    first = "stack" if built else "box"
    assert f"far must lie within 200 m of the {first}. Got 1,000 m" in refused(text, folder)
    assert len(assemble(read(part("far", "far.stl"), "a.toml", folder))) == 1


def test_a_name_given_twice(smallest: str, folder: Path) -> None:
    """Derived: by two parts from files, or by one that is called as a built one is."""
    twice = part("box", "box.stl") + part("box", "beside.stl")
    assert "line 8, part[2].file: a part called box is there already" in refused(twice, folder)
    built = refused(smallest + part("covering", "box.stl"), folder)
    assert "a part called covering is there already" in built


def test_one_mesh_twice(folder: Path) -> None:
    """Derived: a table copied and its file forgotten. Sheets that coincide have no order."""
    twice = part("box", "box.stl") + part("lid", "box.stl")
    assert "lid must differ from box. Got the same mesh" in refused(twice, folder)


@pytest.mark.parametrize("built", [True, False])
def test_too_many_parts(built: bool, smallest: str, folder: Path) -> None:
    """Derived: the tracer keeps a bit for each part, 64 in all; no file is read before that."""
    text = "".join(part(f"p{n}", "none.stl") for n in range(MOST_PARTS + 1))
    most = "54 parts from files beside the 10 built ones" if built else "64 parts from files"
    assert f"there must be at most {most}. Got 65" in refused(
        (smallest if built else "") + text, folder
    )


@pytest.mark.filterwarnings("error")
def test_coordinates_beyond_all_measure(folder: Path) -> None:
    """Derived: squares of 1e300 are no numbers any more; refused before anything is worked out."""
    (folder / "vast.obj").write_text("v 0 0 0\nv 1e300 0 0\nv 0 1e300 0\nf 1 2 3\n")
    message = refused(part("vast", "vast.obj"), folder)
    assert "mesh of vast must be within 10000 km of the origin" in message
