"""Letters and colours of pieces: alike in every picture of a scene, whatever is done wrong in it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from string import ascii_uppercase

from meshes.parts import Part, Role
from scenes.colours import Colour, tint_of

_TOLD = (Role.FLASHING, Role.COVERING, Role.STACK, Role.UNDERLAY, Role.INSIDE, Role.DEBRIS)
"""Letters go to the flashings first, and last to what is mostly out of sight or seldom there."""


def keyed(parts: Iterable[Part], known: Collection[str] = ()) -> list[tuple[Part, str, Colour]]:
    """Each part with its letter and its colour, in the order of letters.

    A changed dressing order changes none of them. known: names of the flashings that the scene has when
    it is made right: one that is missing keeps its letter, and those that are there besides come last.
    """
    present = {part.name: part for part in parts}
    rows = [(part.role, part.name) for part in present.values()]
    rows += [(Role.FLASHING, name) for name in known if name not in present]

    def turn(row: tuple[Role, str]) -> tuple[bool, int, str]:
        role, name = row
        besides = bool(known) and role is Role.FLASHING and name not in known
        return besides, _TOLD.index(role), name

    found = []
    ranks: dict[Role, int] = {}
    for index, (role, name) in enumerate(sorted(rows, key=turn)):
        rank = ranks[role] = ranks.get(role, -1) + 1
        if name in present:
            found.append((present[name], letter(index), tint_of(role, name, rank)))
    return found


def letter(index: int) -> str:
    """A to Z, then AA, AB, ..."""
    head, tail = divmod(index, len(ascii_uppercase))
    return (letter(head - 1) if head else "") + ascii_uppercase[tail]
