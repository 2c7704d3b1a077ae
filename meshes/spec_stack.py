"""A stack as the builder is told it [m, rad]: its plan, how it stands, its chases and capping."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

from meshes.errors import require, within
from meshes.plan import Plan, plan_of, rectangle, regular, round_

PlanKind = Literal["rectangle", "round", "regular", "points"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """An upright stack. `height` is above the covering at the front [m].

    plan: "rectangle" (width, depth), "round" (diameter, facets), "regular" (sides, across from flat
    to flat) or "points" (a convex polygon); turned about the upright by `turn` [rad], anticlockwise
    seen from above. `pointed`: the chases are filled round their turn-ins, flush with the faces, with
    mortar or sealant. `brick_gauge` is the height of a brick course with its joint.
    """

    plan: PlanKind = "rectangle"
    width: float = 0.0
    depth: float = 0.0
    diameter: float = 0.3
    facets: int = 32
    sides: int = 8
    across: float = 0.6
    points: tuple[tuple[float, float], ...] = ()
    turn: float = 0.0
    brick_gauge: float = 0.075
    height: float = 1.2
    capping_overhang: float = 0.040
    capping_thickness: float = 0.060
    chase_depth: float = 0.035
    chase_height: float = 0.012
    pointed: bool = True

    def __post_init__(self) -> None:
        known = ("rectangle", "round", "regular", "points")
        require(self.plan in known, "plan", self.plan, "rectangle, round, regular or points")
        if self.plan == "rectangle":
            within("stack width", self.width, 0.2, 6)
            within("stack depth", self.depth, 0.2, 6)
        if self.plan == "round":
            within("stack diameter", self.diameter, 0.08, 6)
        if self.plan == "regular":
            within("stack across", self.across, 0.1, 6)
        within("stack turn", self.turn, -2 * pi, 2 * pi, "degrees")
        within("brick gauge", self.brick_gauge, 0.04, 0.3)
        self.outline()
        within("stack height", self.height, 0.3, 6)
        within("capping overhang", self.capping_overhang, 0.0, 0.3)
        within("capping thickness", self.capping_thickness, 0.02, 0.3)
        within("chase depth", self.chase_depth, 0.0, 0.09)
        within("chase height", self.chase_height, 0.006, 0.03)

    def outline(self) -> Plan:
        """The plan as a polygon. Raises PieceError when there is no such polygon."""
        if self.plan == "round":
            return round_(self.diameter, self.facets, self.turn)
        if self.plan == "regular":
            return regular(self.sides, self.across, self.turn)
        if self.plan == "points":
            return plan_of(self.points, self.turn)
        return rectangle(self.width, self.depth, self.turn)
