"""The catalogue in words: for anybody, and for one scene."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING

from meshes.errors import SceneError
from scenes.faults.catalogue import CATALOGUE, amount_words
from scenes.faults.fault import Fault
from scenes.say_text import hung
from scenes.units_text import spoken

if TYPE_CHECKING:
    from meshes.parts import Assembly
    from meshes.spec import Detail
    from scenes.scene import Scene

KEPT = 4
"""Assemblies remembered while faults are tried: the right one, and those of the last few measures."""
HEAD = "Faults (name; where, if it has a side; how much, with its bounds)"
TYPED = 'How much is typed in mm, or with its unit: --fault "cover too narrow=3.5in"'
"""Said where the listing is in inches."""


def listed() -> str:
    """Every fault: its name, places, usual amount and bounds, what was done wrong, and how it is told."""
    lines = [line for fault in CATALOGUE for line in _lines(fault)]
    return "\n".join([HEAD, *([TYPED] if spoken().is_imperial else []), *lines])


def listed_for(scene: Scene) -> str:
    """The faults that a scene has room for with the places that have, and why not the others."""
    from meshes.build import build
    from scenes.faults.apply import called

    fits: list[str] = []
    others: list[str] = []
    remembered = lru_cache(maxsize=KEPT)(build)
    for fault in CATALOGUE:
        places, why = places_in(scene, fault, remembered)
        if places:
            fits += hung("-", _entry(fault, places if places != ("",) else ()))
        else:
            others += hung("-", why)
    head = f"{called(scene)}: {scene.title}"
    fits = [TYPED, *fits] if fits and spoken().is_imperial else fits
    blocks = [[head], ["Has room for", *fits], ["Has no room for", *others]]
    return "\n\n".join("\n".join(block) for block in blocks if len(block) > 1 or block == [head])


def places_in(
    scene: Scene, fault: Fault, build: Callable[[Detail], Assembly]
) -> tuple[tuple[str, ...], str]:
    """Where a scene has room for a fault of its usual size, ("",) for one without a side; and the line
    that says why it has none, "" where it has. build: as in `made_wrong`."""
    tried = fault.places or ("",)
    found = tuple(place for place in tried if not _why_not(scene, fault, place, build))
    return found, "" if found else _why_not(scene, fault, "", build)


def _why_not(scene: Scene, fault: Fault, place: str, build: Callable[[Detail], Assembly]) -> str:
    from scenes.faults.apply import made_wrong, with_faults

    try:
        made_wrong(with_faults(scene, [f"{fault.name}@{place}" if place else fault.name]), build)
    except SceneError as error:
        return str(error)
    return ""


def _lines(fault: Fault) -> list[str]:
    told = f"{fault.done_wrong} Found {fault.found}. {fault.look}"
    return hung("-", _entry(fault, fault.places)) + hung("", told)


def _entry(fault: Fault, places: tuple[str, ...]) -> str:
    words = [fault.name]
    if places:
        words.append(", ".join(places))
    if fault.unit:
        words.append(_amount(fault))
    return "; ".join(words)


def _amount(fault: Fault) -> str:
    """How much it is, and its bounds, which are said in inches too where they are spoken."""
    if not spoken().is_imperial:
        return amount_words(fault)
    return f"{fault.usual:g} {fault.unit} ({fault.bounds()})"
