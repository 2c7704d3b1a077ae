"""A scene file's key and its value as people read them: `cover`, `150 mm` or `5 7/8 in`."""

from __future__ import annotations

from math import radians
from typing import Any, Final

from scenes.units import IMPERIAL
from scenes.units_text import in_units, spoken

ENDINGS: Final = {
    "_mm_h": "mm/h", "_m_s": "m/s", "_mm": "mm", "_deg": "degrees",
}  # fmt: skip
"""Of a key: the unit that it counts."""
PITCH: Final = "pitch_deg"


def bare_key(key: str) -> str:
    """A key without its unit: `cover_mm` -> `cover`."""
    return key.removesuffix(_ending(key))


def unit_of(key: str) -> str:
    """The unit that a key's figure counts, in words; "" for none."""
    return ENDINGS.get(_ending(key), "")


def value_words(key: str, value: Any) -> str:
    """A key's figure with its unit, in the units that are spoken: `150 mm`, `40 degrees`, `10 1/8 in 12`
    for a pitch; other values as they are."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if key.endswith(PITCH) and spoken().is_imperial:
        return IMPERIAL.pitch(radians(value))
    return in_units(counted(f"{value:g}", unit_of(key)), spoken())


def counted(figure: str, unit: str) -> str:
    """A figure with its unit, if it has one: `150 mm`, `2 degrees`, `1 degree`."""
    return f"{figure} {unit.removesuffix('s') if figure == '1' else unit}".rstrip()


def _ending(key: str) -> str:
    return next((ending for ending in ENDINGS if key.endswith(ending)), "")
