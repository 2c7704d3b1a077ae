"""The parts of a leak by name, and its way in, in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.parts import Role
from sim.leaks_causes import Cause


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """What is told of a leak. came_from and behind: names of parts, and the role of the first;
    past: it fell past an end, with nothing over it; corner: the two flashings at a corner, or
    nothing; where: in plain words; goal: the part it comes out on, and its role."""

    cause: Cause
    came_from: str
    came_from_role: Role
    behind: str
    past: bool
    corner: tuple[str, ...]
    where: str
    goal: str
    goal_role: Role

    @property
    def ends(self) -> str:
        """The part whose end is gone past."""
        return self.came_from if self.came_from_role is Role.FLASHING else self.behind

    @property
    def drips_off_the_stack(self) -> bool:
        """Whether it falls off the stack with no flashing near."""
        return self.past and self.came_from == self.behind and self.came_from_role is Role.STACK

    def way_in(self) -> str:
        """The way in, as in "over the top edge of the front apron, at the front"."""
        how = {
            Cause.RAN_UNDER: f"under the edge of the {self.behind}",
            Cause.PAST_AN_END: f"past the end of the {self.ends}",
            Cause.OVER_A_TOP_EDGE: f"over the top edge of the {self.behind}",
            Cause.THROUGH_A_CORNER: f"through the corner between the {self.pair}",
            Cause.DRIVEN_UP_A_LAP: f"up under the edge of the {self.behind}",
            Cause.BLOWN_ACROSS: f"sideways under the edge of the {self.behind}",
            Cause.THROUGH_A_GAP: f"through a gap in the {self.behind}",
            Cause.OVERTOPPED: f"over the rim of standing water on the {self.came_from}",
            Cause.FELL_STRAIGHT_IN: f"straight from the sky onto the {self.goal}",
        }[self.cause]
        if self.cause is Cause.PAST_AN_END and self.drips_off_the_stack:
            how = f"down the {self.came_from}, past the ends of the flashings"
        return f"{how}, at the {self.where}"

    @property
    def pair(self) -> str:
        """The two flashings at a corner, as in "front apron and the left side flashing"."""
        return " and the ".join(self.corner)
