"""The keys of the window: each key once, what it does, and its line in the list that the window shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from scenes.window.shown import Shown


@dataclass(frozen=True, slots=True)
class Key:
    """name: as it is told, and as the graphics library calls it."""

    name: str
    words: str
    act: Callable[[Shown], Shown]


KEYS: Final = (
    Key("n", "next leak, close up", Shown.next_leak),
    Key("b", "leak before", Shown.leak_before),
    Key("space", "run or stop water", Shown.play),
    Key("s", "water slower", Shown.slower),
    Key("f", "water faster", Shown.faster),
    Key("t", "take off last piece", Shown.take_off),
    Key("r", "put it back", Shown.put_back),
    Key("x", "hide or show picked", Shown.hide),
    Key("a", "apart or together", Shown.apart_or_together),
    Key("c", "covering see-through", Shown.through_or_solid),
    Key("h", "home, all as at first", Shown.home),
)
PICK: Final = "p"
LEAVE: Final = "q"
MOST_VIEWS: Final = 9
"""Views have the keys 1 to 9."""

LIST: Final = (
    *((key.name, key.words) for key in KEYS[:8]),
    (PICK, "ask at the pointer"),
    *((key.name, key.words) for key in KEYS[8:]),
    (LEAVE, "close the window"),
)
"""Every key that is a letter, and its words."""
MOUSE: Final = "Click: ask. Drag: turn. Shift-drag: move. Wheel: zoom."


def press(shown: Shown, name: str) -> Shown:
    """What is shown after a key; unchanged for a key that means nothing. Capitals are as good."""
    name = name.lower().removeprefix("kp_")
    for key in KEYS:
        if name == key.name:
            return key.act(shown)
    if len(name) == 1 and name in "123456789":
        return shown.from_view(int(name) - 1)
    return shown
