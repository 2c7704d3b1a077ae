"""A panel of a grid: a cell for each case, the border where it begins to leak, hatching where it does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Final

from scenes.colours import BEHIND, GHOST_EDGE, INK, PAPER, QUIET_INK
from scenes.gust_sheet import Sheet
from scenes.sweep.axis import Axis
from scenes.sweep.case import DONE
from scenes.sweep.key import Value
from scenes.sweep.map_scale import Scale
from scenes.sweep.shown import Point

Cells = Mapping[tuple[Value, Value], Point]
HATCH: Final = 14.0
"""From one line of the hatching to the next, along the axes [px]."""
ROOM: Final = (32.0, 18.0)
"""Least cell that holds its figure [px]."""
FIGURES: Final = (13.0, 11.0, 9.5)
"""Sizes of the figures, the first that has room [px]."""


def draw_cells(sheet: Sheet, cells: Cells, across: Axis, up: Axis, scale: Scale) -> None:
    """The cells of a panel: cells by the values of both axes."""
    lefts, bottoms = across.edges(), up.edges()
    wide, high = abs(lefts[1] - lefts[0]), abs(bottoms[1] - bottoms[0])
    edge = GHOST_EDGE if min(wide, high) > 8 else None
    for x, right, value in zip(lefts, lefts[1:], across.values, strict=False):
        for y, top, other in zip(bottoms, bottoms[1:], up.values, strict=False):
            point = cells.get((value, other))
            corners = [(x, y), (right, y), (right, top), (x, top)]
            sheet.polygon(corners, scale.colour(point), edge, 0.8)
            if point is None or point.status != DONE:
                _cross(sheet, (x + right) / 2, (y + top) / 2, min(wide, high) / 5)
            elif wide >= ROOM[0] and high >= ROOM[1]:
                words = scale.shown.figure_words(point.figure, unit=False)
                at = (x + right) / 2, (y + top) / 2
                size = next((s for s in FIGURES if sheet.measure(words, s) < wide - 6), FIGURES[-1])
                sheet.text(*at, words, size, align="center", halo=bool(point.wet))
    for line in _hatching(cells, across, up):
        sheet.line(line, INK, 1, layer=1.5)
    for line in _border(cells, across, up):
        sheet.line(line, PAPER, 7, layer=2.4)
        sheet.line(line, BEHIND, 4, layer=2.5)


def _wet(cells: Cells, across: Axis, up: Axis, column: int, row: int) -> bool | None:
    inside = 0 <= column < len(across.values) and 0 <= row < len(up.values)
    point = cells.get((across.values[column], up.values[row])) if inside else None
    return None if point is None else point.wet


def _border(cells: Cells, across: Axis, up: Axis) -> Iterator[list[tuple[float, float]]]:
    """Edges between a cell that leaks and one that doesn't [px]."""
    xs, ys = across.edges(), up.edges()
    for column in range(len(xs) - 1):
        for row in range(len(ys) - 1):
            here = _wet(cells, across, up, column, row)
            if here is None:
                continue
            if _wet(cells, across, up, column + 1, row) is (not here):
                yield [(xs[column + 1], ys[row]), (xs[column + 1], ys[row + 1])]
            if _wet(cells, across, up, column, row + 1) is (not here):
                yield [(xs[column], ys[row + 1]), (xs[column + 1], ys[row + 1])]


def _hatching(cells: Cells, across: Axis, up: Axis) -> Iterator[list[tuple[float, float]]]:
    """Slanting lines over the cells that leak, each as long as it can be [px]."""
    xs, ys = across.edges(), up.edges()
    left, right, low, high = xs[0], xs[-1], min(ys), max(ys)
    offset = left - high
    while offset < right - low:
        offset += HATCH
        # The line x = offset + y, cut wherever it passes an edge of a cell.
        cuts = set(ys) | {x - offset for x in xs}
        places = sorted(y for y in cuts if low <= y <= high and left <= y + offset <= right)
        begun: float | None = None
        for y, onward in pairwise(places):
            middle = (y + onward) / 2
            column = _column(middle + offset, xs)
            if _wet(cells, across, up, column, _column(middle, ys)):
                begun = y if begun is None else begun
            elif begun is not None:
                yield [(begun + offset, begun), (y + offset, y)]
                begun = None
        if begun is not None:
            yield [(begun + offset, begun), (places[-1] + offset, places[-1])]


def _column(place: float, edges: list[float]) -> int:
    share = (place - edges[0]) / (edges[-1] - edges[0])
    return min(int(share * (len(edges) - 1)), len(edges) - 2)


def _cross(sheet: Sheet, x: float, y: float, arm: float) -> None:
    """The mark of a case that can't be built."""
    arm = min(arm, 7.0)
    for way in (-1, 1):
        sheet.line([(x - arm, y - way * arm), (x + arm, y + way * arm)], QUIET_INK, 1.5, layer=2)
