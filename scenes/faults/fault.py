"""A fault: one thing done wrong, as a small change to what is there. No result depends on its name.

Light imports only: the command line names faults before anything heavy is loaded.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite, radians
from typing import TYPE_CHECKING, Literal

from meshes.errors import SceneError, require
from meshes.spec import Detail

if TYPE_CHECKING:
    from meshes.parts import Assembly

Unit = Literal["", "mm", "degrees"]
SIDES = ("left", "right")
ALL_ROUND = ("front", "left", "right", "back")
FRONT_CORNERS = ("front left", "front right")
CORNERS = (*FRONT_CORNERS, "back left", "back right")
PLACES = (*ALL_ROUND, *CORNERS)

Lacks = Callable[[Detail, str], str]
Change = Callable[[Detail, tuple[str, ...], float], Detail]
PartChange = Callable[["Assembly", Detail, str, float], "Assembly"]


class FaultError(SceneError):
    """A fault that can't be put into a scene: its line begins with the fault's name."""


class NotHere(SceneError):
    """A fault that a scene gives no room for; its text goes on after the scene's name."""


def nothing_lacks(detail: Detail, place: str) -> str:
    """Why a fault has no room in a detail: always "", it has."""
    return ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fault:
    """One thing done wrong.

    places: where it may be, as seen from below the stack; none where it has no side. unit, usual, least,
    most: of how much it is, in mm or degrees; no unit where it is or isn't. bad: a figure in words, {}
    for the amount. lacks: why a detail has no room for it at a place, "" if it has; the words go on
    after the scene's name. Raises SceneError for a fault that can't be asked for.
    """

    name: str
    done_wrong: str
    bad: str
    places: tuple[str, ...] = ()
    unit: Unit = ""
    usual: float = 0.0
    least: float = 0.0
    most: float = 0.0
    lacks: Lacks = nothing_lacks

    def __post_init__(self) -> None:
        plain = self.name == self.name.lower().strip() and "@" not in self.name
        plain = plain and bool(self.name) and "=" not in self.name
        require(plain, "fault name", self.name, "plain words in lower case", SceneError)
        known = set(self.places) <= set(PLACES)
        require(known, f"places of {self.name}", self.places, ", ".join(PLACES), SceneError)
        measured = bool(self.unit) == ("{}" in self.bad)
        require(measured, f"figure of {self.name}", self.bad, "one where it has a unit", SceneError)
        sound = 0 < self.least <= self.usual <= self.most if self.unit else self.usual == 0
        require(sound, f"amount of {self.name}", self.usual, "within its bounds", SceneError)

    def how_bad(self, amount: float) -> str:
        """A figure in words; amount: in the fault's own unit."""
        return self.bad.format(f"{amount:g}")

    def in_si(self, amount: float) -> float:
        """An amount in metres or radians."""
        return amount / 1000 if self.unit == "mm" else radians(amount)

    def bounds(self) -> str:
        """How much it may be: "10 to 90 mm", "" for one without an amount."""
        return f"{self.least:g} to {self.most:g} {self.unit}" if self.unit else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnMeasures(Fault):
    """A fault that is a change of measures or order, after which every piece is made anew.

    change: from a detail, the places asked for and the amount [m, rad]. A detail has one measure for
    both sides: where `side_alone` is set, a fault at one side takes over that side's own pieces and those
    named in `side_alone` from the changed detail, and the rest stays; None: the detail tells its sides
    apart by itself. own: only that side's pieces called so are taken over. side_by_side: so it is done for
    both sides too, for pieces beside them hang on the same measure. alone_lacks: as `lacks`, of one side
    alone.
    """

    change: Change
    side_alone: tuple[str, ...] | None = None
    own: str = ""
    side_by_side: bool = False
    alone_lacks: Lacks = nothing_lacks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OnParts(Fault):
    """A fault that cuts, lifts or takes away parts that are made. change: from an assembly, its detail,
    one place and the amount [m, rad]; raises NotHere where there is no such part."""

    change: PartChange


@dataclass(frozen=True, slots=True)
class Asked:
    """A fault asked for. place: "" for everywhere that it may be; amount: in the fault's own unit."""

    fault: Fault
    place: str
    amount: float

    def __post_init__(self) -> None:
        name, fault = self.fault.name, self.fault
        if self.place and self.place not in fault.places:
            rule = (
                f"one of {', '.join(fault.places)}" if fault.places else "left out: it has no side"
            )
            require(False, f"{name}: place", self.place, rule, SceneError)
        if fault.unit:
            ok = isfinite(self.amount) and fault.least <= self.amount <= fault.most
            got = f"{self.amount:g} {fault.unit}"
            require(ok, f"{name}: how much", got, fault.bounds(), SceneError)

    @property
    def label(self) -> str:
        """As it is written on the command line, without the amount."""
        return f"{self.fault.name}@{self.place}" if self.place else self.fault.name
