"""What was asked for on the command line: NAME[@WHERE][=HOW MUCH]."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from meshes.errors import SceneError
from scenes.faults.catalogue import CATALOGUE, named
from scenes.faults.fault import Asked, Fault

LONGEST_SHOWN = 60


def asked_for(texts: Sequence[str]) -> tuple[Asked, ...]:
    """The faults asked for, in the order given.

    Raises SceneError with one line for an unknown name, a wrong place, an amount that is no number or
    out of bounds, and for the same fault at the same place twice.
    """
    found: list[Asked] = []
    for text in texts:
        one = parsed(text)
        for other in found:
            same = other.fault is one.fault
            if same and (other.place == one.place or not other.place or not one.place):
                where = f" at {one.place or other.place}" if one.place or other.place else ""
                raise SceneError(f"{one.fault.name}: must be asked for once{where}. Got it twice")
        found.append(one)
    return tuple(found)


def parsed(text: str) -> Asked:
    """One fault from its text. Raises SceneError."""
    if not text.isprintable():
        raise SceneError(f"fault {_shown(text)}: must be NAME[@WHERE][=HOW MUCH] in plain letters")
    head, equals, amount = text.partition("=")
    name, at, place = (" ".join(word.split()) for word in head.partition("@"))
    fault = named(name.lower())
    if fault is None:
        raise SceneError(_unknown(name))
    if at and not place:
        raise SceneError(f"{name}: after @ must stand {_places(fault)}. Got nothing")
    if at and place not in fault.places:
        close = get_close_matches(place, fault.places, n=1)
        guess = f". Did you mean {close[0]}?" if close else ""
        rule = f"must be {_places(fault)}" if fault.places else "must be left out: it has no side"
        raise SceneError(f"{name}: WHERE {rule}. Got {_shown(place)}{guess}")
    return Asked(fault, place, _amount(fault, amount.strip()) if equals else fault.usual)


def _amount(fault: Fault, text: str) -> float:
    if not fault.unit:
        raise SceneError(f"{fault.name}: = must be left out: it has no amount. Got {_shown(text)}")
    number = text.removesuffix(fault.unit).strip()
    try:
        return float(number)
    except ValueError:
        if fault.unit == "mm" and (length := _length(number)) is not None:
            return length
        rule = f"must be a number of {fault.unit}, {fault.bounds()}"
        raise SceneError(f"{fault.name}: HOW MUCH {rule}. Got {_shown(text)}") from None


def _length(text: str) -> float | None:
    """An amount with a unit of length written out [mm]: `3.5in`, `9 cm`; None for anything else."""
    from scenes.measuring import reading
    from scenes.units import METRIC

    try:
        return float(reading.length(text, METRIC) * 1000)
    except SceneError:
        return None


def _unknown(name: str) -> str:
    names = [fault.name for fault in CATALOGUE]
    close = get_close_matches(name.lower(), names, n=1, cutoff=0.5)
    guess = f"Did you mean {close[0]}?" if close else "stackrain faults lists them."
    return f"fault {_shown(name)}: no such fault. {guess}"


def _places(fault: Fault) -> str:
    return ", ".join(fault.places[:-1]) + f" or {fault.places[-1]}" if fault.places else "nothing"


def _shown(text: str) -> str:
    """A text as a message may hold it: in quotes, cut short, odd letters escaped."""
    short = text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}..."
    return repr(short)
