"""What tells the cases that leak from those that don't: the plainest rule that holds without exception."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from scenes.sweep.cases import Values
from scenes.sweep.key import Value

Way = Literal["at most", "at least", "among"]
Flags = NDArray[np.bool_]
MOST_CONDITIONS: Final = 3
EXCEPTIONS: Final = 0.1
"""Share of the points that a rule may be wrong about and still be told."""
MOST_TRIED: Final = 24
"""Values of a parameter at which such a rule may end."""


@dataclass(frozen=True, slots=True)
class Condition:
    """Of one parameter, by its place among them: at most or at least the first of the values, or among
    them."""

    parameter: int
    way: Way
    values: Values


def rule_of(
    points: Sequence[Values], chosen: Flags, counted: Sequence[bool]
) -> tuple[Condition, ...] | None:
    """The fewest conditions, up to MOST_CONDITIONS, that the chosen points fulfil and no others.

    points: values (k,) of each; chosen (n,), some but not all; counted (k,): which parameters are numbers.
    None where no such rule holds. Each condition is as narrow as the chosen points allow.
    """
    columns = _columns(points, counted)
    for size in range(1, min(len(counted), MOST_CONDITIONS) + 1):
        for places in combinations(range(len(counted)), size):
            ways = [_ways(counted[k]) for k in places]
            for some in product(*ways):
                told = [
                    _condition(k, way, columns[k], chosen)
                    for k, way in zip(places, some, strict=True)
                ]
                inside = np.logical_and.reduce([flags for _, flags in told])
                if np.array_equal(inside, chosen):
                    return tuple(condition for condition, _ in told)
    return None


def near_rule_of(
    points: Sequence[Values], chosen: Flags, counted: Sequence[bool]
) -> tuple[tuple[Condition, ...], int] | None:
    """One or two conditions that all but a few points agree with, and how many don't; None where more than
    EXCEPTIONS of them would not. One condition is plainer than two. For the rest see `rule_of`."""
    most = int(EXCEPTIONS * len(points))
    columns = _columns(points, counted)
    some = [
        [
            _met(columns[k], Condition(k, way, values))
            for way in _ways(counted[k])
            for values in _candidates(columns[k], way)
        ]
        for k in range(len(counted))
    ]
    alone = [((condition,), flags) for row in some for condition, flags in row]
    both = (
        ((one, other), flags & more)
        for first, second in combinations(some, 2)
        for (one, flags), (other, more) in product(first, second)
    )
    for tried in (alone, both):
        wrong, best = min(
            ((int((flags != chosen).sum()), rule) for rule, flags in tried),
            key=lambda one: one[0], default=(most + 1, ()),
        )  # fmt: skip
        if wrong <= most:
            return best, wrong
    return None


def _candidates(column: Sequence[Value], way: Way) -> list[Values]:
    """What a condition may be about: at most MOST_TRIED of the values, evenly chosen."""
    values = list(dict.fromkeys(column)) if way == "among" else sorted(set(column))
    step = -(-len(values) // MOST_TRIED)
    return [(value,) for value in values[::step]]


def thresholds(
    points: Sequence[Values], chosen: Flags, along: int, across: int
) -> tuple[Way, list[tuple[Value, Value | None]]] | None:
    """For each value of one counted parameter, upward, the limit of another up to which, or from which, its
    points are chosen; None where none is. None where that isn't so everywhere.

    points: values of each; chosen (n,); along, across: places of both parameters.
    """
    rows: dict[Value, list[tuple[Value, bool]]] = {}
    for point, flag in zip(points, chosen.tolist(), strict=True):
        rows.setdefault(point[along], []).append((point[across], flag))
    for way in _ways(True):
        found: list[tuple[Value, Value | None]] = []
        for value in sorted(rows):
            within = [other for other, flag in rows[value] if flag]
            outside = [other for other, flag in rows[value] if not flag]
            limit = _limit(within, way) if within else None
            if limit is not None and any(_holds(other, way, limit) for other in outside):
                break
            found.append((value, limit))
        else:
            return way, found
    return None


def _columns(points: Sequence[Values], counted: Sequence[bool]) -> list[list[Value]]:
    return [[point[k] for point in points] for k in range(len(counted))]


def _condition(
    parameter: int, way: Way, column: Sequence[Value], chosen: Flags
) -> tuple[Condition, Flags]:
    """The narrowest condition that the chosen points fulfil, and which points do."""
    within = [value for value, flag in zip(column, chosen.tolist(), strict=True) if flag]
    values = tuple(dict.fromkeys(within)) if way == "among" else (_limit(within, way),)
    held = set(values)
    flags = [value in held if way == "among" else _holds(value, way, values[0]) for value in column]
    return Condition(parameter, way, values), np.array(flags)


def _met(column: Sequence[Value], condition: Condition) -> tuple[Condition, Flags]:
    """A condition, and which values of its parameter fulfil it."""
    way, held, first = condition.way, set(condition.values), condition.values[0]
    flags = [value in held if way == "among" else _holds(value, way, first) for value in column]
    return condition, np.array(flags)


def _ways(counted: bool) -> tuple[Way, ...]:
    return ("at most", "at least") if counted else ("among",)


def _limit(values: Sequence[Value], way: Way) -> Value:
    return max(values) if way == "at most" else min(values)


def _holds(value: Value, way: Way, limit: Value) -> bool:
    return bool(value <= limit if way == "at most" else value >= limit)  # type: ignore[operator]


def equal_limits(
    limits: Sequence[tuple[Value, Value | None]],
) -> Iterator[tuple[Value, Value, Value | None]]:
    """Neighbours with the same limit put together: first value, last value, limit."""
    first = 0
    for number, (_, limit) in enumerate(limits):
        if number + 1 == len(limits) or limits[number + 1][1] != limit:
            yield limits[first][0], limits[number][0], limit
            first = number + 1
