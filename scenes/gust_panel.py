"""The words beside the picture of the gusts: the lowest, what the marks mean, ways in, hours."""

from __future__ import annotations

from string import ascii_lowercase
from typing import Final

from scenes.colours import GHOST_EDGE, INK, QUIET_INK, RULE_LINE, WATER
from scenes.gust_marks import draw_mark
from scenes.gust_sheet import Sheet
from scenes.gust_words import (
    Found,
    beside,
    metres,
    most_tried,
    needs_hardly_any,
    needs_no_wind,
    side_words,
    ways_in,
)
from scenes.label_layout import Box
from scenes.units_text import spoken

HOURS_HEIGHT: Final = 176.0
BARS: Final = 84.0
"""Height [px] of the panel of hours, and of its longest bar."""
LINE: Final = 19.0
MOST_LINES: Final = 3
NARROWEST: Final = 9.0
"""Least size of the figures over the bars [px]."""


def draw_panel(sheet: Sheet, found: Found, box: Box) -> None:
    """Fill the box: the lowest gust at the top, the hours, where a record was read, at the end."""
    y = _lowest(sheet, found, box)
    y = _legend(sheet, found, box, y + 14)
    end = box.bottom - (HOURS_HEIGHT if found["hours"] else 0)
    _ways(sheet, found, Box(box.left, y + 12, box.right, end))
    if found["hours"]:
        _hours(sheet, found, Box(box.left, end + 8, box.right, box.bottom))


def _lowest(sheet: Sheet, found: Found, box: Box) -> float:
    lowest, y = found["lowest"], box.top + 22
    if lowest is None:
        sheet.text(box.left, y, f"over {most_tried(found)}", 38, bold=True)
        lines = [beside(found["up_to_m_s"]), "no gust that was tried gets water in"]
    elif needs_no_wind(lowest):
        sheet.text(box.left, y, "no wind needed", 32, bold=True)
        lines = ["water gets in on a calm day"]
    elif needs_hardly_any(lowest):
        sheet.text(box.left, y, "hardly any wind", 32, bold=True)
        where = f"blown from {side_words(lowest['from'])}"
        lines = ["is needed: rain gets in as soon as it is", where]
    else:
        large = sheet.text(box.left, y, metres(lowest["gust_m_s"]), 38, bold=True)
        if other := beside(lowest["gust_m_s"]):
            sheet.text(large.right + 16, y + 5, f"= {other}", 22)
        where = f"with wind from {side_words(lowest['from'])}"
        lines = ["the lowest gust that gets water in,", where]
    if lowest is not None:
        lines.append(f"EN 12208 step: {lowest['en_12208_pa']:,.0f} Pa")
    y += 36
    for line in lines:
        sheet.text(box.left, y, line, 15)
        y += 21
    return y


def _legend(sheet: Sheet, found: Found, box: Box, y: float) -> float:
    rows = found["directions"]
    known = [row for row in rows if row["gust_m_s"] is not None]
    _heading(sheet, "How to read it", box, y)
    y += 27
    rings = "mph" if spoken().is_imperial else "m/s"
    told = [
        "Shaded: the gusts that it stands.",
        f"Farther out is better. Rings: {rings} at the roof.",
    ]
    for line in told:
        sheet.text(box.left, y, line, 14)
        y += LINE
    y += 7
    entries = []
    if known:
        entries += [("lowest", "", "the lowest gust of all; arrow: the wind")]
        entries += [("gust", "a", "gust that gets water in; letter: way in")]
    if len(known) < len(rows):
        entries += [("stands", "", f"stands every gust up to {most_tried(found)}")]
    for kind, letter, words in entries:
        draw_mark(sheet, (box.left + 17, y), kind, letter)
        sheet.text(box.left + 44, y, words, 14)
        y += 31
    return y


def _ways(sheet: Sheet, found: Found, box: Box) -> None:
    """Each way in by its letter, weakest first; those without room are counted."""
    ways = ways_in(found)
    if not ways:
        return
    _heading(sheet, "Ways in, weakest first", box, box.top)
    y, left = box.top + 27, len(ways)
    for letter, ((way_in, cause), row) in zip(ascii_lowercase, ways.items(), strict=False):
        text = f"{way_in}: {cause}, from {metres(row['gust_m_s'])}"
        lines = sheet.wrapped(text, 14, box.width - 26, most=MOST_LINES)
        spare = LINE if left > 1 else 0.0
        if y + LINE * len(lines) + spare > box.bottom:
            sheet.text(box.left, y, f"and {left} more: see the printed table", 14, QUIET_INK)
            return
        sheet.text(box.left + 7, y, letter, 15, align="center", bold=True)
        for line in lines:
            sheet.text(box.left + 26, y, line, 14)
            y += LINE
        y += 5
        left -= 1


def _hours(sheet: Sheet, found: Found, box: Box) -> None:
    """A bar for each direction: the hours on record in which water would have got in."""
    hours, counts = found["hours"], found["hours"]["by_direction"]
    _heading(sheet, "Hours on record that let water in", box, box.top)
    words = f"{hours['let_in']:,} of {hours['wet']:,} hours with rain, by the wind's side"
    sheet.text(box.left, box.top + 25, words, 14)
    floor, pitch = box.bottom - 24, box.width / len(counts)
    sheet.line([(box.left, floor), (box.right, floor)], GHOST_EDGE, 1.5)
    most = max([*counts, 1])
    size = min(12.0, (pitch - 2) / (0.64 * len(str(most))))
    for number, (row, count) in enumerate(zip(found["directions"], counts, strict=True)):
        middle = box.left + (number + 0.5) * pitch
        if row["from_deg"] % 90 == 0:
            sheet.text(middle, floor + 14, row["from"], 13, align="center")
            sheet.line([(middle, floor), (middle, floor + 5)], INK, 1.5)
        if count == 0:
            continue
        top = floor - BARS * count / most
        left, right = middle - 0.36 * pitch, middle + 0.36 * pitch
        sheet.polygon([(left, floor), (left, top), (right, top), (right, floor)], WATER, INK, 1)
        if size >= NARROWEST or number == counts.index(most):
            sheet.text(middle, top - 8, str(count), max(size, NARROWEST), align="center")


def _heading(sheet: Sheet, words: str, box: Box, y: float) -> None:
    sheet.text(box.left, y, words, 16, bold=True)
    sheet.line([(box.left, y + 13), (box.right, y + 13)], RULE_LINE, 1.5)
