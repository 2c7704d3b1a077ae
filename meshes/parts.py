"""Parts and assemblies: named, frozen triangle meshes with a role and one wet side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require


class Role(StrEnum):
    """What a part does in the roof."""

    COVERING = "covering"
    FLASHING = "flashing"
    STACK = "stack"
    UNDERLAY = "underlay"
    INSIDE = "inside"
    DEBRIS = "debris"


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One triangle mesh. Its wet side is the side that its normals (right-hand rule) point to.

    vertices: (n, 3) float64 [m]; faces: (m, 3) int32, rows of `vertices`. Both are read-only copies.
    Vertices are kept as given: never welded, never reordered.
    Raises SceneError for an empty mesh, a wrong shape, NaN, or a face that names no vertex.
    """

    name: str
    role: Role
    vertices: NDArray[np.float64]
    faces: NDArray[np.int32]

    def __post_init__(self) -> None:
        vertices = np.array(self.vertices, dtype=np.float64)
        faces = np.array(self.faces, dtype=np.int32)
        require(bool(self.name), "part name", repr(self.name), "a word", SceneError)
        for array, what in ((vertices, "vertices"), (faces, "faces")):
            shaped = array.ndim == 2 and array.shape[1] == 3 and len(array) > 0
            require(shaped, f"{what} of {self.name}", array.shape, "rows of three", SceneError)
        finite = bool(np.isfinite(vertices).all())
        require(finite, f"vertices of {self.name}", "NaN or infinity", "finite", SceneError)
        known = faces.min() >= 0 and faces.max() < len(vertices)
        span = f"{faces.min()} to {faces.max()}"
        require(known, f"faces of {self.name}", span, f"0 to {len(vertices) - 1}", SceneError)
        vertices.flags.writeable = False
        faces.flags.writeable = False
        object.__setattr__(self, "role", Role(self.role))
        object.__setattr__(self, "vertices", vertices)
        object.__setattr__(self, "faces", faces)


@dataclass(frozen=True, slots=True, eq=False)
class Assembly:
    """Parts in dressing order: a later flashing lies over an earlier one it overlaps.

    Raises SceneError when there is no part or two parts share a name.
    """

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        require(len(self.parts) > 0, "parts", 0, "at least one", SceneError)
        names = [part.name for part in self.parts]
        twice = sorted({name for name in names if names.count(name) > 1})
        require(not twice, "part names", ", ".join(twice), "different from each other", SceneError)

    def __iter__(self) -> Iterator[Part]:
        return iter(self.parts)

    def __len__(self) -> int:
        return len(self.parts)

    def __getitem__(self, name: str) -> Part:
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)
