"""The panel of one parameter alone: a curve over a measure, a bar for each of several names."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from scenes.colours import BEHIND, GHOST_EDGE, INK, QUIET_INK, RULE_LINE, WATER
from scenes.gust_sheet import Sheet
from scenes.label_layout import Box
from scenes.sweep.axis import Axis, round_steps
from scenes.sweep.case import DONE
from scenes.sweep.map_points import draw_mark
from scenes.sweep.map_scale import Scale
from scenes.sweep.shown import Point
from scenes.sweep.value_words import words_of

ROW: Final = 26.0
"""Most height of a bar's row [px]."""
NAMES: Final = 0.36
"""Share of the panel's width for the names of bars."""


def draw_curve(
    sheet: Sheet, points: Sequence[Point], across: Axis, bottom: float, top: float, scale: Scale
) -> None:
    """The figures over one parameter, from nought; where it begins to leak, and over which part it does."""
    shown = scale.shown
    high = max(scale.high, shown.limit if shown.measure == "first-leak-gust" else 0.0) or 1.0

    def height(figure: float | None) -> float:
        return bottom + (top - bottom) * (1.0 if figure is None else 0.94 * figure / high)

    factor = shown.told[0]
    for told in round_steps(0.0, high * factor):
        y = height(told / factor)
        sheet.line([(across.begin, y), (across.end, y)], RULE_LINE, 1, layer=0.6)
        sheet.text(across.begin - 8, y, f"{told:.9g}", 13, align="right")
    done = [point for point in points if point.status == DONE]
    if across.one.is_counted:
        done.sort(key=lambda point: point.values[0])
    spots = [(across.at(point.values[0]), height(point.figure)) for point in done]
    if shown.measure == "first-leak-gust":
        y = height(shown.limit)
        sheet.line([(across.begin, y), (across.end, y)], BEHIND, 2.5, dashed=True, layer=2)
        words = f"{shown.limit:g} m/s, {shown.limit_words}"
        sheet.text(across.end - 6, y - 12, words, 13, align="right", halo=True)
    if across.one.is_counted:
        for (one, spot), (other, beyond) in pairwise(zip(done, spots, strict=True)):
            sheet.line([spot, beyond], WATER, 2.5, layer=2)
            middle = (spot[0] + beyond[0]) / 2
            if one.wet is not other.wet:
                sheet.line([(middle, bottom), (middle, top)], BEHIND, 3, layer=2.2)
            for wet, a, b in ((one.wet, spot[0], middle), (other.wet, middle, beyond[0])):
                if wet:
                    _shade(sheet, a, b, bottom, top)
    for spot, point in zip(spots, done, strict=True):
        draw_mark(sheet, spot, point, scale)
    for point in points:
        if point.status != DONE:
            draw_mark(sheet, (across.at(point.values[0]), bottom - 12), point, scale)


def _shade(sheet: Sheet, left: float, right: float, bottom: float, top: float) -> None:
    """Upright lines over a part that leaks."""
    count = max(1, round((right - left) / 9))
    for k in range(count):
        x = left + (right - left) * (k + 0.5) / count
        sheet.line([(x, bottom), (x, top)], RULE_LINE, 1.5, layer=0.7)


def draw_bars(sheet: Sheet, points: Sequence[Point], box: Box, scale: Scale) -> None:
    """A row for each name, in the order in which they were asked for; those without room are counted."""
    one, shown = scale.shown.varied[0], scale.shown
    row = max(min(ROW, box.height / max(1, len(points))), ROW / 2)
    begin = box.left + NAMES * box.width
    full = box.right - 70 - begin
    room = int(box.height / row)
    some = points if len(points) <= room else points[: room - 1]
    if left := len(points) - len(some):
        sheet.text(
            begin + 6, box.bottom - row / 2, f"and {left} more: see the table", 13, QUIET_INK
        )
    for number, point in enumerate(some):
        y = box.top + (number + 0.5) * row
        (name,) = sheet.wrapped(
            words_of(one, point.values[0]), min(14, row - 1), NAMES * box.width - 30, most=1
        )
        sheet.text(begin - 26, y, name, min(14, row - 1), align="right", bold=bool(point.wet))
        draw_mark(sheet, (begin - 12, y), point, scale, min(6.0, row / 3))
        if point.status != DONE:
            continue
        share = 1.0 if point.figure is None else point.figure / (scale.high or 1.0)
        end, half = begin + full * share, row * 0.32
        corners = [(begin, y - half), (end, y - half), (end, y + half), (begin, y + half)]
        sheet.polygon(corners, scale.colour(point), INK if share else None, 1)
        sheet.text(end + 6, y, shown.figure_words(point.figure), min(13, row - 1))
    sheet.line([(begin, box.top), (begin, box.bottom)], GHOST_EDGE, 1.5)
