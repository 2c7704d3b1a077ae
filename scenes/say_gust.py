"""The gust that a detail stands, in plain words, from what `stackrain gust` found and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_lowercase
from typing import Final

from scenes.gust_words import (
    Found,
    covering_is_lower,
    covering_sentence,
    kilometres,
    letters,
    metres,
    most_tried,
    verdict_with_step,
    ways_in,
)
from scenes.say_text import hung, place_words, wrapped
from scenes.units_text import in_units, points_unit, spoken

WHAT_IT_IS: Final = (
    "The lowest gust, at the roof, at which water that stands at every open edge gets behind the "
    "flashings. A model, no test certificate: the EN 12208 step is a way to read the pressure, not "
    "a class that was tested."
)
SETTINGS: Final = ("low", "usual", "high")
NAMED_HOURS: Final = 3
"""Columns of hours printed side by side."""


def gust_answer(found: Found) -> str:
    """Title, verdict, table of directions, ways in, laps, inputs, hours and cautions.

    found: what the gust command found, as plain values; speeds [m/s], pressures [Pa], places [mm].
    Lines are at most 100 characters long.
    """
    blocks = [
        [found["title"], "=" * len(found["title"])],
        wrapped(verdict_with_step(found)),
        wrapped(WHAT_IT_IS),
        _directions(found),
        _ways(found),
        _laps(found),
        _notes(found),
        _inputs(found),
        _hours(found),
        ["Cautions", *(line for text in found["cautions"] for line in hung("-", text))],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _directions(found: Found) -> list[str]:
    covering = any(covering_is_lower(row) for row in found["directions"])
    inches = spoken().is_imperial  # mph need no second unit beside them
    titles = ["Wind from", "gust", "", "pressure", "EN 12208", "way", "measured lap"]
    rows = [titles + ["covering"] * covering]
    for row, letter in zip(found["directions"], letters(found), strict=True):
        gust, lap = row["gust_m_s"], row["lap"]
        if gust is None:
            cells = [f"over {most_tried(found)}", "" if inches else "-", "-", "-", "-"]
        else:
            pressure = f"{row['pressure_pa']:,.0f} Pa"
            step = f"{row['en_12208_pa']:,.0f} Pa"
            other = "" if inches else kilometres(gust)
            cells = [metres(gust), other, pressure, step, letter or "-"]
        known = lap and lap["gust_m_s"] is not None
        measured = f"lap {lap['id']}{_past(lap)}: {metres(lap['gust_m_s'])}" if known else "-"
        measured += " *" if _remark(row) else ""
        own = metres(row["covering_gust_m_s"]) if covering_is_lower(row) else "-"
        rows.append([row["from"], *cells, measured] + [own] * covering)
    head = (
        f"Lowest gust that gets water in, by where the wind comes from, looking up the slope "
        f"({found['rain_mm_h']:g} mm/h of rain)"
    )
    return [*wrapped(head), *_columns(rows)]


def _ways(found: Found) -> list[str]:
    ways = ways_in(found)
    if not ways:
        return []
    unit = points_unit()
    lines = [f"Ways in (points: to the right, up-slope and up, in {unit})"]
    for letter, ((way_in, cause), row) in zip(ascii_lowercase, ways.items(), strict=False):
        spot = place_words(row["path"]["point_mm"])
        text = f"{way_in}: {cause}. In at {spot}, from {metres(row['gust_m_s'])}."
        lines += hung(letter, text)
    return lines


def _laps(found: Found) -> list[str]:
    laps = {row["lap"]["id"]: row["lap"] for row in found["directions"] if row["lap"]}
    if not laps:
        return []
    head = "Laps measured (each gust is worked out from the lap's length, rise and width alone"
    if any(_past(row["lap"]) for row in found["directions"] if row["lap"]):
        head += '; "past": water comes in from under another sheet, so far past its open edge'
    lines = wrapped(f"{head})")
    for number, lap in sorted(laps.items()):
        lines += hung(str(number), f"{lap['upper']} over {lap['lower']}, {lap['where']}")
    return lines


def _past(lap: Found) -> str:
    """How far past the lap's open edge water comes in, where that isn't over the edge itself."""
    return f" past {lap['inside_mm']:.0f} mm" if lap["inside_mm"] > 0 else ""


def _notes(found: Found) -> list[str]:
    """What the reader of the table should know: once for each remark, with its directions."""
    sides: dict[str, list[str]] = {}
    for row in found["directions"]:
        if remark := _remark(row):
            sides.setdefault(remark, []).append(row["from"])
    notes = [f"* {'; '.join(names)}: {remark}" for remark, names in sides.items()]
    notes += [text] if (text := covering_sentence(found)) else []
    return [line for note in notes for line in wrapped(note, subsequent_indent="  ")]


def _remark(row: Found) -> str:
    usual = "the measured lap and the followed path differ." if row["agrees"] is False else ""
    return row["remark"] or usual


def _inputs(found: Found) -> list[str]:
    if not found["inputs"]:
        return []
    limit = found["up_to_m_s"]
    rows, names = [["", "at its lowest", "usual", "at its highest", "moves it by"]], []
    for row in sorted(found["inputs"], key=lambda row: -_spread(row, limit)):
        cells = [_setting(row, key, limit) for key in SETTINGS]
        at_least = "over " if any(row[f"gust_{key}_m_s"] is None for key in SETTINGS) else ""
        rows.append(["", *cells, f"{at_least}{metres(_spread(row, limit))}"])
        names.append(wrapped(f"  {row['input']} (range: {row['source']})", subsequent_indent="  "))
    titles, *lines = _columns(rows)
    head = "What moves the lowest gust most (one input at a time, the others at their usual value)"
    told = zip(names, lines, strict=True)
    return [head, titles, *(line for name, figures in told for line in (*name, figures))]


def _spread(row: Found, limit: float) -> float:
    """How far an input moves the gust [m/s], at least: no gust counts as the greatest tried."""
    gusts = [row[f"gust_{key}_m_s"] for key in SETTINGS]
    known = [limit if gust is None else float(gust) for gust in gusts]
    return max(known) - min(known)


def _setting(row: Found, key: str, limit: float) -> str:
    gust = row[f"gust_{key}_m_s"]
    value = f"{row[key]:g} {row['unit']}".strip()
    return f"{value}: {f'over {limit:g} m/s' if gust is None else metres(gust)}"


def _hours(found: Found) -> list[str]:
    hours = found["hours"]
    if not hours:
        return []
    wet, let_in = hours["wet"], hours["let_in"]
    lines = wrapped(
        f"Weather on record in {hours['file']}: of {wet:,} hours with rain, {let_in:,} would have "
        "let water in."
    )
    named = [
        (row["from"], count)
        for row, count in zip(found["directions"], hours["by_direction"], strict=True)
        if count
    ]
    still = let_in - sum(count for _, count in named)
    named += [("no wind at all", still)] if still > 0 else []
    cells = [f"{name:<21}{count:>5,} {'hour ' if count == 1 else 'hours'}" for name, count in named]
    for start in range(0, len(cells), NAMED_HOURS):
        lines.append(("  " + " ".join(cells[start : start + NAMED_HOURS])).rstrip())
    return lines + [line for text in hours["remarks"] for line in hung("-", text)]


def _columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows as lines, in the units that are spoken: the first column to the left, all others to the right."""
    rows = [[in_units(cell, spoken()) for cell in row] for row in rows]
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = []
    for first, *rest in rows:
        cells = [f"  {cell:>{width}}" for cell, width in zip(rest, widths[1:], strict=True)]
        lines.append(f"  {first:<{widths[0]}}" + "".join(cells))
    return [line.rstrip() for line in lines]
