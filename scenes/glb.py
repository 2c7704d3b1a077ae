"""The model as one glTF binary file: a named node and a colour for each part.

Written by hand since the format is small and a mesh library takes longer to load than to trace a
scene. Layout from the glTF 2.0 specification: metres, +Y up, a JSON chunk and a binary chunk, both
padded to four bytes. Sheets are open, so materials are drawn from both sides.
"""

from __future__ import annotations

import json
import struct
from collections import Counter
from typing import Any, Final

import numpy as np

from meshes.parts import Assembly, Part, Role
from scenes.colours import Colour, tint_of

JSON_CHUNK: Final = 0x4E4F534A
BINARY_CHUNK: Final = 0x004E4942
FLOAT, UNSIGNED = 5126, 5125
VERTICES, INDICES = 34962, 34963
ROUGHNESS: Final = 0.7
METAL: Final[dict[Role, float]] = {Role.FLASHING: 0.35}


def glb_bytes(assembly: Assembly, title: str) -> bytes:
    """The assembly as the bytes of a .glb file; the same bytes each time.

    Vertices are turned from z up to glTF's y up (x, z, -y) and stored as float32 [m], neither
    welded nor reordered. A node's `extras` holds the part's role.
    """
    ranks: Counter[Role] = Counter()
    nodes, meshes, materials = [], [], []
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []
    content = b""
    for number, part in enumerate(assembly):
        points = part.vertices[:, [0, 2, 1]] * (1.0, 1.0, -1.0)
        for array, target in (
            (points.astype("<f4"), VERTICES),
            (part.faces.astype("<u4").reshape(-1), INDICES),
        ):
            data = array.tobytes()
            views.append(_view(len(content), len(data), target))
            accessors.append(_accessor(len(accessors), array))
            content += data
        attributes = {"POSITION": 2 * number}
        primitive = {"attributes": attributes, "indices": 2 * number + 1, "material": number}
        nodes.append({"name": part.name, "mesh": number, "extras": {"role": part.role.value}})
        meshes.append({"name": part.name, "primitives": [primitive]})
        materials.append(_material(part, tint_of(part.role, part.name, ranks[part.role])))
        ranks[part.role] += 1
    tree = {
        "asset": {"version": "2.0", "generator": "stackrain", "extras": {"title": title}},
        "scene": 0,
        "scenes": [{"name": title, "nodes": list(range(len(nodes)))}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": materials,
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": len(content)}],
    }
    text = json.dumps(tree, ensure_ascii=True, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    length = 12 + 8 + len(text) + 8 + len(content)
    head = b"glTF" + struct.pack("<II", 2, length)
    return (
        head
        + struct.pack("<II", len(text), JSON_CHUNK)
        + text
        + struct.pack("<II", len(content), BINARY_CHUNK)
        + content
    )


def _view(start: int, length: int, target: int) -> dict[str, Any]:
    return {"buffer": 0, "byteOffset": start, "byteLength": length, "target": target}


def _accessor(view: int, array: np.ndarray[Any, Any]) -> dict[str, Any]:
    if array.ndim == 1:
        return {
            "bufferView": view,
            "componentType": UNSIGNED,
            "count": len(array),
            "type": "SCALAR",
        }
    return {
        "bufferView": view,
        "componentType": FLOAT,
        "count": len(array),
        "type": "VEC3",
        "min": [float(value) for value in array.min(axis=0)],
        "max": [float(value) for value in array.max(axis=0)],
    }


def _material(part: Part, tint: Colour) -> dict[str, Any]:
    return {
        "name": part.name,
        "doubleSided": True,
        "pbrMetallicRoughness": {
            "baseColorFactor": [*(round(_linear(level / 255), 6) for level in tint), 1.0],
            "metallicFactor": METAL.get(part.role, 0.0),
            "roughnessFactor": ROUGHNESS,
        },
    }


def _linear(level: float) -> float:
    """An sRGB level (0 to 1) as linear light, which glTF asks for (IEC 61966-2-1)."""
    return level / 12.92 if level <= 0.04045 else ((level + 0.055) / 1.055) ** 2.4
