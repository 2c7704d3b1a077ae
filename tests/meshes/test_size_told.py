"""A small file that would fill the memory, or a reader's time, is told from its bytes."""

from __future__ import annotations

import json
import struct
from typing import Any

import pytest

from meshes.size_told import MOST_PIECES, MOST_TRIANGLES, too_large

TRIANGLE = (
    b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"
)
PLY = "ply\nformat {} 1.0\nelement vertex {}\nproperty float x\nelement face {}\nend_header\n"


def glb(count: int = 3, nodes: int = 1, meshes: int = 1, **changes: Any) -> bytes:
    """A GLB file without its numbers."""
    tree: dict[str, Any] = {
        "asset": {"version": "2.0"},
        "nodes": [{"mesh": 0}] * nodes,
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}] * meshes,
        "accessors": [{"count": 3}, {"count": count}],
    }
    text = json.dumps(tree | changes).encode()
    return struct.pack("<4sIII4s", b"glTF", 2, 20 + len(text), len(text), b"JSON") + text


@pytest.mark.parametrize(
    ("content", "ending"),
    [
        (bytes(80) + struct.pack("<I", 2) + bytes(100), ".stl"),
        (b"solid a\n" + TRIANGLE * 100 + b"endsolid a\n", ".stl"),
        (PLY.format("ascii", 3, 1).encode() + b"0 0 0\n", ".ply"),
        (b"no mesh at all", ".stl"),
        (b"no mesh at all", ".ply"),
        (glb(), ".glb"),
        (glb(nodes=4000, meshes=900), ".glb"),
    ],
)
def test_what_is_not_too_large(content: bytes, ending: str) -> None:
    """Derived: a usual file, and one that its reader will refuse."""
    assert too_large(content, ending) == ""


@pytest.mark.parametrize(
    ("content", "ending", "said"),
    [
        (b"solid a\n" + TRIANGLE * 20, ".stl", "20 triangles, more than 10"),
        (b"SOLID A\n" + TRIANGLE.upper() * 20, ".stl", "20 triangles, more than 10"),
        (bytes(80) + struct.pack("<I", 20) + bytes(1000), ".stl", "20 triangles, more than 10"),
        (b"solid\nendsolid\n" * (MOST_PIECES + 1), ".stl", "5,001 solids, more than 5,000"),
        (PLY.format("ascii", 3, 20).encode(), ".ply", "20 faces, more than 10"),
        (
            PLY.format("binary_little_endian", 4 * 10**9, 1).encode(),
            ".ply",
            "4,000,000,000 corners",
        ),
        (PLY.format("ascii", 3, 1).encode() + b"0 " * 100, ".ply", "bytes of text, more than 200"),
        (glb(3 * 10**9), ".glb", "3,000,000,000 corners"),
        (glb(25, nodes=5), ".glb", "150 corners, more than 120"),
        (glb(nodes=MOST_PIECES), ".glb", "5,001 meshes, more than 5,000"),
        (glb(asset=" " * 3000), ".glb", "bytes of JSON, more than 2,000"),
    ],
)
def test_what_is_too_large(
    monkeypatch: pytest.MonkeyPatch, content: bytes, ending: str, said: str
) -> None:
    """Derived: counts that a file gives, and those that are in it; limits lowered to keep this small."""
    monkeypatch.setattr("meshes.size_told.MOST_TRIANGLES", 10)
    monkeypatch.setattr("meshes.size_told.MOST_CORNERS", 30)
    monkeypatch.setattr("meshes.size_told.MOST_PLY_TEXT", 200)
    if "JSON" in said:
        monkeypatch.setattr("meshes.size_told.MOST_JSON", 2000)
    assert said in too_large(content, ending)


@pytest.mark.parametrize(
    "content",
    [
        b"glTF",
        glb()[:40],
        b"glTF" + struct.pack("<IIII", 2, 2**32 - 1, 2**32 - 1, 0),
        glb(accessors=None),
        glb(accessors=[]),
        glb(accessors=[{"count": "many"}, {"count": 3}]),
        glb().replace(b'[{"mesh": 0}]', b"17           "),
        glb().replace(b'{"mesh": 0}', b'{"mesh": 7}'),
        struct.pack("<4sIII4s", b"glTF", 2, 9000, 9000, b"JSON") + b"[" * 9000,
    ],
)
def test_no_glb(content: bytes) -> None:
    """Own edge cases: cut short, nested too deep, values of other kinds: one kind of error."""
    with pytest.raises((ValueError, struct.error)):
        too_large(content, ".glb")


def test_room_for_as_many_triangles_as_are_taken() -> None:
    """Derived: 50 bytes for each in a binary STL file."""
    assert MOST_TRIANGLES * 50 + 84 < 300_000_000
