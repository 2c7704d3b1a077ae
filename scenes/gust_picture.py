"""The gust that a detail stands, by where the wind comes from, as a picture seen from above."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil, cos, degrees, log10, radians, sin
from pathlib import Path
from typing import Final

from meshes.parts import Role
from scenes.colours import (
    BEHIND,
    GHOST_EDGE,
    PAPER,
    QUIET_INK,
    ROLE_TINTS,
    RULE_LINE,
    SHEET_EDGE,
    WATER,
)
from scenes.gust_marks import MARK, draw_mark
from scenes.gust_panel import draw_panel
from scenes.gust_sheet import Sheet, plain_settings
from scenes.gust_words import (
    Found,
    beside,
    covering_sentence,
    is_lowest,
    letters,
    metres,
    most_tried,
    verdict,
)
from scenes.label_layout import Box
from scenes.units import MILE_AN_HOUR
from scenes.units_text import spoken

SIZE: Final = (1200, 1000)
MIDDLE: Final = (410.0, 490.0)
STACK: Final = 36.0
CALM: Final = 62.0
"""Radius [px] at which a gust of 0 stands: outside the stack's corners."""
LAST_RING: Final = 226.0
RIM: Final = 257.0
FIGURES: Final = 322.0
"""Radii [px] of the greatest ring, of the marks that no gust tried gets past, and of the figures."""
RINGS: Final = 4
STEPS: Final = (1, 2, 2.5, 5, 10)
STANDS: Final = (226, 240, 233)
SUBTITLE: Final = (
    "The gust at the roof that it takes to drive water behind the flashings, by the wind's side"
)
SMALL_PRINT: Final = (
    "A model, no test certificate. EN 12208: a step of its pressure ladder, not a class tested."
)


def draw_gusts(found: Found, path: str | Path) -> list[tuple[str, Box]]:
    """Write a PNG, 1200 by 1000 pixels, of the gust for each wind direction round the stack in plan.

    The eaves are at the bottom, the ridge at the top, as one stands before the roof looking up.
    found: what the gust command found, as plain values, from_deg 0 the eaves and 90 the right.
    Same findings, same bytes on one machine. Returns all words drawn and their boxes [px]. Raises
    SceneError when the file can't be written.
    """
    with plain_settings():
        sheet = Sheet(*SIZE)
        (title,) = sheet.wrapped(found["title"], 25, 1120, most=1, bold=True)
        sheet.text(40, 42, title, 25, bold=True)
        sheet.text(40, 78, f"{SUBTITLE} ({found['rain_mm_h']:g} mm/h of rain)", 15.5, QUIET_INK)
        scale = _scale(found)
        _draw_ground(sheet)
        _draw_gusts(sheet, found, scale)
        _draw_rings(sheet, found, scale)
        draw_panel(sheet, found, Box(820, 120, 1170, 890))
        _draw_caption(sheet, found)
        sheet.save(path)
    return sheet.words


def _scale(found: Found) -> tuple[float, int]:
    """Step between rings [m/s], round in the units that are spoken, and their number: the last ring is at
    or beyond the greatest gust."""
    gusts = [row["gust_m_s"] for row in found["directions"] if row["gust_m_s"] is not None]
    greatest = max([*gusts, 1.0]) if gusts else found["up_to_m_s"]
    one = float(MILE_AN_HOUR) if spoken().is_imperial else 1.0
    rough = greatest / RINGS / one
    power = 10.0 ** (ceil(log10(rough)) - 1)
    step = one * next(step * power for step in STEPS if step * power >= rough * (1 - 1e-9))
    return step, ceil(greatest / step - 1e-9)


def _radius(gust: float | None, scale: tuple[float, int]) -> float:
    """Where a gust stands, from the middle [px]; None: none that was tried gets water in."""
    step, rings = scale
    return RIM if gust is None else CALM + (LAST_RING - CALM) * gust / (step * rings)


def _at(from_deg: float, radius: float) -> tuple[float, float]:
    """The place on the sheet [px]: eaves at the bottom, the right on the right."""
    angle = radians(from_deg)
    return MIDDLE[0] + radius * sin(angle), MIDDLE[1] + radius * cos(angle)


def _draw_ground(sheet: Sheet) -> None:
    """The stack and its flue in plan, and what lies on each side of it."""
    x, y = MIDDLE
    ends = ((-STACK, -STACK), (STACK, -STACK), (STACK, STACK), (-STACK, STACK))
    sheet.polygon([(x + a, y + b) for a, b in ends], ROLE_TINTS[Role.STACK], SHEET_EDGE, 2, layer=3)
    sheet.circle(x, y - 8, 14, PAPER, SHEET_EDGE, 1.5, layer=3)
    sheet.text(x, y + 21, "stack", 14, align="center")
    for edge, word in ((118.0, "ridge"), (862.0, "eaves: you stand here and look up the slope")):
        across = sheet.measure(word, 16, bold=True) / 2 + 12
        for side in (-1, 1):
            sheet.line([(x + side * across, edge), (x + side * 360, edge)], SHEET_EDGE, 3)
        sheet.text(x, edge, word, 16, align="center", bold=True)
    sheet.text(22, y, "wind from the left", 16, align="center", bold=True, turned=90)
    sheet.text(797, y, "wind from the right", 16, align="center", bold=True, turned=270)


