"""Sentences with metric figures, said in other units. Metric sentences stay as they are, letter by letter.

A sentence is made once, in millimetres: what a findings file holds and what is printed are the same words.
Angles stay in degrees: only a slope is said as a rise, where the words before it tell that it is one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from math import floor, log10, radians
from typing import Any, Final

from scenes.figures import figure
from scenes.units import (
    FLUID_OUNCE,
    FOOT,
    GALLON,
    HOUR,
    IMPERIAL,
    INCH,
    LITRE,
    METRIC,
    MINUTE,
    POUND,
    Units,
)

NUMBER: Final = r"-?[0-9](?:[0-9,]*[0-9])?(?:\.[0-9]+)?"
JOINED: Final = rf"{NUMBER}(?:(?: to | and | or | of | x | -> | instead of ){NUMBER})*"
NOT_WITHIN: Final = r"(?<![\w.,/-])"
WHOLE: Final = rf"{NUMBER}(?![0-9]|[.,][0-9])"
TAIL: Final = (
    rf" \({WHOLE} is usual\)"
    rf"|(?: long)?(?:, of {WHOLE} then needed,)? instead of (?:over )?{WHOLE}(?: to {WHOLE})?"
    rf"(?:,? of {WHOLE})?"
)
"""Figures after one with a unit that share it: `195 mm long instead of 90, of 150 needed`."""
SMALLEST_IN_SIXTEENTHS: Final = 6.0
"""Shorter lengths [mm] are said in decimals of an inch: a sixteenth would hide them."""
COARSE: Final = 100.0
"""A length [mm] from here on that is only about so long is said to a quarter of an inch."""
ONE_INCH: Final = 26.1
"""Lengths [mm] up to here are said to be an inch or a part of one: a sixteenth more is two of them."""
_SPOKEN: ContextVar[Units] = ContextVar("spoken units", default=METRIC)


def _inches(millimetres: float) -> str:
    """To a sixteenth; what is small in two decimals, or in as many as one figure takes."""
    metres = millimetres / 1000
    if 0 < abs(millimetres) < SMALLEST_IN_SIXTEENTHS:
        inches = float(metres / INCH)
        return f"{inches:.{max(2, -floor(log10(abs(inches))))}f}"
    return IMPERIAL.length(metres).removesuffix(" in")


def _about_inches(millimetres: float) -> str:
    """To a quarter of an inch, where that is no finer than what was said."""
    if abs(millimetres) < COARSE:
        return _inches(millimetres)
    return _inches(float(round(millimetres / 1000 / INCH * 4) * INCH / 4) * 1000)


def _about_ounces(millilitres: float) -> str:
    return f"{millilitres / 1e6 / FLUID_OUNCE:.2g}"


def _ounces(millilitres: float) -> str:
    return figure(millilitres / 1e6 / FLUID_OUNCE)


def _flow(millilitres: float) -> str:
    return IMPERIAL.flow(millilitres / 1e6 / MINUTE).partition(" ")[0]


UNITS: Final[Mapping[str, tuple[str, Callable[[float], str]]]] = {
    "mm/h": ("in/h", lambda value: IMPERIAL.rain(value / 1000 / HOUR).removesuffix(" in/h")),
    "mm": ("in", _inches),
    "m": ("ft", lambda value: f"{value / FOOT:.1f}"),
    "m/s": ("mph", lambda value: IMPERIAL.gust(value).removesuffix(" mph")),
    "l/min per m": ("US gal/min per ft", lambda value: figure(value * LITRE / GALLON * FOOT)),
    "ml/min": ("fl oz/min", _flow),
    "ml a minute": ("fl oz a minute", _flow),
    "ml": ("fl oz", _ounces),
    "litres": ("US gal", lambda value: figure(value * LITRE / GALLON)),
    "kg/m2": ("lb/sq ft", lambda value: f"{value / POUND * FOOT**2:.2f}"),
    "kg": ("lb", lambda value: IMPERIAL.mass(value).removesuffix(" lb")),
    "m2": ("sq ft", lambda value: IMPERIAL.area(value).removesuffix(" sq ft")),
    "cm2": ("sq in", lambda value: figure(value / 1e4 / INCH**2)),
}
"""By the metric unit: the other one, and a number of it in words."""
ABOUT: Final[Mapping[str, Callable[[float], str]]] = {
    "mm": _about_inches,
    "ml a minute": _about_ounces,
}
"""The same for what is only about so much: no finer than it was said."""
NAMES: Final = "|".join(re.escape(name) for name in sorted(UNITS, key=len, reverse=True))
BOTH_SPEEDS: Final = re.compile(rf"{NOT_WITHIN}({NUMBER}) m/s \({NUMBER} km/h\)")
AN_IN: Final = re.compile(r" in\b")
AT_A_PITCH: Final = re.compile(
    rf"(\bmm at|\bpitch(?: of)?) ({NUMBER})((?: -> {NUMBER})?) degrees\b"
)
"""A slope by its words: `150 mm at 40 degrees`, a length that goes by the pitch; `pitch 30 -> 35 degrees`."""
FIGURE: Final = re.compile(
    rf"{NOT_WITHIN}({JOINED}) ({NAMES})(?![\w/])((?:{TAIL})(?! (?:{NAMES})(?![\w/])))?"
)


def in_units(text: str, units: Units, space: str = " ") -> str:
    """A sentence in those units. space: what stands between a number's words and its unit."""
    if not units.is_imperial:
        return text
    text = AT_A_PITCH.sub(_pitched, BOTH_SPEEDS.sub(r"\1 m/s", text))

    def said(found: re.Match[str]) -> str:
        unit, words = UNITS[found[2]]
        if text.endswith("about ", 0, found.start()):
            words = ABOUT.get(found[2], words)
        if unit == "in" and not found[3] and AN_IN.match(text, found.end()):
            # not "13 in in from the edge"; "1/2 inch", "1 inch"
            one = (
                re.fullmatch(NUMBER, found[1]) and 0 < float(found[1].replace(",", "")) <= ONE_INCH
            )
            unit = "inch" if one else "inches"
        numbers, tail = (
            re.sub(NUMBER, lambda one: words(float(one[0].replace(",", ""))), some or "")
            for some in (found[1], found[3])
        )
        return f"{numbers} {unit}".replace(" ", space) + tail

    return FIGURE.sub(said, text)


