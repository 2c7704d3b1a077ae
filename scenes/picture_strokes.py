"""The kinds of line in a picture: how each is drawn, and what the key says of it."""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum
from typing import NamedTuple

from scenes import colours
from scenes.colours import Colour
from scenes.stage_water import Runs


class Style(NamedTuple):
    """width [px]; dash: on and off [px], nothing for a line without breaks; halo [px]: of paper beneath it,
    0 for none."""

    words: str
    colour: Colour
    width: float
    dash: tuple[float, ...] = ()
    halo: float = 0.0


class Stroke(Enum):
    """In the order of the key."""

    OUTSIDE = Style(f"water: {Runs.OUTSIDE.value}", colours.WATER, 1.1)
    UNDER = Style(f"water {Runs.UNDER.value}", colours.WATER, 2.2, (2.5, 4.0))
    COMING = Style(f"water {Runs.COMING.value}", colours.WATER, 3.2)
    BEHIND = Style(f"water {Runs.BEHIND.value}", colours.BEHIND, 2.8, (), 4.4)
    BEHIND_HIDDEN = Style("the same, out of sight", colours.BEHIND, 2.2, (8.0, 5.0), 4.4)
    FIRST_IN = Style(f"water that {Runs.FIRST_IN.value}", colours.DECIDING, 4.5, (), 8.0)
    FIRST_IN_HIDDEN = Style("the same, out of sight", colours.DECIDING, 3.5, (14.0, 7.0), 8.0)
    GUIDE = Style("to where the piece belongs", colours.INK, 1.2, (9.0, 4.0))
    GHOST = Style("part of the stack cut away", colours.GHOST_EDGE, 1.2, (9.0, 6.0))
    DIFFERS = Style("differs between the two", colours.INK, 4.5)
    OTHER_SIDE = Style("as it lies on the other side", colours.INK, 2.5, (7.0, 5.0))


_SEEN = {Stroke.BEHIND_HIDDEN: Stroke.BEHIND, Stroke.FIRST_IN_HIDDEN: Stroke.FIRST_IN}


def words_of(drawn: Collection[Stroke]) -> dict[Stroke, str]:
    """What the key says of the kinds of line in a picture, in its order."""
    told = {stroke: stroke.value.words for stroke in Stroke if stroke in drawn}
    for hidden, seen in _SEEN.items():
        if hidden in told and seen not in told:
            told[hidden] = told[hidden].replace("the same", seen.value.words)
    return told
