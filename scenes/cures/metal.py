"""What a cure takes: metal by its weight, and the pieces that are cut anew."""

from __future__ import annotations

import numpy as np

from meshes.materials import MATERIALS
from meshes.parts import Assembly, Part, Role

RESIZED = 1e-4
"""A piece whose area differs by more is cut anew [m2]."""


def metal(was: Assembly, now: Assembly, material: str) -> float:
    """Mass [kg] of sheet that one assembly's flashings have over another's; below nought for less.

    A folded piece has the area of its blank. material: a key of `materials.MATERIALS`.
    """
    areas = [sum(_areas(assembly).values()) for assembly in (was, now)]
    return (areas[1] - areas[0]) * MATERIALS[material].mass


def cut_anew(was: Assembly, now: Assembly, gives: float = 0.0) -> tuple[str, ...]:
    """Names of the flashings that are there for the first time, or with another area; gives: share of it
    by which a piece may be off and still be the same."""
    before, after = _areas(was), _areas(now)
    return tuple(
        name
        for name, area in after.items()
        if name not in before or abs(area - before[name]) > max(RESIZED, gives * before[name])
    )


def _areas(assembly: Assembly) -> dict[str, float]:
    return {part.name: _area(part) for part in assembly if part.role is Role.FLASHING}


def _area(part: Part) -> float:
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