def _pitched(found: re.Match[str]) -> str:
    """A slope as a rise: `mm at a pitch of 10 1/8 in 12`, `pitch 7 -> 8 3/8 in 12`."""
    before = f"{found[1]} a pitch of" if found[1] == "mm at" else found[1]
    rises = re.sub(NUMBER, lambda one: _rise(one[0]), found[2] + found[3])
    return f"{before} {rises} in 12"


def _rise(degrees: str) -> str:
    return IMPERIAL.pitch(radians(float(degrees))).removesuffix(" in 12")


def in_spoken(told: Any) -> Any:
    """Plain values (mappings, lists, tuples, texts, others as they are) with every text in the units that
    are spoken; keys and data: addresses stay. A text said twice is the same."""
    if isinstance(told, str):
        return told if told.startswith("data:") else in_units(told, spoken())
    if isinstance(told, Mapping):
        return {key: in_spoken(value) for key, value in told.items()}
    if isinstance(told, list):
        return [in_spoken(value) for value in told]
    return tuple(map(in_spoken, told)) if type(told) is tuple else told


def points_unit() -> str:
    """What the figures of `scenes.say_text.place_words` count, in words."""
    return "inches" if spoken().is_imperial else "mm"


@contextmanager
def spoken_in(units: Units) -> Iterator[None]:
    """While it lasts, what is printed is said in those units."""
    token = _SPOKEN.set(units)
    try:
        yield
    finally:
        _SPOKEN.reset(token)


def spoken() -> Units:
    """The units that are spoken now; metric unless told otherwise."""
    return _SPOKEN.get()
