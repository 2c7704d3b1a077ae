"""What somebody typed, as a pitch, a length or a choice. Pure: text in, value or complaint out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from difflib import get_close_matches
from fractions import Fraction
from math import atan, degrees
from typing import Final

from meshes.errors import SceneError
from scenes.units import FOOT, INCH, MILLIMETRE, Units

MOST_LETTERS: Final = 60
"""Of an answer. Longer than that is no measurement."""
NUMBER: Final = r"[0-9]+[ -]+[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]*[.,]?[0-9]+|[0-9]+[.,]"
LENGTH_UNITS: Final[Mapping[str, Fraction]] = {
    "mm": MILLIMETRE, "cm": 10 * MILLIMETRE, "m": 1000 * MILLIMETRE,
    "in": INCH, "inch": INCH, "inches": INCH, '"': INCH, "''": INCH, "\u2033": INCH, "\u201d": INCH,
    "ft": FOOT, "foot": FOOT, "feet": FOOT, "'": FOOT, "\u2032": FOOT, "\u2019": FOOT,
}  # fmt: skip
"""What one of each is [m]."""
UNIT: Final = "|".join(re.escape(unit) for unit in sorted(LENGTH_UNITS, key=len, reverse=True))
ONE_LENGTH: Final = re.compile(rf"({NUMBER})\s*({UNIT})?\s*", re.IGNORECASE)
SEVERAL: Final = re.compile(r"^(.*?)\s+for\s+([0-9]+)$", re.IGNORECASE)
DEGREES: Final = re.compile(rf"^({NUMBER})\s*(?:degrees?|deg|\u00b0)?$", re.IGNORECASE)
IN_RUN: Final = re.compile(rf"^({NUMBER})\s*(?:in|:|over)\s*({NUMBER})$", re.IGNORECASE)
RISE_RUN: Final = re.compile(r"^rise\s+(.+?)[,;]?\s+run\s+(.+)$", re.IGNORECASE)
THOUSANDS: Final = re.compile(r"^[0-9]+,[0-9]{3}$")


def length(text: str, units: Units) -> Fraction:
    """A length [m], exact: `590`, `59 cm`, `0.59 m`, `23 1/4 in`, `23.25"`, `1 ft 11 1/4 in`.

    A bare number is in `units`. `300 for 4` is a quarter of 300, for what is measured over several.
    Raises SceneError with one line.
    """
    said = _short(text)
    several = SEVERAL.match(said)
    body, parts = (several[1], int(several[2])) if several else (said, 1)
    if parts == 0:
        raise SceneError(f"{_quoted(said)}: can't be shared by 0")
    total, at, before = Fraction(0), 0, None
    while at < len(body):
        found = ONE_LENGTH.match(body, at)
        unit = found and (LENGTH_UNITS[found[2].lower()] if found[2] else None)
        if found is None or (before is not None and (before != FOOT or unit not in (INCH, None))):
            raise SceneError(f"{_quoted(said)}: {_length_rule(units)}")
        counts = unit or (INCH if before == FOOT else units.small)
        total += _number(found[1]) * counts
        before, at = counts, found.end()
    if before is None:
        raise SceneError(f"{_quoted(said)}: {_length_rule(units)}")
    return total / parts


def pitch(text: str, units: Units) -> float:
    """A pitch [degrees]: `35`, `35.5 degrees`, `7 in 12`, `7/12`, `rise 300 run 420`.

    Raises SceneError with one line.
    """
    said = _short(text)
    rule = "is no pitch that is known here: write 35, 7 in 12, or rise 300 run 420"
    if parts := RISE_RUN.match(said):
        rise, run = length(parts[1], units), length(parts[2], units)
    elif parts := IN_RUN.match(said) or re.match(r"^([0-9]+)/([0-9]+)$", said):
        rise, run = _number(parts[1]), _number(parts[2])
    elif parts := DEGREES.match(said):
        return float(_number(parts[1]))
    else:
        raise SceneError(f"{_quoted(said)}: {rule}")
    if run == 0:
        raise SceneError(f"{_quoted(said)}: the run must be more than 0")
    return degrees(atan(rise / run))


def choice(text: str, names: tuple[str, ...]) -> str:
    """One of the names, by its number from 1, the name itself, or enough of its beginning.

    Raises SceneError with one line.
    """
    said = _short(text).lower()
    if said.isascii() and said.isdigit() and 1 <= int(said) <= len(names):
        return names[int(said) - 1]
    if said in names:
        return said
    begun = [name for name in names if said and name.startswith(said)]
    if len(begun) == 1:
        return begun[0]
    close = get_close_matches(said, names, n=1)
    guess = f" Did you mean {close[0]}?" if close else ""
    raise SceneError(f"{_quoted(said)}: must be one of {', '.join(names)}, or its number.{guess}")


def _short(text: str) -> str:
    said = " ".join(text.split())
    if len(said) > MOST_LETTERS:
        raise SceneError(f"must be at most {MOST_LETTERS} letters. Got {len(said)}")
    return said


def _number(text: str) -> Fraction:
    """A number as it is written: a decimal, a fraction, or a whole and a fraction."""
    if THOUSANDS.match(text):
        whole, rest = text.split(",")
        raise SceneError(
            f"{_quoted(text)}: is it {whole}{rest} or {whole}.{rest}? Write it without a comma"
        )
    total = Fraction(0)
    for part in re.split(r"[ -]+", text):
        over, slash, under = part.partition("/")
        if slash and int(under) == 0:
            raise SceneError(f"{_quoted(text)}: can't be shared by 0")
        total += Fraction(over.replace(",", ".").rstrip(".")) / (int(under) if slash else 1)
    return total


def _length_rule(units: Units) -> str:
    if units.is_imperial:
        return "is no length that is known here: write 23 1/4, 23.25 in, 590 mm or 59 cm"
    return "is no length that is known here: write 590, 59 cm, 0.59 m or 23 1/4 in"


def _quoted(text: str) -> str:
    clean = "".join(letter if letter.isprintable() else "?" for letter in text)
    return f'"{clean}"'
