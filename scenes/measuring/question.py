"""One question of the measuring: what is asked, how it is measured, what it becomes in a scene."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from scenes.places import Loc
from scenes.units import Units

Value = float | str | bool
Known = Mapping[str, Value]
"""What was measured so far by the questions' keys: lengths in mm, pitches in degrees, choices by name."""
Check = Callable[[Known, Units], str]
"""A complaint about the newest answer in the light of the others, "" for none."""
Kind = Literal["pitch", "length", "choice"]


def _always(known: Known) -> bool:
    return True


def _no_complaint(known: Known, units: Units) -> str:
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A row of the measuring.

    key: its name, once in the list; words: the plain question, short enough for the sheet; how: how and
    where it is measured; places: the keys of a scene that take the answer, none where it serves a check
    alone. choices: by name, what each puts at the places. group: what it belongs to. needed: whether it
    must be answered. asked: whether it is asked, given what is known; check: against what is known;
    written: what goes to the places, where that is not the answer itself; read_back: from what stands
    there [mm] to the answer. auto: what is said where the usual value is worked out, not a figure.
    """

    group: str
    key: str
    words: str
    how: str
    kind: Kind = "length"
    places: tuple[Loc, ...] = ()
    choices: Mapping[str, Any] | None = None
    needed: bool = False
    asked: Callable[[Known], bool] = _always
    check: Check = _no_complaint
    written: Callable[[Value, Known], Any] | None = None
    read_back: Callable[[float, Known], float] | None = None
    auto: str = ""

    @property
    def is_measured(self) -> bool:
        """Whether it is measured, and so lettered on the sheet; a choice is ticked."""
        return self.kind != "choice"

    def put(self, value: Value, known: Known) -> Any:
        """What an answer puts at the places of a scene."""
        if self.written is not None:
            return self.written(value, known)
        return value if self.choices is None else self.choices[str(value)]


def letter(number: int) -> str:
    """The letter of a measure, from 0: A to Z without I and O, which read as figures, then AA, AB."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    rounds, rest = divmod(number, len(letters))
    return letters[rounds - 1] + letters[rest] if rounds else letters[rest]
