"""What a mesh file would become, told from its bytes: so that a small file can't fill the memory."""

from __future__ import annotations

import json
import re
import struct
from collections.abc import Iterator
from typing import Any, Final

MOST_TRIANGLES: Final = 1_000_000
MOST_CORNERS: Final = 3 * MOST_TRIANGLES
MOST_PIECES: Final = 5_000
"""Meshes in one file: a reader takes a fifth of a millisecond for each, and more with their number."""
MOST_BYTES: Final = {
    ".stl": 300_000_000,
    ".obj": 150_000_000,
    ".ply": 150_000_000,
    ".glb": 150_000_000,
}
"""Room for so many triangles in each format, at full length."""
MOST_PLY_TEXT: Final = 60_000_000
"""Text of a PLY file takes fifty times as much memory while it is read [bytes]."""
MOST_JSON: Final = 16_000_000
"""Of a GLB file, for the same reason [bytes]."""
_STL_HEAD, _STL_TRIANGLE = 84, 50


def too_large(content: bytes, ending: str) -> str:
    """What there is too much of ("3,000,000 triangles"), or "". Raises ValueError for no such file.

    ending: .stl, .ply or .glb. A file that lies about itself may still be refused when it is read.
    """
    told = {".stl": _stl, ".ply": _ply, ".glb": _glb}[ending](content)
    for what, count, most in told:
        if count > most:
            return f"{count:,} {what}, more than {most:,}"
    return ""


def _stl(content: bytes) -> Iterator[tuple[str, int, int]]:
    if len(content) >= _STL_HEAD:
        count = struct.unpack_from("<I", content, _STL_HEAD - 4)[0]
        if len(content) == _STL_HEAD + count * _STL_TRIANGLE:
            yield "triangles", count, MOST_TRIANGLES
            return
    lower = content.lower()
    yield "triangles", lower.count(b"vertex") // 3, MOST_TRIANGLES
    yield "solids", lower.count(b"solid") // 2, MOST_PIECES


def _ply(content: bytes) -> Iterator[tuple[str, int, int]]:
    head = content[: content.find(b"end_header")][:100_000]
    for what, most in (("face", MOST_TRIANGLES), ("vertex", MOST_CORNERS)):
        for count in re.findall(rb"element\s+" + what.encode() + rb"\s+(\d{1,18})", head):
            yield ("faces" if what == "face" else "corners"), int(count), most
    if re.search(rb"format\s+ascii", head):
        yield "bytes of text", len(content), MOST_PLY_TEXT


def _glb(content: bytes) -> Iterator[tuple[str, int, int]]:
    """Corners are asked for by number, whether the file holds them or not."""
    magic, _, _, length, kind = struct.unpack_from("<4sIII4s", content)
    if magic != b"glTF" or kind != b"JSON":
        raise ValueError("not a GLB file of version 2")
    yield "bytes of JSON", length, MOST_JSON
    try:
        tree = json.loads(content[20 : 20 + length])
        meshes = [_primitives(mesh, tree["accessors"]) for mesh in tree["meshes"]]
        places = [node["mesh"] for node in tree.get("nodes", ()) if "mesh" in node]
        shown = [*meshes, *(meshes[place] for place in places)]
    except (RecursionError, LookupError, TypeError, AttributeError) as error:
        raise ValueError("its JSON has no meshes that can be read") from error
    yield "meshes", sum(len(mesh) for mesh in shown), MOST_PIECES
    yield "corners", max((count for mesh in meshes for count in mesh), default=0), MOST_CORNERS
    yield "corners", sum(sum(mesh) for mesh in shown), 4 * MOST_CORNERS


def _primitives(mesh: dict[str, Any], accessors: list[dict[str, Any]]) -> list[int]:
    """How many numbers of each primitive are asked for: the most of its accessors."""
    return [
        max(
            int(accessors[at]["count"])
            for at in (
                *one["attributes"].values(),
                one.get("indices", one["attributes"]["POSITION"]),
            )
        )
        for one in mesh["primitives"]
    ]
