"""Mesh files as bytes: small whole ones in each format, triangles anyhow, and bytes spoilt at random."""

from __future__ import annotations

import struct
from io import BytesIO
from random import Random

import numpy as np
import trimesh

ENDINGS = (".stl", ".obj", ".ply", ".glb")


def a_mesh(draw: Random, ending: str) -> bytes:
    """A small whole mesh, as text or in bytes where the format has both."""
    rng = np.random.default_rng(draw.randrange(2**32))
    count = draw.randrange(3, 12)
    mesh = trimesh.Trimesh(
        rng.normal(0, 100, (count, 3)),
        rng.integers(0, count, (draw.randrange(1, 9), 3)),
        process=False,
    )
    kind = ending[1:]
    if kind == "stl" and draw.random() < 0.5:
        kind = "stl_ascii"
    extra = {"encoding": draw.choice(("ascii", "binary"))} if kind == "ply" else {}
    out = BytesIO()
    mesh.export(out, file_type=kind, **extra)
    return out.getvalue()


def a_soup(draw: Random, *, beside: bool) -> bytes:
    """An STL file of triangles that cut each other, coincide, are slivers, lie level or hang upright."""
    rng = np.random.default_rng(draw.randrange(2**32))
    size = draw.choice((0.02, 0.2, 1.0))
    corners = rng.normal(0, size, (draw.choice((1, 2, 5, 20, 60)), 3, 3))
    grid = draw.choice((0, 0, size, size / 4))
    if grid:
        corners = np.round(corners / grid) * grid
    for axis in range(3):
        if draw.random() < 0.2:
            corners[..., axis] = corners[:, :1, axis]
    if draw.random() < 0.3:
        corners = np.concatenate([corners, corners[: len(corners) // 2, [0, 2, 1]]])
    corners += (0.3, 0.2, 0.5) if beside else 0
    rows = b"".join(
        struct.pack("<12fH", 0, 0, 1, *corner.ravel(), 0) for corner in corners.astype(np.float32)
    )
    return bytes(80) + struct.pack("<I", len(corners)) + rows


def spoilt(draw: Random, content: bytearray, likely: bytes) -> bytearray:
    """The bytes with one thing changed: some overwritten, left out, doubled, swapped, or a number put in
    that a length may not be. likely: bytes that mean something in the format."""
    if not content:
        return bytearray(draw.randbytes(4))
    at = draw.randrange(len(content))
    length = draw.choice((1, 1, 2, 4, 8, 64))
    way = draw.randrange(7)
    if way == 0:
        return content[:at] + draw.randbytes(length) + content[at + length :]
    if way == 1:
        return content[:at] + content[at + length :]
    if way == 2:
        return content[: at + length] + content[at:]
    if way == 3:
        put = draw.choice((0, 1, 2**31 - 1, 2**31, 2**32 - 1, 10**9, len(content)))
        return content[:at] + struct.pack("<I", put) + content[at + 4 :]
    if way == 4:
        other = draw.randrange(len(content))
        return content[:at] + content[other : other + length] + content[at:]
    if way == 5:
        put = draw.choice((b"1e999", b"-1", b"99999999999999999999", b"nan", b"0", b"3000000000"))
        return content[:at] + put + content[at + len(put) :]
    return content[:at] + bytes([draw.choice(likely)]) + content[at + 1 :]
