"""OBJ files read as they stand: against an outside library, and what it gets wrong or takes too long for."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_array_equal

from meshes.obj import read_obj

BOX = b"""# a box's corner
mtllib none.mtl
v 0 0 0
v 1.5 0 0 1
v 1.5e0 2 0 0.1 0.2 0.3
  v\t0 2 0
vt 0 0
vn 0 0 1
g one
usemtl tin
f 1/1/1 2/1/1 3/1/1 4/1/1
s off
f -4//1 -3//1 -1
"""
CORNERS = [(0, 0, 0), (1.5, 0, 0), (1.5, 2, 0), (0, 2, 0)]
FACES = [(0, 1, 2), (0, 2, 3), (0, 1, 3)]


@pytest.mark.parametrize(
    "content",
    [
        BOX,
        BOX.replace(b"\n", b"\r\n"),
        BOX.replace(b"\n", b"\r"),
        b"\xef\xbb\xbf" + BOX.split(b"\n", 2)[2],
        BOX.replace(b"f 1/1/1 2/1/1", b"f 1/1/1 \\\n2/1/1"),
        BOX.replace(b"f 1/1/1 2/1/1", b"f 1/1/1 \\\r\n2/1/1"),
    ],
)
def test_corners_and_fans(content: bytes) -> None:
    """The format's own rules (Wavefront, memory): corners from 1 or back from the last, fans of longer
    faces, any line end, a backslash that joins lines, and the mark that some editors begin with."""
    corners, faces = read_obj(content, 100)
    assert_array_equal(corners, CORNERS)
    assert_array_equal(faces, FACES)


def test_back_from_the_last_corner_told_so_far() -> None:
    """The format's rule (memory): -1 is the corner just told, whatever comes later."""
    one = b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf -3 -2 -1\n"
    _, faces = read_obj(one + one, 100)
    assert_array_equal(faces, [(0, 1, 2), (3, 4, 5)])


def test_as_an_outside_library_reads_it() -> None:
    """trimesh, on what it writes itself: corners and triangles in order."""
    rng = np.random.default_rng(3)
    mesh = trimesh.Trimesh(rng.normal(size=(40, 3)), rng.integers(0, 40, (60, 3)), process=False)
    content = str(mesh.export(file_type="obj")).encode()
    corners, faces = read_obj(content, 100)
    theirs = trimesh.load(BytesIO(content), file_type="obj", process=False, maintain_order=True)
    assert_array_equal(corners[faces], theirs.vertices[theirs.faces])


def test_materials_take_no_time() -> None:
    """Measured: an outside reader took 70 s for 20,000 materials, its time growing with their square;
    here so many lines more are read in their order, each once."""
    content = b"v 0 0 0\nv 1 0 0\nv 0 1 0\n" + b"".join(
        b"usemtl a%d\nf 1 2 3\n" % k for k in range(20_000)
    )
    assert len(read_obj(content, 20_000)[1]) == 20_000


def test_no_further_than_asked() -> None:
    """Derived: one face too many is enough to know, in one face of many corners too."""
    many = b"v 0 0 0\nv 1 0 0\nv 0 1 0\n"
    assert len(read_obj(many + b"f 1 2 3\n" * 50, 10)[1]) == 11
    assert len(read_obj(many + b"f " + b"1 2 3 " * 5_000 + b"\n", 10)[1]) == 11
    with pytest.raises(ValueError, match="more than 30 corners"):
        read_obj(b"v 0 0 0\n" * 50, 10)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (b"v 0 0", "line 4"),
        (b"v 0 x 0", "line 4"),
        (b"f 1 2", "line 4"),
        (b"f 1 2 x", "line 4"),
        (b"f 1 2 0", "line 4"),
        (b"f 1 2 -4", "line 4"),
        (b"f 1 2 99999999999999999999", "line 4"),
        (b"f 1 2 4", "isn't there"),
        (b"f 1 2 \0", "line 4"),
    ],
)
def test_lines_that_cannot_be_read(line: bytes, said: str) -> None:
    """Own edge cases: too few, no numbers, corners that aren't there."""
    with pytest.raises(ValueError, match=said):
        read_obj(b"v 0 0 0\nv 1 0 0\nv 0 1 0\n" + line + b"\n", 100)
