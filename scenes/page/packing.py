"""Plain values and arrays as the bytes that the page unpacks: JSON first, then the arrays' own bytes."""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from sim.errors import TraceError

FORMAT: Final = 1
"""The page's script refuses another."""
ALIGNED: Final = 8
"""Every array begins at a multiple of so many bytes."""
MOST_INTEGER: Final = 32000
"""Largest whole number that a small integer takes here."""

_KINDS = {"f32": "<f4", "i16": "<i2", "u8": "u1", "u32": "<u4"}


class Blob:
    """Arrays laid one behind the other; each gives the reference that stands for it in the JSON."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []
        self._size = 0

    def plain(self, values: NDArray[Any], kind: str) -> dict[str, Any]:
        """A reference to `values` as numbers of a kind: f32, i16, u8 or u32. Raises TraceError for
        what is not finite or out of the kind's range."""
        wanted = np.dtype(_KINDS[kind])
        whole = np.asarray(values)
        if whole.size and wanted.kind in "iu":
            low, high = np.iinfo(wanted).min, np.iinfo(wanted).max
            if whole.min() < low or whole.max() > high:
                raise TraceError(f"a number of the page must fit {kind}")
        if not np.isfinite(whole).all():
            raise TraceError("numbers of the page must be finite")
        at = self._size
        data = np.ascontiguousarray(whole, dtype=wanted).tobytes()
        data += bytes(-len(data) % ALIGNED)
        self._parts.append(data)
        self._size += len(data)
        return {"at": at, "type": kind, "shape": list(whole.shape)}

    def points(self, points: NDArray[np.float64]) -> dict[str, Any]:
        """A reference to points (..., 3) [m] as small integers over their bounds: 0.06 mm a step on a
        roof 4 m across."""
        flat = points.reshape(-1, 3)
        if len(flat) == 0:
            return self.plain(points, "i16") | {"scale": 1.0, "origin": [0.0, 0.0, 0.0]}
        low, high = flat.min(axis=0), flat.max(axis=0)
        middle = (low + high) / 2
        scale = max(float((high - low).max()) / 2 / MOST_INTEGER, 1e-9)
        steps = np.rint((points - middle) / scale)
        return self.plain(steps, "i16") | {"scale": scale, "origin": middle.tolist()}

    def amounts(self, values: NDArray[np.float64]) -> dict[str, Any]:
        """A reference to values (n,) as small integers between the least and the greatest of them."""
        low, high = (float(values.min()), float(values.max())) if len(values) else (0.0, 0.0)
        scale = max((high - low) / (2 * MOST_INTEGER), 1e-12)
        steps = np.rint((values - (low + high) / 2) / scale)
        return self.plain(steps, "i16") | {"scale": scale, "origin": [(low + high) / 2] * 3}

    def bytes(self) -> bytes:
        """All of it."""
        return b"".join(self._parts)


def packed(values: Mapping[str, Any], blob: Blob) -> bytes:
    """The page's data, compressed: the length of the JSON in four bytes, the JSON, and the arrays. The
    same values give the same bytes."""
    text = json.dumps(values, allow_nan=False, ensure_ascii=False, separators=(",", ":"))
    head = text.encode()
    head += b" " * (-(len(head) + 4) % ALIGNED)
    whole = len(head).to_bytes(4, "little") + head + blob.bytes()
    return gzip.compress(whole, compresslevel=9, mtime=0)


def unpacked(data: bytes) -> tuple[dict[str, Any], bytes]:
    """What `packed` was given: the values and the arrays' bytes. Raises ValueError for other bytes."""
    try:
        whole = gzip.decompress(data)
    except (OSError, EOFError, zlib.error) as error:
        raise ValueError(f"not a page's data ({error})") from error
    stop = 4 + int.from_bytes(whole[:4], "little")
    return json.loads(whole[4:stop]), whole[stop:]


def array_of(reference: Mapping[str, Any], blob: bytes) -> NDArray[Any]:
    """The array that a reference stands for, as the page's script reads it."""
    kind = np.dtype(_KINDS[reference["type"]])
    count = int(np.prod(reference["shape"]))
    flat = np.frombuffer(blob, kind, count, reference["at"]).reshape(reference["shape"])
    if "scale" not in reference:
        return flat
    origin = np.asarray(reference["origin"])
    return (origin if flat.shape[-1:] == (3,) else origin[0]) + reference["scale"] * flat
