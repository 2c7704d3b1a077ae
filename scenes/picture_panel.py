"""The column of words beside the view: verdict, pieces, lines, leaks, short laps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from scenes.colours import (
    BEHIND,
    DECIDING,
    GOOD,
    INK,
    PAPER,
    QUIET_INK,
    RULE_LINE,
    SHORT_LAP,
    WATER,
    Colour,
)
from scenes.label_layout import Box
from scenes.picture_field import draw_scale
from scenes.picture_page import Page
from scenes.stage import LeakMark, Piece, ShortLap, Stage
from scenes.stage_lines import dashes

EDGE = 22
INDENT = 52
MOST_ROWS = 6
ROW = 22.0
GRID = 28.0
HEADING = 46.0
FOOT = 66.0
MOST_PIECES = 16
LEAST_PIECES = 6
FIRST = 2
"""Sizes of the column, in thousandths of the picture's height: margin, where the words of a row
begin, rows under one heading, height of a line, and what the foot keeps for itself; pieces that are
listed at most, and at least before the first leaks and laps give way to them."""


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
    differences: tuple[bool, bool] = (False, False),
    perspective: bool = False,
) -> int:
    """Write the column; `seen` are the numbers of the pieces that the view shows; differences: whether
    it stands beside two views in which lines mark what differs, and how that lies on the other side;
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
    pieces = [partial(_piece, column, stage.pieces[number]) for number in seen]
    samples = _samples(column, stage)
    if differences[0]:
        samples.append(partial(_sample, column, INK, False, "differs between the two", 4.5))
    if differences[1]:
        samples.append(partial(_sample, column, INK, True, "as it lies on the other side"))
    lines = HEADING + GRID * len(samples)
    legend, least = (
        HEADING + GRID * min(len(pieces), most) + lines for most in (MOST_PIECES, LEAST_PIECES)
    )
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
    _rows(column, "Pieces", pieces, most=MOST_PIECES, keep=lines if samples else 0.0)
    _rows(column, "Lines" if any(differences) else "Water", samples)
    lens = "In perspective" if perspective else "Parallel projection"
    foot = f"{lens}, lengths in mm. This drawing explains; it certifies nothing."
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


def _piece(column: Column, piece: Piece) -> None:
    x, y = column.left, column.y
    column.page.box(Box(x, y, x + 40, y + 22), piece.colour, INK, 1)
    column.page.text(x + 20, y + 11, piece.letter, 16, INK, anchor="mm", bold=True)
    column.row(piece.legend, 22)


def _samples(column: Column, stage: Stage) -> list[Callable[[], None]]:
    rows: list[Callable[[], None]] = []
    if any(not way.behind for way in stage.paths):
        words = "stays outside" if stage.fates_known else "runs over the roof"
        rows.append(partial(_sample, column, WATER, False, words))
    if any(way.behind and not way.deciding for way in stage.paths):
        rows.append(partial(_sample, column, BEHIND, False, "gets behind the flashings"))
        rows.append(partial(_sample, column, BEHIND, True, "the same, out of sight"))
    if any(way.deciding for way in stage.paths):
        words = "gets in first as the wind rises (dashed: out of sight)"
        rows.append(partial(_sample, column, DECIDING, False, words, 5.0))
    return rows


def _sample(column: Column, colour: Colour, dashed: bool, words: str, width: float = 2.5) -> None:
    y = column.y + 11
    line = np.array([[column.left, y], [column.left + 40, y]])
    for stroke in dashes(line, 7, 5) if dashed else [line]:
        column.page.line(stroke, colour, width)
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
