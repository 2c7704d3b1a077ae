"""Parts that somebody else made: STL, OBJ, PLY and GLB files, taken as they are."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from meshes.obj import read_obj
from meshes.parts import Part, Role
from meshes.size_told import MOST_BYTES, MOST_TRIANGLES, too_large

if TYPE_CHECKING:
    import trimesh

UNITS = {"mm": 0.001, "cm": 0.01, "m": 1.0, "in": 0.0254}
ENDINGS = tuple(MOST_BYTES)
FARTHEST = 1e7
"""Coordinates may be a country's [m]; beyond that, float64 no longer holds a bedding gap's parts."""
NONE = "no triangles in it"


def load_part(path: Path, *, name: str, role: Role | str, unit: str) -> Part:
    """Read one mesh file as a part; its triangles are neither welded nor reordered.

    unit: mm, cm, m or in. GLB files are turned from their standard's y-up to z-up. Triangles of no
    area are left out, since they have no sides. Raises SceneError with one line for a file that is
    missing, empty, no mesh, too large, or holds NaN.
    """
    require(unit in UNITS, f"unit of {name}", unit, f"one of {', '.join(UNITS)}", SceneError)
    known = path.suffix.lower() in ENDINGS
    require(known, f"file of {name}", path.name, f"one of {', '.join(ENDINGS)}", SceneError)
    vertices, faces = _read(path, name)
    most = f"at most {MOST_TRIANGLES} triangles"
    require(len(faces) > 0, f"mesh of {name}", "no triangles", "triangles", SceneError)
    require(len(faces) <= MOST_TRIANGLES, f"mesh of {name}", len(faces), most, SceneError)
    known_rows = bool(faces.min() >= 0 and faces.max() < len(vertices))
    require(known_rows, f"mesh of {name}", "a corner that isn't there", "whole", SceneError)
    finite = bool(np.isfinite(vertices).all())
    require(finite, f"mesh of {name}", "NaN or infinity", "finite", SceneError)
    vertices = vertices * UNITS[unit]
    near = bool(np.abs(vertices).max() <= FARTHEST)
    rule = f"within {FARTHEST / 1000:g} km of the origin"
    require(
        near, f"mesh of {name}", f"{np.abs(vertices).max() / 1000:.3g} km off", rule, SceneError
    )
    corners = vertices[faces]
    area = np.linalg.norm(
        np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1
    )
    kept = faces[area > 0]
    rule = "triangles with an area"
    require(len(kept) > 0, f"mesh of {name}", "triangles of no area", rule, SceneError)
    return Part(name, Role(role), vertices, kept)


def _read(path: Path, name: str) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Vertices and triangles of a file; nothing but this one file is ever opened."""
    ending = path.suffix.lower()
    content = _content(path, name, MOST_BYTES[ending])
    try:
        if ending == ".obj":
            vertices, rows = read_obj(content, MOST_TRIANGLES)
            require(len(rows) > 0, f"file of {name}", f"{path.name}: {NONE}", "a mesh", SceneError)
            return vertices, rows.astype(np.int32)
        much = too_large(content, ending)
        require(not much, f"mesh of {name}", much, "smaller", SceneError)
        return _loaded(content, path, name)
    except (MemoryError, SceneError):
        raise
    except Exception as error:  # readers of many formats raise whatever they like
        raise SceneError(
            f"file of {name} must be a mesh. Got {path.name}: {_first(error)}"
        ) from None


def _content(path: Path, name: str, most: int) -> bytes:
    """The bytes of a file. Raises SceneError when there are none, too many, or they can't be read."""
    try:
        size = path.stat().st_size if path.is_file() else None
        content = b""
        if size and size <= most:  # what has no size, a system's own file, may never end
            with path.open("rb") as stream:
                content = stream.read(most)
    except OSError as error:
        raise SceneError(f"file of {name} can't be read ({error.strerror or error})") from error
    there, rule = size is not None, "a file that is there"
    require(there, f"file of {name}", str(path), rule, SceneError)
    large, rule = f"{(size or 0) // 1_000_000} MB", f"at most {most // 1_000_000} MB"
    require((size or 0) <= most, f"file of {name}", large, rule, SceneError)
    require(len(content) > 0, f"file of {name}", f"{path.name}, empty", "a mesh", SceneError)
    return content


def _loaded(content: bytes, path: Path, name: str) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    import trimesh

    ending = path.suffix.lower()
    loaded = trimesh.load(
        BytesIO(content), file_type=ending[1:], process=False, maintain_order=True,
        skip_materials=True,
    )  # fmt: skip
    meshes = _meshes(loaded)
    require(bool(meshes), f"file of {name}", f"{path.name}: {NONE}", "a mesh", SceneError)
    starts = np.cumsum([0, *[len(mesh.vertices) for mesh in meshes]])
    vertices = np.vstack([np.asarray(mesh.vertices, dtype=np.float64) for mesh in meshes])
    rows = [np.asarray(mesh.faces) + start for mesh, start in zip(meshes, starts, strict=False)]
    faces = np.vstack(rows).astype(np.int32)
    if ending == ".glb":
        vertices = vertices[:, [0, 2, 1]] * np.array([1.0, -1.0, 1.0])
    return vertices, faces


def _meshes(loaded: object) -> list[trimesh.Trimesh]:
    import trimesh

    if isinstance(loaded, trimesh.Scene):
        found = loaded.dump()
        return [mesh for mesh in found if isinstance(mesh, trimesh.Trimesh) and len(mesh.faces)]
    if isinstance(loaded, trimesh.Trimesh) and len(loaded.faces):
        return [loaded]
    return []


def _first(error: Exception) -> str:
    """The first line of what a reader says, its odd letters, which may be the file's, left out."""
    text = str(error).strip().splitlines()
    return "".join(filter(str.isprintable, text[0] if text else type(error).__name__))[:120]
