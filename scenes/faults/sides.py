"""A fault at one side alone: that side's pieces are taken over from a detail that has it at both."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import Manifold, Mesh64

from meshes.parts import Assembly, Part
from meshes.plan import Kind
from meshes.spec import Detail
from scenes.faults.fault import Asked, NotHere, OnMeasures

FAR = 50.0
"""Half the size of a box that holds everything at one side of the stack [m]."""


def sides_alone(
    right: Assembly, wrong: Assembly, detail: Detail, place: str, asked: Sequence[Asked]
) -> Assembly:
    """The assembly `right` with what belongs to one side taken over from `wrong`.

    A side's own pieces begin with its name. The chases are the stack's: its half at that side goes with
    them. Other parts go with them where a fault says so. asked: faults that take the same pieces over.
    Raises NotHere when the side has no such piece.
    """
    beside: set[str] = set()
    begins = ""
    for one in asked:
        assert isinstance(one.fault, OnMeasures)
        beside |= set(one.fault.side_alone or ())
        begins = f"{place} {one.fault.own}"
    own = [part for part in wrong if part.name.startswith(begins)]
    if not own or not any(part.name.startswith(begins) for part in right):
        raise NotHere(f"has no {begins.strip()} piece")
    made: list[Part] = []
    for part in right:
        if part.name.startswith(begins):
            made += own
            own = []
        elif part.name == "stack" and begins == f"{place} ":
            made.append(_halves(part, wrong["stack"], detail, place))
        elif part.name in beside:
            made.append(wrong[part.name])
        else:
            made.append(part)
    return Assembly(tuple(made))


def _halves(right: Part, wrong: Part, detail: Detail, place: str) -> Part:
    """The stack with one side's chases as `wrong` has them, the rest as `right`."""
    same = right.vertices.shape == wrong.vertices.shape
    if same and np.array_equal(right.vertices, wrong.vertices):
        return right
    kinds = {Kind.LEFT: -np.inf, Kind.RIGHT: np.inf}
    for edge in detail.stack.outline().edges:
        if edge.kind is Kind.LEFT:
            kinds[edge.kind] = max(kinds[edge.kind], edge.start[0], edge.end[0])
        if edge.kind is Kind.RIGHT:
            kinds[edge.kind] = min(kinds[edge.kind], edge.start[0], edge.end[0])
    middle = (kinds[Kind.LEFT] + kinds[Kind.RIGHT]) / 2
    low = middle - 2 * FAR if place == "left" else middle
    half = Manifold.cube([2 * FAR, 2 * FAR, 2 * FAR]).translate([low, -FAR, -FAR])
    was, now = _solid(right), _solid(wrong)
    mesh = (was - ((was - now) ^ half) + ((now - was) ^ half)).to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    return Part(right.name, right.role, vertices, np.asarray(mesh.tri_verts))


def _solid(part: Part) -> Manifold:
    return Manifold(Mesh64(np.array(part.vertices), part.faces.astype(np.uint64)))
