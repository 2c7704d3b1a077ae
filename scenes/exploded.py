"""Pieces drawn apart, each out from the stack and up by its turn in the dressing order."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role
from scenes.stage import Stage, fall_of

OUT: Final = 0.22
"""How far a flashing is moved away from the stack in plan [m]."""
UP: Final = 0.07
"""And how far up for each that was dressed before it [m]."""
MOST_UP: Final = 0.5
"""The last of very many is moved up so far [m]."""

_ENDINGS = {1: "st", 2: "nd", 3: "rd"}


def apart(stage: Stage, assembly: Assembly) -> Stage:
    """The stage with its flashings moved apart and named with their turn ("front apron, 1st"), each with
    lines to where it belongs; assembly: what the stage shows, in dressing order.

    Pieces keep their shape, letters, colours and the way they lie; all that is no flashing stays.
    """
    moves = shifts(assembly)
    moved, guides = [], []
    for piece in stage.pieces:
        if piece.name in moves:
            turn, shift = moves[piece.name]
            guides += [np.stack([end + shift, end]) for end in _ends(piece.triangles)]
            name = f"{piece.name}, {ordinal(turn)}"
            piece = replace(piece, name=name, triangles=piece.triangles + shift)
        moved.append(piece)
    return replace(stage, pieces=tuple(moved), guides=tuple(guides))


LONG: Final = 0.3
"""A piece as long as this [m] has a line at either end, a shorter one at one."""


def _ends(triangles: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """The two corners (3,) [m] of a piece that lie farthest apart, or the lower of them."""
    corners = np.unique(triangles.reshape(-1, 3), axis=0)
    middle = corners.mean(axis=0)
    one = corners[np.linalg.norm(corners - middle, axis=1).argmax()]
    other = corners[np.linalg.norm(corners - one, axis=1).argmax()]
    low, high = sorted((one, other), key=lambda end: tuple(end[[2, 1, 0]]))
    return [low, high] if np.linalg.norm(high - low) >= LONG else [low]


def shifts(assembly: Assembly) -> dict[str, tuple[int, NDArray[np.float64]]]:
    """Of each flashing by its name: its turn in the dressing order, from 1, and how far (3,) it is
    moved [m]."""
    flashings = [part for part in assembly if part.role is Role.FLASHING]
    stack = [part.vertices for part in assembly if part.role is Role.STACK]
    middle = _middle(np.concatenate(stack or [part.vertices for part in assembly]))
    up = min(UP, MOST_UP / max(len(flashings), 1))
    fall = fall_of(assembly)
    steep = np.zeros(2) if fall is None else fall[:2] * fall[2] / float(fall[:2] @ fall[:2])
    found = {}
    for turn, part in enumerate(flashings, start=1):
        out = OUT * _outward(part, middle)
        # Up the slope a level move would end under the covering.
        climbs = max(0.0, float(out @ steep))
        found[part.name] = turn, np.append(out, up * turn + climbs)
    return found


def ordinal(number: int) -> str:
    """1 -> "1st", 12 -> "12th"."""
    teens = 10 <= number % 100 <= 20
    return f"{number}{'th' if teens else _ENDINGS.get(number % 10, 'th')}"


def _middle(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """The middle (2,) [m] of the bounds in plan."""
    return (points[:, :2].min(axis=0) + points[:, :2].max(axis=0)) / 2


def _outward(part: Part, middle: NDArray[np.float64]) -> NDArray[np.float64]:
    """Unit vector (2,) from the stack's middle to the part's; nil where they are one."""
    way = _middle(part.vertices) - middle
    length = float(np.linalg.norm(way))
    return way / length if length > 1e-6 else np.zeros(2)
