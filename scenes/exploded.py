"""Pieces drawn apart, each out from the stack and up by its turn in the dressing order."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role

OUT: Final = 0.22
"""How far a flashing is moved away from the stack in plan [m]."""
UP: Final = 0.07
"""And how far up for each that was dressed before it [m]."""
MOST_UP: Final = 0.5
"""The last of very many is moved up so far [m]."""

_ENDINGS = {1: "st", 2: "nd", 3: "rd"}


def exploded(assembly: Assembly) -> Assembly:
    """The assembly with its flashings moved apart and named with their turn: "front apron, 1st".

    Pieces keep their shape and the way they lie; covering, stack, underlay and inside stay in place.
    """
    apart = shifts(assembly)
    moved: list[Part] = []
    for part in assembly:
        if part.name not in apart:
            moved.append(part)
            continue
        turn, shift = apart[part.name]
        name = f"{part.name}, {ordinal(turn)}"
        moved.append(replace(part, name=name, vertices=part.vertices + shift))
    return Assembly(tuple(moved))


def shifts(assembly: Assembly) -> dict[str, tuple[int, NDArray[np.float64]]]:
    """Of each flashing by its name: its turn in the dressing order, from 1, and how far (3,) it is
    moved [m]."""
    flashings = [part for part in assembly if part.role is Role.FLASHING]
    stack = [part.vertices for part in assembly if part.role is Role.STACK]
    middle = _middle(np.concatenate(stack or [part.vertices for part in assembly]))
    up = min(UP, MOST_UP / max(len(flashings), 1))
    return {
        part.name: (turn, np.append(OUT * _outward(part, middle), up * turn))
        for turn, part in enumerate(flashings, start=1)
    }


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
