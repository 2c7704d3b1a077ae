"""Files made to fill the memory or to take for ever: one clear line, soon, in little memory."""

from __future__ import annotations

import json
import os
import resource
import signal
import struct
from pathlib import Path

import pytest

from meshes.errors import SceneError
from meshes.files import load_part
from scenes.scene import LARGEST_FILE, read
from tests.sure.children import in_a_child

SECONDS = 20
MORE_MEMORY = 2**30
N = LARGEST_FILE - 100

TEXTS = {
    "a key of very many names": "a." * (N // 2) + "a=1",
    "a table of very many names": "[" + "a." * (N // 2) + "a]",
    "many names within a list": "x = [{" + "a." * (N // 2) + "a=1}]",
    "blanks": " " * N,
    "blanks after a letter": "a" + " " * N,
    "blanks in a header": "[" + " " * N,
    "letters and blanks in a header": "[" + "a " * (N // 2) + "]x",
    "a text that never ends": 'a="' + '\\"' * (N // 2),
    "a long text that never ends": '"""' + '\\"""' * (N // 4),
    "quotes": "'" * N,
    "triple quotes": "'''a" * (N // 4),
    "a number": "x=" + "9" * N,
    "tables within tables": "x=" + "{a=" * (N // 3),
    "lists within lists": "x=" + "[" * N,
    "deeper and deeper": "".join("[" + ".".join("a" * n) + "]\n" for n in range(1, 900)),
    "many lists": "[[part]]\n" * (N // 9),
}


def bounded(work: object, said: str = "") -> None:
    """Refused in one line, within the bounds."""
    assert callable(work)

    def limited() -> None:
        pages = int(Path("/proc/self/statm").read_text().split()[0])
        most = pages * resource.getpagesize() + MORE_MEMORY
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
        signal.alarm(SECONDS)
        with pytest.raises(SceneError) as caught:
            work()
        line = str(caught.value)
        assert line.isprintable()
        assert len(line) < 400
        assert said in line

    assert in_a_child(limited) == 0


@pytest.mark.parametrize("name", TEXTS)
def test_scenes(name: str) -> None:
    """Found by trying: Python's TOML reader filled 20 GB for the first ones, and looking for the lines of
    keys took a minute for 4,000 blanks, its time growing with their cube."""
    bounded(lambda: read(TEXTS[name], "a.toml", Path()))


def test_dots_in_texts_are_no_names(smallest: str) -> None:
    """Derived: titles, notes and remarks may have any number of them."""
    dots = "." * 100
    text = f'title = "{dots}" # {dots}\nnote = """\n{dots} = \\"""\n"""\n{smallest}# {dots}'
    assert read(text.replace('note = """\n', 'note = """'), "a.toml", Path()).title == dots


def glb(**accessor: int) -> bytes:
    tree = {
        "asset": {"version": "2.0"},
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
        "accessors": [{"componentType": 5126, "type": "VEC3", **accessor}],
    }
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    return struct.pack("<4sIII4s", b"glTF", 2, 20 + len(text), len(text), b"JSON") + text


PLY = b"ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nelement face %d\nend_header\n"
MESHES = {
    "a.glb": (glb(count=3 * 10**9), "3,000,000,000 corners"),
    "b.glb": (glb(count=-1), "mesh"),
    "a.stl": (bytes(80) + struct.pack("<I", 2**32 - 1) + bytes(50), "mesh"),
    "b.stl": (b"solid\n" * 2_000_000, "1,000,000 solids, more than 5,000"),
    "a.ply": (PLY % 10**12, "1,000,000,000,000 faces"),
    "a.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf " + b"1 2 3 " * 700_000, "at most 1000000 triangles"),
    "b.obj": (b" \n" * 5_000_000, "no triangles"),
    "c.obj": (b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 \x1b[2J\n", "line 4 can't be read"),
}


@pytest.mark.parametrize("name", MESHES)
def test_meshes(tmp_path: Path, name: str) -> None:
    """Found by trying: a few hundred bytes that ask for gigabytes, and other counts that lie."""
    content, said = MESHES[name]
    (tmp_path / name).write_bytes(content)
    bounded(lambda: load_part(tmp_path / name, name="a", role="flashing", unit="mm"), said)


@pytest.mark.parametrize("kind", ["fifo", "device", "loop", "folder", "system's own"])
def test_what_is_no_ordinary_file(tmp_path: Path, kind: str) -> None:
    """Derived: nothing is waited for, and nothing is read without end."""
    path = tmp_path / "a.stl"
    if kind == "fifo":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to({"device": "/dev/zero", "loop": path}.get(kind, "/proc/self/pagemap"))
    bounded(lambda: load_part(path, name="a", role="flashing", unit="mm"), "file of a")
