"""The gusts as a rose of figures in plain letters: the stack in plan, eaves below, ridge above."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin
from typing import Any, Final

from scenes.units_text import in_units, spoken

WIDE: Final = 34
HIGH: Final = 9
"""Letters and lines from the middle to the figures."""
STACK: Final = ("+---------+", "|  stack  |", "+---------+")


def rose(found: Mapping[str, Any]) -> str:
    """Figures [m/s, or mph where that is spoken] round the stack, each where its wind comes from; the
    lowest between > and <."""
    rows, columns = 2 * HIGH + 3, 2 * WIDE + 9
    page = [[" "] * columns for _ in range(rows)]
    middle_row, middle = HIGH + 1, columns // 2
    for number, line in enumerate(STACK):
        _write(page, middle_row - 1 + number, middle, line)
    for row in found["directions"]:
        angle = radians(row["from_deg"])
        at = middle_row + round(HIGH * cos(angle)), middle + round(WIDE * sin(angle))
        _write(page, *at, _figure(row, found))
    _write(page, 0, middle - 14, "ridge")
    _write(page, rows - 1, middle - 14, "eaves")
    return "\n".join("".join(line).rstrip() for line in page)


def _figure(row: Mapping[str, Any], found: Mapping[str, Any]) -> str:
    gust = row["gust_m_s"]
    if gust is None:
        return f"over {_said(found['up_to_m_s'], 'g')}"
    lowest = found["lowest"]
    least = lowest is not None and f"{gust:.1f}" == f"{lowest['gust_m_s']:.1f}"
    return f"> {_said(gust)} <" if least else _said(gust)


def _said(gust_m_s: float, places: str = ".1f") -> str:
    return in_units(f"{gust_m_s:{places}} m/s", spoken()).split()[0]


def _write(page: list[list[str]], row: int, middle: int, words: str) -> None:
    start = middle - len(words) // 2
    page[row][start : start + len(words)] = words
