"""A stack's plan as a scene file tells it: the keys that it takes, and the row of points to blame."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, dist, pi, sin

from meshes.plan import SAME_DIRECTION, SHORTEST_EDGE
from scenes.places import Loc, shown
from scenes.tables_pieces import NEEDED_KEYS, PLAN_KEYS, StackTable

Rows = Sequence[Sequence[float]]


def keys_beside(plan: str) -> tuple[str, ...]:
    """The keys that belong to other plans than this one, which has no use for them."""
    return tuple(key for other, keys in PLAN_KEYS.items() if other != plan for key in keys)


def fault_of_plan(stack: StackTable) -> tuple[Loc, str] | None:
    """The first key of [stack] that its plan lacks or has no use for, or the row of its points that
    makes no corner, with what is wrong with it; None for nothing."""
    plan = stack.plan or "rectangle"
    here = f'where plan = "{plan}"'
    for key in keys_beside(plan):
        if (got := getattr(stack, key)) is not None:
            takes = " and ".join(PLAN_KEYS[plan])
            return (key,), f"must be left out {here}, which takes {takes}. Got {shown(got)}"
    for key in PLAN_KEYS[plan]:
        if key in NEEDED_KEYS and getattr(stack, key) is None:
            return (key,), f"is missing, and has no default {here}"
    fault = fault_of_rows(stack.points_mm) if stack.points_mm else None
    return (("points_mm", *fault[0]), fault[1]) if fault else None


def fault_of_rows(rows: Rows) -> tuple[Loc, str] | None:
    """The first row of an outline [mm] that is no corner of a convex one, with what is wrong with it:
    too near its neighbour, or turning against the others; an empty place where no one row is to blame.

    rows: 3 or more of two finite numbers, in either order of going round. Its size isn't looked at.
    """
    nearest = SHORTEST_EDGE * 1000
    count = len(rows)
    for number in range(count):
        last = max(number, (number + 1) % count)
        if dist(rows[number], rows[(number + 1) % count]) < nearest - 1e-6:
            rule = (
                f"must stand {nearest:g} mm or farther from the corner before it and the one after"
            )
            return (last,), f"{rule}. Got {shown(rows[last])}"
    turns = [_turn(rows[n - 1], rows[n], rows[(n + 1) % count]) for n in range(count)]
    round_once = sum(turns)
    if abs(abs(round_once) - 2 * pi) > 1e-6:
        return (), "must go once round a convex outline. Got edges that cross or run back"
    for number, turn in enumerate(turns):
        if sin(turn) * round_once <= SAME_DIRECTION * 2 * pi:
            return (number,), f"must be a convex corner of the outline. Got {shown(rows[number])}"
    return None


def _turn(before: Sequence[float], here: Sequence[float], after: Sequence[float]) -> float:
    """How far an outline turns at a corner [rad], anticlockwise above 0."""
    (a, b), (c, d) = (
        (here[0] - before[0], here[1] - before[1]),
        (after[0] - here[0], after[1] - here[1]),
    )
    return atan2(a * d - b * c, a * c + b * d)
