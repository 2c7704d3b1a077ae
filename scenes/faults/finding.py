"""Where on parts a fault goes: found by the stack's plan, by names and roles, and by geometry."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role
from meshes.plan import Edge, Kind
from meshes.spec import Detail
from scenes.faults.fault import NotHere

SHEETS = {
    "front": ("front apron",),
    "left": ("left side flashing",),
    "right": ("right side flashing",),
    "back": ("back gutter", "saddle flashing", "back flashing"),
}
UPRIGHT = 0.05
"""Rise of a face's normal under which it stands upright [1]."""
ALIKE = 0.99
"""Cosine from which on a face looks the way that an edge of the stack does [1]."""


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """One side of the stack in plan: along its longest edge there, and out from it, unit (3,); the
    edge's ends and its distance out, measured on those [m]."""

    along: NDArray[np.float64]
    out: NDArray[np.float64]
    start: float
    end: float
    off: float

    @property
    def middle(self) -> float:
        """[m] along."""
        return (self.start + self.end) / 2


def with_part(assembly: Assembly, new: Part) -> Assembly:
    """The assembly with one part in the place of that of its name."""
    return Assembly(tuple(new if part.name == new.name else part for part in assembly))


def without_part(assembly: Assembly, name: str) -> Assembly:
    """The assembly without a part."""
    return Assembly(tuple(part for part in assembly if part.name != name))


def sheet_at(assembly: Assembly, place: str) -> Part:
    """The piece on a side of the stack. Raises NotHere when there is none of one piece."""
    for part in assembly:
        if part.role is Role.FLASHING and part.name in SHEETS[place]:
            return part
    raise NotHere(f"has no {SHEETS[place][0]} in one piece")


def bench_of(detail: Detail, place: str) -> Bench:
    """The side of the stack at a place. Raises NotHere when no edge of it looks there."""
    edges = [edge for edge in detail.stack.outline().edges if edge.kind is Kind(place)]
    if not edges:
        raise NotHere(f"has no edge that looks to the {place}")
    edge: Edge = max(edges, key=lambda one: (round(one.length, 9), -abs(one.start[0])))
    along, out = np.array([*edge.along, 0.0]), np.array([*edge.normal, 0.0])
    start, end = (np.array([*point, 0.0]) for point in (edge.start, edge.end))
    return Bench(along, out, float(start @ along), float(end @ along), float(start @ out))


def corner_of(detail: Detail, place: str) -> tuple[float, float]:
    """The stack's corner between two sides, as "front left". Raises NotHere where they don't meet."""
    edges = detail.stack.outline().edges
    first, second = (Kind(word) for word in place.split())
    for before, after in zip(edges, (*edges[1:], edges[0]), strict=True):
        if {before.kind, after.kind} == {first, second}:
            return after.start
    raise NotHere(f"has no corner between its {first} and its {second}")


def normals_of(part: Part) -> NDArray[np.float64]:
    """Unit normals (m, 3) of a part's faces, nil for a face without area."""
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    normals = np.cross(b - a, c - a)
    size = np.linalg.norm(normals, axis=1, keepdims=True)
    return normals / np.where(size > 0, size, 1.0)


def stands(part: Part, bench: Bench) -> NDArray[np.bool_]:
    """(m,) whether each face stands upright and looks the way of a bench, or away from it."""
    normals = normals_of(part)
    return (np.abs(normals[:, 2]) < UPRIGHT) & (np.abs(normals @ bench.out) > ALIKE)


def bend_of(part: Part, bench: Bench) -> float:
    """How far out the bend between a piece's upstand and its cover lies [m]. Raises NotHere."""
    along = part.vertices[part.faces].mean(axis=1) @ bench.along
    upright = stands(part, bench) & (along > bench.start) & (along < bench.end)
    lying = normals_of(part)[:, 2] > 0.2
    shared = np.intersect1d(part.faces[upright], part.faces[lying])
    outside = part.vertices[shared] @ bench.out
    outside = outside[outside > bench.off]
    if len(outside) == 0:
        raise NotHere(f"has no bend along an edge in its {part.name}")
    return float(outside.min())
