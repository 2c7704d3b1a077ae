"""Blanks of one shape, one hand and the same bends, listed once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from re import sub

import numpy as np

from scenes.cutting.pattern import Pattern

SAME = 5e-6  # [m] corners so near to each other are the same: a hundredth of what shears can cut


def once_each(patterns: Iterable[Pattern]) -> tuple[Pattern, ...]:
    """Patterns in their order, each with the names of all that are alike."""
    found: list[Pattern] = []
    for one in patterns:
        at = next((k for k, other in enumerate(found) if _alike(one, other)), None)
        if at is None:
            found.append(one)
        else:
            found[at] = replace(found[at], alike=(*found[at].alike, one.name))
    return tuple(found)


def _alike(one: Pattern, other: Pattern) -> bool:
    if one.hand != other.hand or _base(one.name) != _base(other.name):
        return False
    if len(one.folds) != len(other.folds) or len(one.outlines) != len(other.outlines):
        return False
    same = all(_same_ring(a, b) for a, b in zip(one.outlines, other.outlines, strict=True))
    return same and all(
        abs(a.angle - b.angle) < 1e-6 and bool(np.abs(a.line - b.line).max() < SAME)
        for a, b in zip(one.folds, other.folds, strict=True)
    )


def _base(name: str) -> str:
    return sub(r" \d+(?=,|$)", "", name)


def _same_ring(a: np.ndarray, b: np.ndarray) -> bool:
    """Whether two rings go round the same corners, wherever they begin."""
    if a.shape != b.shape:
        return False
    start = int(np.abs(b - a[0]).sum(axis=1).argmin())
    return bool(np.abs(np.roll(b, -start, axis=0) - a).max() < SAME)
