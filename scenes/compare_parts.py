"""Which parts of two assemblies differ: gone, new, moved, or turned over."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role
from scenes.compare_surface import ELSEWHERE, apart, area, turned_over
from sim.findings_rows import figure, millimetres

MARKED_FIRST = ((Role.FLASHING, Role.DEBRIS), (Role.UNDERLAY,), tuple(Role))
"""Of what differs a picture marks the roles that come first here, and others only where none of them
does."""
WORTH_MARKING = 0.006
"""A part that moved less [m] is marked only when none moved more: another order of dressing lifts every
sheet by some bedding gaps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartChange:
    """A part that differs. moved: the greatest distance from a corner of either to the other's surface
    [m], None where one of them is missing; areas [m2], 0 where it is missing."""

    name: str
    role: Role
    how: Literal["gone", "new", "moved", "turned over"]
    moved: float | None
    area_first: float
    area_second: float

    @property
    def size(self) -> float:
        """How far it moved [m]; without end where one of them is missing or looks the other way."""
        return self.moved if self.moved is not None and self.how == "moved" else inf

    def row(self) -> dict[str, Any]:
        """As compare.json holds it, in mm and cm2."""
        return {
            "part": self.name,
            "role": self.role.value,
            "how": self.how,
            "moved_mm": None if self.moved is None else millimetres(self.moved, 2),
            "area_first_cm2": figure(self.area_first * 1e4),
            "area_second_cm2": figure(self.area_second * 1e4),
        }


def part_changes(first: Assembly, second: Assembly) -> tuple[PartChange, ...]:
    """Every part that differs: those that only one assembly has, then the others, the farthest moved
    first."""
    others = {part.name: part for part in second}
    rows = [_change(part, others.pop(part.name, None)) for part in first]
    rows += [_one_only(part, "new") for part in second if part.name in others]
    return tuple(sorted((row for row in rows if row is not None), key=lambda row: -row.size))


def marked(changes: tuple[PartChange, ...]) -> tuple[str, ...]:
    """Names of the changed parts that a picture marks."""
    far = [change for change in changes if change.size > WORTH_MARKING] or list(changes)
    for roles in MARKED_FIRST:
        names = tuple(change.name for change in far if change.role in roles)
        if names:
            return names
    return ()


def is_another_stack(changes: tuple[PartChange, ...]) -> bool:
    """Whether the stack itself differs: then nothing round it lies where it lay."""
    return any(row.role is Role.STACK and row.size > WORTH_MARKING for row in changes)


def triangles_of(part: Part) -> NDArray[np.float64]:
    """(n, 3, 3) [m]."""
    return part.vertices[part.faces]


def _change(first: Part, second: Part | None) -> PartChange | None:
    if second is None:
        return _one_only(first, "gone")
    one, two = triangles_of(first), triangles_of(second)
    if np.array_equal(one, two):
        return None
    moved = apart(one, two)
    over = turned_over(one, two)
    if moved <= ELSEWHERE and not over:
        return None
    how: Literal["moved", "turned over"] = "moved" if moved > ELSEWHERE else "turned over"
    return PartChange(
        name=first.name, role=first.role, how=how, moved=moved, area_first=area(one),
        area_second=area(two),
    )  # fmt: skip


def _one_only(part: Part, how: Literal["gone", "new"]) -> PartChange:
    size = area(triangles_of(part))
    return PartChange(
        name=part.name, role=part.role, how=how, moved=None,
        area_first=size if how == "gone" else 0.0, area_second=size if how == "new" else 0.0,
    )  # fmt: skip
