"""A comparison in plain words, from what compare.json holds and nothing else."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from scenes.compare_words import (
    SIDES,
    difference,
    headline,
    key_words,
    labels,
    lap_figures,
    lap_name,
    part_words,
    titles,
)
from scenes.say import FATES
from scenes.say_text import count, figure, hung, place_words, share_words, wrapped
from scenes.say_weather import weather_words
from scenes.units_text import in_units, points_unit, spoken

Found = Mapping[str, Any]
MOST_ROWS = 12
"""Rows under one heading; the rest is counted, and stands in compare.json."""


def comparison(found: Found) -> str:
    """Titles, weather, what differs and what it does, fates of both, drops that changed their fate,
    leaks, laps, parts, measures and cautions, as text without colour."""
    first, second = titles(found)
    title = f"{first} / {second}" if first != second else first
    blocks = [
        [title, "=" * len(title)],
        wrapped(headline(found)),
        wrapped(f"Weather: {weather_words(found['weather'])}."),
        *(wrapped(note) for note in found["notes"]),
        _titles(found),
        _fates(found),
        _changed(found),
        _leaks(found["leaks"]),
        _listed("Laps that differ (first; second)", found["laps"], _lap),
        _listed("Parts that differ", found["parts"], part_words),
        _listed("Measures that differ", _keys_beside_the_headline(found), key_words),
        _listed("Cautions", found["cautions"], str),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _titles(found: Found) -> list[str]:
    rows = zip(SIDES, labels(found), titles(found), strict=True)
    return [
        line
        for side, name, title in rows
        for line in wrapped(f"{side.capitalize()}{_called(side, name)}: {title}")
    ]


def _called(side: str, name: str) -> str:
    return "" if name.lower() == side else f" ({name.lower()})"


def _keys_beside_the_headline(found: Found) -> Sequence[Found]:
    """Changed keys, unless the headline tells them all."""
    told = not found["faults"] and len(found["keys"]) <= len(difference(found)) <= 1
    return [] if told else found["keys"]


def _fates(found: Found) -> list[str]:
    rows = [{row["fate"]: row for row in found[side]["water"]} for side in SIDES]
    unit = _flow(0.0)[1]
    lines = [
        f"Where the water goes ({count(found['drops'], 'drop')}; share ± standard error, {unit})",
        f"  {'':<44}{'first':>26}{'second':>26}",
    ]
    for fate, words in FATES.items():
        cells = [
            f"{share_words(row['share'], row['share_se'])}{_flow(row['flow_ml_min'])[0]:>8}"
            for row in (side[fate] for side in rows)
        ]
        if fate != "unresolved" or any(side[fate]["share"] for side in rows):
            lines.append(f"  {words:<44}{cells[0]:>26}{cells[1]:>26}")
    return lines


def _flow(ml_min: float) -> tuple[str, str]:
    """A flow's figure and its unit, in the units that are spoken."""
    number, unit = in_units(f"{figure(ml_min)} ml/min", spoken()).split(maxsplit=1)
    return number, unit


def _changed(found: Found) -> list[str]:
    changed = found["changed"]
    if changed["drops"] == 0:
        return []
    lines = [
        f"Drops that end otherwise: {changed['drops']:,} of {found['drops']:,}, by their numbers"
    ]
    for row in found["fates"]:
        if row["from"] != row["to"]:
            lines.append(f"  {row['drops']:>9,}  from {row['from']:<11} to {row['to']}")
    return lines


def _leaks(leaks: Sequence[Found]) -> list[str]:
    if not leaks:
        return []
    lines = [
        f"Leaks (numbered as in the picture; points: to the right, up-slope and up, in {points_unit()})"
    ]
    for row in leaks[:MOST_ROWS]:
        leak = row["second"] or row["first"]
        flows = " / ".join(
            figure(row[side]["flow_ml_min"]) if row[side] else "none" for side in SIDES
        )
        spot = place_words(leak["point_mm"])
        words = f"{row['state']}: {leak['way_in']}, at {spot}: {flows} ml/min."
        lines += hung(f"{row['number']}", words)
        lines += hung("", leak["why"])
    return lines + _rest(len(leaks))


def _lap(row: Found) -> str:
    return f"{lap_name(row)}: {lap_figures(row, 'first')}; {lap_figures(row, 'second')}"


def _listed(head: str, rows: Sequence[Any], words: Callable[[Any], str]) -> list[str]:
    told = [line for row in rows[:MOST_ROWS] for line in hung("-", words(row))]
    return [head, *told, *_rest(len(rows))] if rows else []


def _rest(rows: int) -> list[str]:
    return [f"   and {rows - MOST_ROWS} more: see compare.json"] if rows > MOST_ROWS else []
