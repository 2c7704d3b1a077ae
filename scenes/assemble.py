"""A scene's parts put together: the built detail, then the parts from files, checked as a whole."""

from __future__ import annotations

import numpy as np

from meshes.errors import SceneError
from meshes.parts import Assembly, Part
from scenes.faults.fault import FaultError
from scenes.measures import key_to_blame
from scenes.places import at
from scenes.scene import PartFile, Scene

SMALLEST, LARGEST = 0.005, 100.0
"""What a part from a file may measure across [m]: beyond, its unit is wrong."""
FARTHEST = 200.0
"""How far from the rest a part from a file may reach [m]: beyond, it is out of place."""


def assemble(scene: Scene) -> Assembly:
    """The scene's parts: the built detail with the scene's faults, then the parts from files in order.

    Raises SceneError, with the place in the scene file, for what can't be built or read, for parts
    of a wrong size, out of place or there twice, and for too many of them.
    """
    from sim.surface import MOST_PARTS  # brings the compiler, which a bad detail needn't wait for

    parts = _built(scene)
    most = MOST_PARTS - len(parts)
    if len(scene.parts) > most:
        place = scene.parts[most].place
        beside = f" beside the {len(parts)} built ones" if parts else ""
        rule = f"must be at most {most} parts from files{beside}"
        raise SceneError(f"{place}: there {rule}. Got {len(scene.parts)}")
    for file in scene.parts:
        if clash := next((part for part in parts if part.name == file.name), None):
            raise SceneError(f"{file.place}: a part called {clash.name} is there already")
        parts.append(_read(file, parts))
    return Assembly(tuple(parts))


def _built(scene: Scene) -> list[Part]:
    if scene.detail is None:
        return []
    from meshes.build import build

    try:
        if not scene.faults:
            return list(build(scene.detail).parts)
        from scenes.faults.apply import made_wrong

        return list(made_wrong(scene).parts)
    except FaultError:
        raise
    except SceneError as error:
        loc = key_to_blame(scene.table, str(error), build)
        raise SceneError(f"{at(scene.file, scene.lines, loc)}: {error}") from error


def _read(file: PartFile, others: list[Part]) -> Part:
    """One part from its file. Raises SceneError when it can't stand beside the others."""
    from meshes.files import load_part

    try:
        part = load_part(file.path, name=file.name, role=file.role, unit=file.unit)
    except SceneError as error:
        raise SceneError(f"{file.place}: {error}") from error
    corners = part.vertices[part.faces].reshape(-1, 3)
    across = float(np.ptp(corners, axis=0).max())
    if not SMALLEST <= across <= LARGEST:
        rule = f"must be {SMALLEST * 1000:g} mm to {LARGEST:g} m across"
        asked = f'is unit = "{file.unit}" right?'
        raise SceneError(f"{file.place}: {part.name} {rule}. Got {length(across)}: {asked}")
    if others:
        away = float(np.abs(corners - others[0].vertices.mean(axis=0)).max())
        if away > FARTHEST:
            rule = f"must lie within {FARTHEST:g} m of the {others[0].name}"
            raise SceneError(f"{file.place}: {part.name} {rule}. Got {length(away)}")
    for other in others:
        if np.array_equal(corners, other.vertices[other.faces].reshape(-1, 3)):
            told = f"must differ from {other.name}. Got the same mesh at the same place"
            raise SceneError(f"{file.place}: {part.name} {told}")
    return part


def length(metres: float) -> str:
    """A length for people: 0.0031 -> "3.1 mm", 1000 -> "1,000 m"."""
    return f"{metres * 1000:.2g} mm" if metres < 0.1 else f"{metres:,.0f} m"