def _draw_gusts(sheet: Sheet, found: Found, scale: tuple[float, int]) -> None:
    """The closed line, a mark for each direction, and its figures round the rim."""
    rows = found["directions"]
    spots = [_at(row["from_deg"], _radius(row["gust_m_s"], scale)) for row in rows]
    sheet.polygon(spots, STANDS, layer=0.5)
    ring = [*zip(rows, spots, strict=True), (rows[0], spots[0])]
    for (row, spot), (other, beyond) in pairwise(ring):
        known = row["gust_m_s"] is not None and other["gust_m_s"] is not None
        sheet.line([spot, beyond], WATER, 3 if known else 1.5, dashed=not known, layer=2.5)
    for row, spot, letter in zip(rows, spots, letters(found), strict=True):
        lowest = is_lowest(found, row)
        sheet.line([spot, _at(row["from_deg"], FIGURES - 30)], RULE_LINE, 1, layer=0.8)
        if lowest:
            _draw_wind(sheet, row["from_deg"], _radius(row["gust_m_s"], scale))
        if row["gust_m_s"] is None:
            draw_mark(sheet, spot, "stands")
        else:
            draw_mark(sheet, spot, "lowest" if lowest else "gust", letter)
        _draw_figures(sheet, found, row, lowest=lowest)


def _draw_wind(sheet: Sheet, from_deg: float, radius: float) -> None:
    """An arrow that blows from the figures to the mark of the lowest gust."""
    tip, neck, tail = radius + 17, radius + 33, FIGURES - 34
    if tail <= neck:
        return
    sheet.line([_at(from_deg, tail), _at(from_deg, neck)], BEHIND, 4, layer=2)
    spread = degrees(8 / neck)
    head = [_at(from_deg - spread, neck), _at(from_deg, tip), _at(from_deg + spread, neck)]
    sheet.polygon(head, BEHIND, layer=2)


def _draw_figures(sheet: Sheet, found: Found, row: Found, *, lowest: bool) -> None:
    x, y = _at(row["from_deg"], FIGURES)
    if row["gust_m_s"] is None:
        sheet.text(x, y - 9, f"over {most_tried(found)}", 14, QUIET_INK, align="center")
        sheet.text(x, y + 9, beside(found["up_to_m_s"]), 13, QUIET_INK, align="center")
        return
    if lowest:
        frame = [(x + a * 50, y + b * 32) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        sheet.polygon(frame, PAPER, BEHIND, 2.5, layer=3)
        sheet.text(x, y - 20, "LOWEST", 13, BEHIND, align="center", bold=True)
    down = 9 if lowest else 0
    size = 16 if lowest else 15
    sheet.text(x, y - 10 + down, metres(row["gust_m_s"]), size, align="center", bold=True)
    sheet.text(x, y + 9 + down, beside(row["gust_m_s"]), 13, QUIET_INK, align="center")


def _draw_rings(sheet: Sheet, found: Found, scale: tuple[float, int]) -> None:
    """Rings of equal gust; their figures stand between two directions, where no mark is."""
    step, rings = scale
    marks = [Box.around(*spot, 2 * MARK + 10, 2 * MARK + 10) for spot in _marks(found, scale)]
    gusts = [number * step for number in range(rings + 1)]
    for gust in gusts:
        sheet.circle(*MIDDLE, _radius(gust, scale), None, GHOST_EDGE, 1, layer=0.7)
    if any(row["gust_m_s"] is None for row in found["directions"]):
        sheet.circle(*MIDDLE, RIM, None, GHOST_EDGE, 2, dashed=True, layer=0.7)
    half = 180.0 / len(found["directions"])
    for gust in gusts:
        speed = f"{gust / MILE_AN_HOUR:.4g} mph" if spoken().is_imperial else f"{gust:g} m/s"
        words = speed if gust == gusts[-1] else speed.partition(" ")[0]
        width = sheet.measure(words, 13) + 6
        for row in found["directions"]:
            x, y = _at(row["from_deg"] + half, _radius(gust, scale))
            if not any(Box.around(x, y, width, 18).overlaps(mark) for mark in marks):
                sheet.text(x, y, words, 13, QUIET_INK, align="center", halo=True)
                break


def _marks(found: Found, scale: tuple[float, int]) -> Iterator[tuple[float, float]]:
    for row in found["directions"]:
        yield _at(row["from_deg"], _radius(row["gust_m_s"], scale))


def _draw_caption(sheet: Sheet, found: Found) -> None:
    sheet.line([(40, 892), (1160, 892)], RULE_LINE, 1.5)
    for number, line in enumerate(sheet.wrapped(verdict(found), 16.5, 1120, most=2)):
        sheet.text(40, 914 + 23 * number, line, 16.5)
    for number, line in enumerate(sheet.wrapped(covering_sentence(found), 13.5, 1120, most=1)):
        sheet.text(40, 959 + number, line, 13.5)
    sheet.text(40, 982, SMALL_PRINT, 13, QUIET_INK)
