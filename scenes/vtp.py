"""Polylines as a VTK XML file (.vtp), written without VTK: an open format that many programs read.

Arrays are stored as zlib-compressed base64 blocks, the XML format's "binary". Lengths are metres.
"""

from __future__ import annotations

import struct
import zlib
from base64 import b64encode
from collections.abc import Mapping, Sequence
from typing import Any
from xml.sax.saxutils import quoteattr

import numpy as np
from numpy.typing import NDArray

TYPES = {"f8": "Float64", "i8": "Int64", "i4": "Int32", "i1": "Int8", "u1": "UInt8"}
BLOCK = 1 << 16
LEVEL = 6


def vtp_text(
    points: NDArray[np.float64],
    offsets: NDArray[np.integer],
    *,
    of_points: Mapping[str, NDArray[Any]],
    of_lines: Mapping[str, NDArray[Any]],
    words: Mapping[str, Sequence[str]],
) -> str:
    """Polylines as the text of a .vtp file; the same text each time.

    points (p, 3) [m]; offsets (k+1,): line i runs over points offsets[i] to offsets[i+1];
    of_points: arrays (p,); of_lines: arrays (k,); words: lists of text for the file as a whole.
    """
    lines = len(offsets) - 1
    texts = [_words(name, texts) for name, texts in words.items()]
    point_data = [_array(name, values) for name, values in of_points.items()]
    line_data = [_array(name, values) for name, values in of_lines.items()]
    parts = [
        '<?xml version="1.0"?>',
        '<VTKFile type="PolyData" version="1.0" byte_order="LittleEndian" '
        'header_type="UInt64" compressor="vtkZLibDataCompressor">',
        "<PolyData>",
        *_inside("FieldData", texts),
        f'<Piece NumberOfPoints="{len(points)}" NumberOfVerts="0" NumberOfLines="{lines}" '
        'NumberOfStrips="0" NumberOfPolys="0">',
        *_inside("PointData", point_data),
        *_inside("CellData", line_data),
        *_inside("Points", [_array("Points", np.asarray(points, dtype=np.float64))]),
        *_inside(
            "Lines",
            [
                _array("connectivity", np.arange(len(points), dtype=np.int64)),
                _array("offsets", np.asarray(offsets[1:], dtype=np.int64)),
            ],
        ),
        "</Piece>",
        "</PolyData>",
        "</VTKFile>",
    ]
    return "\n".join(parts) + "\n"


def _inside(tag: str, lines: Sequence[str]) -> list[str]:
    return [f"<{tag}>", *lines, f"</{tag}>"]


def _array(name: str, values: NDArray[Any]) -> str:
    kind = TYPES[values.dtype.str[1:]]
    wide = f' NumberOfComponents="{values.shape[1]}"' if values.ndim == 2 else ""
    head = f'<DataArray type="{kind}" Name={quoteattr(name)}{wide} format="binary">'
    little = values.astype(values.dtype.newbyteorder("<"))
    return f"{head}{_packed(little.tobytes())}</DataArray>"


def _words(name: str, texts: Sequence[str]) -> str:
    """Texts as VTK stores them: character codes, each text ended by a nil."""
    codes = " ".join(f"{' '.join(str(code) for code in text.encode())} 0" for text in texts)
    head = f'<Array type="String" Name={quoteattr(name)} NumberOfTuples="{len(texts)}"'
    return f'{head} format="ascii">{codes.strip()}</Array>'


def _packed(data: bytes) -> str:
    """Compressed blocks after a header: how many, their size, the size of the last one (nil when it
    is full), compressed sizes."""
    blocks = [data[start : start + BLOCK] for start in range(0, len(data), BLOCK)]
    squeezed = [zlib.compress(block, LEVEL) for block in blocks]
    sizes = [len(blocks), BLOCK, len(data) % BLOCK, *(len(block) for block in squeezed)]
    header = struct.pack(f"<{len(sizes)}Q", *sizes)
    return b64encode(header).decode() + b64encode(b"".join(squeezed)).decode()
