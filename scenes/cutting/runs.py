"""Bends and joints of one kind, many to a blank, that are told together: waves, a round wall, its tabs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import radians
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from scenes.cutting.folds import Fold
from scenes.cutting.pattern import Worked

MANY: Final = 4
"""So many bends of one kind that all turn one way, or joints, are told together."""
BOTH_WAYS: Final = 8
"""And so many of which some turn up and some down: over the noses of a few courses there are fewer."""
LIKE_ANGLE: Final = radians(4)
"""Of one kind are bends whose angles, laid in a row, differ by no more from one to the next [rad]."""
LIKE_LENGTH: Final = 1.5
"""And of which the longest is no more than so many times as long as the shortest [1]."""
PARALLEL: Final = 1e-3
"""Lines that turn from each other by less are parallel [rad]."""
EVEN: Final = 5e-4
"""Bends that repeat are off their places by less than so much [m]."""
LONGEST_WAVE: Final = 8
"""So many bends has one wave at most."""

T = TypeVar("T")


def in_runs(folds: Sequence[Fold]) -> tuple[Fold, ...]:
    """Bend lines in their order, those that are told together following each other at the first one's
    place, from left to right or upwards."""
    group_of = {at: group for group in _groups(folds) for at in group}
    found: list[Fold] = []
    done: set[int] = set()
    for at, fold in enumerate(folds):
        if at not in done:
            group = group_of.get(at, [at])
            found += [folds[one] for one in group] if at in group_of else [fold]
            done.update(group)
    return tuple(found)


def runs_of(folds: Sequence[Fold]) -> list[tuple[int, int]]:
    """First and last place of each bend, or of the bends that are told together. folds: from `in_runs`."""
    last_of = {group[0]: group[-1] for group in _groups(folds) if _in_a_row(group)}
    found, at = [], 0
    while at < len(folds):
        last = last_of.get(at, at)
        found.append((at, last))
        at = last + 1
    return found


def joints_together(worked: Sequence[Worked]) -> list[tuple[Worked, ...]]:
    """Joints in their order, those of one kind that follow each other together where they are many."""
    found: list[tuple[Worked, ...]] = []
    for one in worked:
        last = found[-1][0] if found else None
        like = last is not None and (last.meets, last.how) == (one.meets, one.how)
        if like and last is not None and last.length < LIKE_LENGTH * one.length:
            found[-1] += (one,)
        else:
            found.append((one,))
    return [some for group in found for some in ([group] if len(group) >= MANY else _singly(group))]


def offsets_of(run: Sequence[Fold]) -> NDArray[np.float64] | None:
    """How far each line of a run lies from the first, square to it [m]; None where they aren't parallel."""
    way = run[0].line[1] - run[0].line[0]
    way = way / np.linalg.norm(way)
    if any(abs(_sine(way, fold)) > PARALLEL for fold in run):
        return None
    across = np.array([-way[1], way[0]])
    return np.array([float((fold.line.mean(axis=0) - run[0].line[0]) @ across) for fold in run])


def wave_of(run: Sequence[Fold]) -> float | None:
    """Length of one wave along the sheet [m], where bends up and down repeat; else None."""
    offsets = offsets_of(run)
    ways = np.array([fold.up for fold in run])
    if offsets is None or ways.all() or not ways.any():
        return None
    steps = np.diff(np.abs(offsets))
    for number in range(2, min(LONGEST_WAVE, len(run) // 3) + 1):
        same = np.abs(steps[number:] - steps[:-number]).max(initial=0.0) < EVEN
        if same and (ways[number:] == ways[:-number]).all():
            return float(steps[:number].sum())
    return None


def _groups(folds: Sequence[Fold]) -> list[list[int]]:
    """Places of bends of one kind, where they are many."""
    kinds: dict[tuple[str, ...], list[int]] = {}
    for at, fold in enumerate(folds):
        if not fold.is_dressed:
            kinds.setdefault(tuple(sorted(fold.beside)), []).append(at)
    found = []
    for kind in kinds.values():
        by_angle = sorted(kind, key=lambda at: (round(abs(folds[at].angle), 6), at))
        for some in _chains(by_angle, lambda a, b: _like_angle(folds[a], folds[b])):
            by_length = sorted(some, key=lambda at: (round(folds[at].length, 6), at))
            for group in _parted(by_length, folds):
                ways = {folds[at].up for at in group}
                if len(group) >= (MANY if len(ways) == 1 else BOTH_WAYS):
                    found.append(_sorted(group, folds))
    return found


def _sorted(group: Sequence[int], folds: Sequence[Fold]) -> list[int]:
    """Along the way in which the middles of the lines lie furthest apart."""
    middles = {at: folds[at].line.mean(axis=0) for at in group}
    axis = int(np.argmax(np.ptp(np.array(list(middles.values())), axis=0)))
    return sorted(group, key=lambda at: (round(float(middles[at][axis]), 6), at))


def _parted(by_length: Sequence[int], folds: Sequence[Fold]) -> list[list[int]]:
    """Parted where one is too long to be of a kind with the shortest of its part."""
    found: list[list[int]] = []
    for at in by_length:
        if found and folds[at].length <= LIKE_LENGTH * folds[found[-1][0]].length:
            found[-1].append(at)
        else:
            found.append([at])
    return found


def _chains(items: Sequence[T], like: Callable[[T, T], bool]) -> list[list[T]]:
    found: list[list[T]] = []
    for one in items:
        if found and like(found[-1][-1], one):
            found[-1].append(one)
        else:
            found.append([one])
    return found


def _like_angle(one: Fold, other: Fold) -> bool:
    return abs(abs(one.angle) - abs(other.angle)) <= LIKE_ANGLE


def _sine(way: NDArray[np.float64], fold: Fold) -> float:
    other = (fold.line[1] - fold.line[0]) / fold.length
    return float(way[0] * other[1] - way[1] * other[0])


def _singly(group: Sequence[T]) -> list[tuple[T, ...]]:
    return [(one,) for one in group]


def _in_a_row(group: Sequence[int]) -> bool:
    return list(group) == list(range(group[0], group[0] + len(group)))
