"""A fault: one thing done wrong, as a small change to what is there. No result depends on its name.

Light imports only: the command line names faults before anything heavy is loaded.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite, radians
from typing import TYPE_CHECKING, Literal, get_args

from meshes.errors import SceneError, require
from meshes.spec import Detail

if TYPE_CHECKING:
    from meshes.parts import Assembly

Unit = Literal["", "mm", "degrees"]
Found = Literal["often", "sometimes", "seldom"]
SIDES = ("left", "right")
ALL_ROUND = ("front", "left", "right", "back")
FRONT_CORNERS = ("front left", "front right")
CORNERS = (*FRONT_CORNERS, "back left", "back right")
PLACES = (*ALL_ROUND, *CORNERS)
LONGEST_LOOK = 160

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
    after the scene's name. found: how often a roofer finds it on old stacks: nobody has counted, it is
    common practice, no source. look: one sentence, at most 160 letters, that holds at every place: what
    on the roof tells it from other faults that let water in there. Raises SceneError for a fault that
    can't be asked for.
    """

    name: str
    done_wrong: str
    found: Found
    look: str
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
        often = get_args(Found)
        known = self.found in often
        require(known, f"how often {self.name} is found", self.found, ", ".join(often), SceneError)
        told = self.look == self.look.strip() and self.look[-1:] == "." and len(self.look) > 1
        rule = f"a sentence with a full stop, at most {LONGEST_LOOK} letters"
        told = told and self.look.isprintable() and len(self.look) <= LONGEST_LOOK
        require(told, f"what to look at for {self.name}", self.look, rule, SceneError)
        measured = bool(self.unit) == ("{}" in self.bad)
        require(measured, f"figure of {self.name}", self.bad, "one where it has a unit", SceneError)
        sound = 0 < self.least <= self.usual <= self.most if self.unit else self.usual == 0
        require(sound, f"amount of {self.name}", self.usual, "within its bounds", SceneError)

    def __reduce__(self) -> tuple[Callable[[str], Fault], tuple[str]]:
        """To another process it goes by its name: what it changes is code, which is there already."""
        return _of_the_catalogue, (self.name,)

    def how_bad(self, amount: float) -> str:
        """A figure in words; amount: in the fault's own unit."""
        said = self.bad.format(f"{amount:g}")
        return said.replace("1 degrees", "1 degree") if amount == 1 else said

    def in_si(self, amount: float) -> float:
        """An amount in metres or radians."""
        return amount / 1000 if self.unit == "mm" else radians(amount)

    def bounds(self) -> str:
        """How much it may be: "10 to 90 mm", "" for one without an amount."""
        return f"{self.least:g} to {self.most:g} {self.unit}" if self.unit else ""


def _of_the_catalogue(name: str) -> Fault:
    from scenes.faults.catalogue import named  # which is made of faults

    fault = named(name)
    require(fault is not None, "fault", name, "one of the catalogue", SceneError)
    assert fault is not None
    return fault


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
