"""The column of words beside the view: verdict, pieces, lines, leaks, short laps."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from functools import partial
from math import ceil

import numpy as np

from scenes.colours import (
    BEHIND,
    GOOD,
    INK,
    PAPER,
    QUIET_INK,
    RULE_LINE,
    SHORT_LAP,
    Colour,
)
from scenes.label_layout import Box
from scenes.picture_field import draw_scale
from scenes.picture_page import Page
from scenes.picture_strokes import Stroke, words_of
from scenes.stage import LeakMark, Piece, ShortLap, Stage
from scenes.stage_lines import dashes
from scenes.units_text import points_unit

EDGE = 22
INDENT = 52
MOST_ROWS = 6
ROW = 22.0
GRID = 28.0
HEADING = 46.0
FOOT = 66.0
SMALL_GRID = 25.0
PAIR_INDENT = 38.0
LEAST_PIECES = 6
FIRST = 2
"""Sizes of the column, in thousandths of the picture's height: margin, where the words of a row
begin, rows under one heading, height of a line, of a row, of a heading, what the foot keeps for itself,
the height of a row of pieces where they stand two by two, and where their words begin; pieces that are
listed at least before the first leaks and laps give way to them."""


class Column:
    """Writes downward in a box of the page, keeping clear of its foot."""

    def __init__(self, page: Page, box: Box) -> None:
        self.page, self.box = page, box
        self.left, self.right = box.left + EDGE, box.right - EDGE
        self.y = box.top + EDGE

    def words(
        self, text: str, size: float, colour: Colour = INK, *,
        indent: float = 0.0, bold: bool = False, most: int = 4,
    ) -> None:  # fmt: skip
        """A paragraph, wrapped."""
        width = self.right - self.left - indent
        room = width / (1.04 if bold else 1.0)
        for line in self.page.wrap(text, size, room, most=most):
            middle = self.y + size * 0.62
            self.page.text(self.left + indent, middle, line, size, colour, bold=bold)
            self.y += size * 1.28

    def row(self, text: str, height: float) -> None:
        """A paragraph beside a mark that is `height` high."""
        end = self.y + height
        self.y += 1
        self.words(text, 16, indent=INDENT, most=3)
        self.y = max(self.y, end) + 5

    def has_room(self, height: float) -> bool:
        """Whether so much still fits above the foot."""
        return self.y + height < self.box.bottom - FOOT

    def heading(self, text: str) -> None:
        """A small heading over a thin rule."""
        self.y += 12
        self.page.line(np.array([[self.left, self.y], [self.right, self.y]]), RULE_LINE, 1)
        self.y += 8
        self.words(text, 16, QUIET_INK, bold=True)
        self.y += 4


def draw_panel(
    page: Page,
    box: Box,
    stage: Stage,
    seen: list[int],
    *,
    drawn: Collection[Stroke] = (),
    perspective: bool = False,
) -> int:
    """Write the column; `seen` are the numbers of the pieces that the view shows, `drawn` the kinds of line;
    perspective: whether the view is drawn so.

    Returns how many leaks it lists: the view marks these and no others.
    """
    left, top, right, bottom = box.left, box.top, box.right, box.bottom
    page.polygon(np.array([(left, top), (right, top), (right, bottom), (left, bottom)]), PAPER)
    column = Column(page, box)
    column.words(stage.title, 25, bold=True, most=3)
    if stage.note:
        column.y += 4
        column.words(stage.note, 15, QUIET_INK, most=3)
    if stage.weather:
        column.y += 4
        column.words(stage.weather, 16, INK, most=3)
    if stage.verdict:
        _verdict(column, stage)
    if stage.fields:
        draw_scale(column, stage.fields[0])
    pieces = [stage.pieces[number] for number in seen]
    told = words_of(drawn)
    if Stroke.OUTSIDE in told and not stage.fates_known:
        told[Stroke.OUTSIDE] = "water: runs over the roof"
    samples = [partial(_sample, column, stroke, words) for stroke, words in told.items()]
    lines = HEADING + GRID * len(samples)
    least = HEADING + GRID * min(len(pieces), LEAST_PIECES) + lines
    legend = HEADING + min(GRID * len(pieces), SMALL_GRID * ceil(len(pieces) / 2)) + lines
    leaks = [partial(_leak, column, leak) for leak in stage.leaks]
    laps = [partial(_lap, column, lap) for lap in stage.laps]
    for_laps = HEADING + 3 * ROW if laps else 0
    rest = "{} more, smaller: see the text"
    listed = _rows(
        column,
        "Where water gets in",
        leaks,
        keep=legend + for_laps,
        least=least + for_laps,
        rest=rest,
    )
    _rows(column, "Laps too short", laps, keep=legend, least=least)
    _pieces(column, pieces, lines if samples else 0.0)
    _rows(column, "Lines", samples, most=len(samples))
    lens = "In perspective" if perspective else "Parallel projection"
    foot = f"{lens}, lengths in {points_unit()}. This drawing explains; it certifies nothing."
    column.y = box.bottom - FOOT + 8
    column.words(foot, 14, QUIET_INK, most=2)
    return listed


def _rows(
    column: Column,
    heading: str,
    rows: Sequence[Callable[[], None]],
    *,
    most: int = MOST_ROWS,
    keep: float = 0.0,
    least: float | None = None,
    rest: str = "and {} more",
) -> int:
    """A heading and its rows, as far as the column has room above its foot and `keep` more; the first FIRST
    of them where it has room for `least` more.

    It says how many rows are left out, and returns how many are written.
    """
    if not rows or not column.has_room(2 * ROW):
        return 0
    column.heading(heading)
    for done, row in enumerate(rows):
        lines = 1 if keep == 0 and done + 1 == len(rows) else 3
        more = keep if least is None or done >= FIRST else least
        if done == most or not column.has_room(lines * ROW + more):
            column.words(rest.format(len(rows) - done), 15, QUIET_INK, indent=INDENT)
            return done
        row()
    return len(rows)


def _leak(column: Column, leak: LeakMark) -> None:
    x, y = column.left + 13, column.y + 13
    column.page.disc(x, y, 13, BEHIND, PAPER)
    column.page.text(x, y, str(leak.number), 17, PAPER, anchor="mm", bold=True)
    column.row(leak.words[0].upper() + leak.words[1:], 26)


def _lap(column: Column, lap: ShortLap) -> None:
    y = column.y + 12
    column.page.line(np.array([[column.left, y], [column.left + 36, y]]), SHORT_LAP, 5)
    column.row(f"{lap.label}: {lap.words}", 22)


def _pieces(column: Column, pieces: Sequence[Piece], keep: float) -> None:
    """The pieces one under the other where they fit above `keep`, else two by two in small letters."""
    rows = [partial(_piece, column, piece) for piece in pieces]
    if column.has_room(HEADING + GRID * len(rows) + 2 * ROW + keep) or len(rows) < 2:
        _rows(column, "Pieces", rows, most=len(rows), keep=keep)
        return
    size = _small(column, pieces)
    pairs = [partial(_pair, column, pieces[n : n + 2], size) for n in range(0, len(pieces), 2)]
    _rows(column, "Pieces", pairs, most=len(pairs), keep=keep, rest="and {} more rows")


def _pair(column: Column, pieces: Sequence[Piece], size: float) -> None:
    page, wide = column.page, (column.right - column.left) / 2
    for number, piece in enumerate(pieces):
        x, y = column.left + number * wide, column.y
        page.box(Box(x, y, x + 30, y + 20), piece.colour, INK, 1)
        page.text(x + 15, y + 10, piece.letter, 14, INK, anchor="mm", bold=True)
        name = page.wrap(piece.legend, size, wide - PAIR_INDENT, most=1)[0]
        page.text(x + 35, y + 10, name, size)
    column.y += SMALL_GRID


def _small(column: Column, pieces: Sequence[Piece]) -> float:
    """The size of letters in which every name fits where pieces stand two by two."""
    wide = (column.right - column.left) / 2 - PAIR_INDENT
    needed = max(column.page.measure(piece.legend, 14) for piece in pieces)
    return max(11.5, min(14.0, 14.0 * wide / needed))


def _piece(column: Column, piece: Piece) -> None:
    x, y = column.left, column.y
    column.page.box(Box(x, y, x + 40, y + 22), piece.colour, INK, 1)
    column.page.text(x + 20, y + 11, piece.letter, 16, INK, anchor="mm", bold=True)
    column.row(piece.legend, 22)


def _sample(column: Column, stroke: Stroke, words: str) -> None:
    style, y = stroke.value, column.y + 11
    line = np.array([[column.left, y], [column.left + 40, y]])
    for part in dashes(line, *style.dash) if style.dash else [line]:
        column.page.line(part, style.colour, max(style.width, 1.6))
    column.row(words, 20)


def _verdict(column: Column, stage: Stage) -> None:
    column.y += 14
    colour = BEHIND if stage.bad else GOOD if stage.clear else INK
    top = column.y
    column.left += 16
    column.words(stage.verdict, 21, colour, bold=True, most=4)
    column.y += 4
    column.words(stage.shares, 15, INK, most=3)
    column.left -= 16
    bar = Box(column.left, top - 2, column.left + 6, column.y + 2)
    column.page.box(bar, colour)
