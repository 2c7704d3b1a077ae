"""Laps beside the stack that are put together the wrong way round: the piece above under the one below."""

from __future__ import annotations

from dataclasses import dataclass

from meshes.around.chains import Chain
from meshes.around.scheme import Scheme
from meshes.around.step_flashing import steps_on, wall_of
from meshes.around.steps import Step
from meshes.errors import require

CLEAR_OF_CORNER = (
    0.010  # [m] a turned lap keeps so far from what is turned round or into the corner
)


@dataclass(frozen=True, slots=True)
class TurnedSteps:
    """Two steps whose lap is turned round: `over` lies over the lower end of the next one up, `tucked`;
    behind: whether that one hangs behind the soakers' upturns. None, None where no lap is."""

    over: Step | None = None
    tucked: Step | None = None
    behind: bool = False


def turned_steps(scheme: Scheme, chain: Chain, *, strip: bool) -> TurnedSteps:
    """What a detail tells of a side's steps; strip: where they are in one piece. Raises PieceError."""
    sides = scheme.detail.sides
    told = {"tucked step": sides.tucked_step, "step behind": sides.step_behind}
    asked = {what: number for what, number in told.items() if number > 0}
    if not asked:
        return TurnedSteps()
    (what, number), *others = asked.items()
    require(not others, "step behind", f"{sides.step_behind}", "0 where there is a tucked step")
    check_number(what, number, () if strip else steps_to_tuck(scheme, chain))
    steps = steps_on(scheme, chain)
    return TurnedSteps(steps[number - 2], steps[number - 1], what == "step behind")


def steps_to_tuck(scheme: Scheme, chain: Chain) -> tuple[int, ...]:
    """Numbers of the steps of a side, from the front up, whose lower end can lie under the step below:
    where no third one reaches into their lap, nor what the lowest has at the corner. Raises PieceError.
    """
    steps, wall, sides = steps_on(scheme, chain), wall_of(chain), scheme.detail.sides
    lows = [step.start - sides.step_lap for step in steps]
    corner = wall.front[1] + max(sides.turn_in, sides.corner_return) + CLEAR_OF_CORNER
    return tuple(
        at + 1
        for at in range(1, len(steps))
        if lows[at] > (steps[at - 2].end if at > 1 else corner)
        and (at + 1 == len(steps) or lows[at + 1] > steps[at - 1].end)
    )


def check_number(what: str, number: int, can: tuple[int, ...]) -> None:
    """Raises PieceError where a piece is told to lie under the one below that can't."""
    rule = f"{', '.join(str(one) for one in can)} or 0 here" if can else "0 here"
    require(number in can, what, f"{number}", rule)
