"""OBJ files: corners and faces as they stand, whatever else is in them left out."""

from __future__ import annotations

import re
from array import array
from typing import Final

import numpy as np
from numpy.typing import NDArray

_LINE: Final = re.compile(rb"^[ \t]*([vf])[ \t]+([^\r\n]*)", re.MULTILINE)
_JOINED: Final = re.compile(rb"\\\r?\n")
"""A backslash at a line's end joins the next one to it."""


def read_obj(content: bytes, most_triangles: int) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Corners (n, 3) and triangles (m, 3) of an OBJ file, in its order and unit.

    Faces of more corners become fans from their first one; texture, normals, groups and materials are
    left out. Reads no further than to one triangle more than most_triangles. Raises ValueError with the
    line for what is no number, for a corner that isn't there, and for too many of them.
    """
    content = content.removeprefix(b"\xef\xbb\xbf")  # some editors put it before the first letter
    if b"\n" not in content:
        content = content.replace(b"\r", b"\n")
    if b"\\" in content:
        content = _JOINED.sub(b" ", content)
    corners, faces = array("d"), array("q")
    most_corners = 3 * most_triangles
    for line in _LINE.finditer(content):
        try:
            if line[1] == b"v":
                x, y, z = line[2].split(maxsplit=3)[:3]
                corners.extend((float(x), float(y), float(z)))
            else:
                # No more than are counted below: a face of all the file would fill the memory.
                words = line[2].split(maxsplit=most_triangles + 3)[: most_triangles + 3]
                _add_face(faces, words, len(corners) // 3)
        except (ValueError, OverflowError) as error:
            number = content.count(b"\n", 0, line.start(1)) + 1
            raise ValueError(f"line {number} can't be read") from error
        if len(corners) > 3 * most_corners:
            raise ValueError(f"more than {most_corners:,} corners")
        if len(faces) > 3 * most_triangles:
            break
    if len(faces) and max(faces) >= len(corners) // 3:
        raise ValueError("a face has a corner that isn't there")
    return (
        np.frombuffer(corners, dtype=np.float64).reshape(-1, 3),
        np.frombuffer(faces, dtype=np.int64).reshape(-1, 3),
    )


def _add_face(faces: array[int], words: list[bytes], corners: int) -> None:
    """Add the triangles of a face: corners by number from 1, or back from the last one told so far."""
    first, second, *others = (_corner(word, corners) for word in words)
    if not others:
        raise ValueError("a face has three corners or more")
    for third in others:
        faces.extend((first, second, third))
        second = third


def _corner(word: bytes, corners: int) -> int:
    number = int(word.partition(b"/")[0])
    index = number - 1 if number > 0 else corners + number
    if number == 0 or index < 0:
        raise ValueError("no such corner")
    return index
