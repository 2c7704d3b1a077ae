"""A leak in plain words, put together from its path's own events and figures."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.parts import Role
from sim.leaks_causes import Cause

ML_MIN = 6e7  # [ml/min] in one m3/s
BESIDE = 10  # [mm] what comes out less far along comes out straight below


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """What is told of a leak. came_from and behind: names of parts, and the role of the first;
    past: it fell past an end, with nothing over it; corner: the two flashings at a corner, or
    nothing; where: in plain words; share [1]; flow [m3/s]; goal: the part it comes out on, and its
    role; lower, along [m]: how far below and beside the way in it does."""

    cause: Cause
    came_from: str
    came_from_role: Role
    behind: str
    past: bool
    corner: tuple[str, ...]
    where: str
    share: float
    flow: float
    goal: str
    goal_role: Role
    lower: float
    along: float

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
            Cause.THROUGH_A_CORNER: f"through the corner between the {self._pair()}",
            Cause.DRIVEN_UP_A_LAP: f"up under the edge of the {self.behind}",
            Cause.BLOWN_ACROSS: f"sideways under the edge of the {self.behind}",
            Cause.OVERTOPPED: f"over the rim of standing water on the {self.came_from}",
            Cause.FELL_STRAIGHT_IN: f"straight from the sky onto the {self.goal}",
        }[self.cause]
        if self.cause is Cause.PAST_AN_END and self.drips_off_the_stack:
            how = f"down the {self.came_from}, past the ends of the flashings"
        return f"{how}, at the {self.where}"

    def why(self) -> str:
        """Two sentences: how the water gets behind, and how much of it comes out where."""
        return f"{self._how()} {self._how_much()}"

    def _how(self) -> str:
        here, there = self.came_from, self.behind
        water = f"Water that runs on the {here}"
        if self.cause is Cause.FELL_STRAIGHT_IN:
            return f"Rain falls straight onto the {self.goal}: no sheet keeps it off there."
        if self.cause is Cause.THROUGH_A_CORNER:
            return f"{water} finds the slit where the cut edges of the {self._pair()} meet."
        if self.cause is Cause.OVER_A_TOP_EDGE:
            if here == there:
                return f"{water} flows over its top edge and down its back."
            return f"{water} meets the open top edge of the {there} and goes down behind it."
        if self.cause is Cause.DRIVEN_UP_A_LAP:
            return f"The wind's pressure drives water on the {here} uphill, under the edge of the {there}."
        if self.cause is Cause.BLOWN_ACROSS:
            return f"The wind pushes water on the {here} aside as it runs, under the edge of the {there}."
        if self.cause is Cause.OVERTOPPED:
            return f"Water stands on the {here} until it is as high as its lowest rim, and spills there."
        if self.cause is Cause.RAN_UNDER:
            return f"{water} meets the edge of the {there} and goes on beneath it."
        if self.drips_off_the_stack:
            return f"{water} drips off it where no flashing reaches, and none takes it up."
        if self.past and here == there:
            return f"{water} leaves it where it ends, and no sheet beyond takes it up."
        if self.past:
            return f"{water} falls past the end of the {there}, which does not reach far enough."
        if self.ends == there:
            return f"{water} goes round the end of the {there} and behind it."
        return f"{water} leaves it where it ends and comes down behind the {there}."

    def _how_much(self) -> str:
        share, flow = _figures(self.share * 100, 2), _figures(self.flow * ML_MIN, 3)
        much = f"That is {share} % of the rain that lands ({flow} ml/min)"
        lower, along = round(self.lower * 1000), round(self.along * 1000)
        if self.cause is Cause.FELL_STRAIGHT_IN:
            return f"{much}."
        verb = "reaches" if self.goal_role is Role.INSIDE else "comes out on"
        aside = f" and {along} mm farther along" if along >= BESIDE else ""
        return f"{much}; it {verb} the {self.goal} {lower} mm lower{aside}."

    def _pair(self) -> str:
        return " and the ".join(self.corner)


def _figures(value: float, count: int) -> str:
    """A number rounded to so many significant figures, without an exponent."""
    return f"{float(f'{value:.{count}g}'):.10g}"
