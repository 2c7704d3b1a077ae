"""The column of words in the window: what is shown, what was asked about, letters, and keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from PIL import Image

from scenes.colours import (
    BEHIND,
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
from scenes.picture_page import Page
from scenes.stage import Piece, Stage
from scenes.stage_water import Runs
from scenes.stage_words import capital
from scenes.window.figures import Told
from scenes.window.keys import LIST, MOST_VIEWS, MOUSE
from scenes.window.shown import Shown

WIDTH: Final = 420
"""Width of the column [px]."""
EDGE: Final = 20
SIZE: Final = 15
LINE: Final = 20
CAP: Final = 22
GAP: Final = 10
LEAST_LEGEND: Final = 90
LOW: Final = 760
"""Margin, size of letters, height of a line, of a key's cap, and between blocks; what the letters of the
pieces keep at least, but in a window that is lower than so [px]."""
MORE: Final = "... A higher window has room for the rest."
LETTERS: Final = "A higher window lists the pieces by their letters."
ASK: Final = "Click a piece, a path, the edge of a lap or the number of a leak to read its figures."


def draw_panel(
    height: int, stage: Stage, shown: Shown, told: Told | None, seen: frozenset[int]
) -> Image.Image:
    """The column, WIDTH pixels wide; told: about what was asked; seen: places of the pieces in view, which
    come first where there is no room for all."""
    page = Page(Image.new("RGB", (WIDTH, height), PAPER), 1.0)
    page.line(np.array([[0.0, 0.0], [0.0, height]]), RULE_LINE, 2)
    block = _Block(page, EDGE, height)
    block.words(stage.title, 21, bold=True, most=2)
    colour = BEHIND if stage.bad else GOOD if stage.clear else INK
    block.words(stage.verdict, 17, colour, bold=True, most=3)
    block.words(stage.weather, SIZE, QUIET_INK, most=2)
    keys = height - _keys_height(page, stage)
    samples = _samples(stage)
    below = GAP + LINE * ((len(samples) + 1) // 2)
    block.end = keys - below - (LEAST_LEGEND if height >= LOW else LINE + 2 * GAP)
    block.rule()
    for line in now(shown, stage):
        block.words(line, SIZE, INK, most=2)
    block.rule()
    if told is None:
        block.words(ASK, SIZE, QUIET_INK)
    else:
        block.words(told.heading, 18, bold=True, most=2)
        block.paragraphs(told.rows, SIZE)
    block.end = keys - below
    block.rule()
    _pieces(block, stage.pieces, shown, seen)
    block.y, block.end = keys - below + GAP / 2, height
    _grid(block, samples)
    _keys(page, keys, height, stage)
    return page.finished()


def now(shown: Shown, stage: Stage) -> list[str]:
    """What is shown just now, in words."""
    seen = f"Seen from: {stage.views[shown.view].name}."
    if shown.leak:
        seen = f"Close on leak {shown.leak} of {shown.leaks}; of what gets in, its water alone."
    elif not shown.leaks and stage.verdict:
        seen += " No leak to step to."
    if shown.turned:
        seen += " Turned by hand since."
    rows = [seen]
    true = "as fast as in truth" if shown.slow == 1 else f"{shown.slow} times slower than in truth"
    if shown.apart:
        rows.append("Pieces apart in dressing order, without water.")
    else:
        rows.append(
            f"Water runs {true}." if shown.playing else f"Water stands still; it runs {true}."
        )
    if shown.peeled:
        rows.append(f"Taken off, the last dressed first: {shown.peeled} of {len(shown.dressed)}.")
    return rows


class _Block:
    """Writes downward, as far as `end`."""

    def __init__(self, page: Page, top: float, end: float) -> None:
        self.page, self.y, self.end = page, top, end

    def words(
        self, text: str, size: float, colour: Colour = INK, *, bold: bool = False, most: int = 4
    ) -> None:
        step = round(size * 1.32)
        room = int((self.end - self.y) // step)
        if not text or room < 1:
            return
        width = (WIDTH - 2 * EDGE) / (1.04 if bold else 1.0)
        for line in self.page.wrap(text, size, width, most=min(most, room)):
            self.page.text(EDGE, self.y + step / 2, line, size, colour, bold=bold)
            self.y += step
        self.y += 3

    def paragraphs(self, rows: Sequence[str], size: float) -> None:
        """Words one under another; where they have no room for all, the last line says so."""
        step, width = round(size * 1.32), WIDTH - 2 * EDGE
        lines = [
            (line, 3 * (k == 0))
            for row in rows
            for k, line in enumerate(self.page.wrap(row, size, width, most=20))
        ]
        need = sum(step + gap for _, gap in lines)
        cut = self.y + need > self.end
        for line, gap in lines:
            if cut and self.y + gap + 2 * step > self.end:
                self.words(MORE, size - 1, QUIET_INK, most=1)
                return
            self.page.text(EDGE, self.y + gap + step / 2, line, size)
            self.y += step + gap

    def rule(self) -> None:
        self.y += GAP / 2
        ends = np.array([[EDGE, self.y], [WIDTH - EDGE, self.y]])
        self.page.line(ends, RULE_LINE, 1)
        self.y += GAP / 2


def _pieces(block: _Block, pieces: Sequence[Piece], shown: Shown, seen: frozenset[int]) -> None:
    """Letter, colour and name of each piece, in two columns, as far as there is room."""
    page, wide = block.page, (WIDTH - 2 * EDGE) / 2
    gone = shown.out_of_sight
    cells = [
        (
            place,
            page.wrap(capital(piece.name) + " (off)" * (place in gone), SIZE, wide - 46, most=2),
        )
        for place, piece in enumerate(pieces)
    ]
    if block.y + _high(cells) > block.end:
        cells.sort(key=lambda cell: cell[0] not in seen)
    for row in range(0, len(cells), 2):
        pair = cells[row : row + 2]
        last = row + 2 >= len(cells)
        if block.y + _high(pair) > block.end - (0 if last else LINE):
            rest = f"and {len(cells) - row} more pieces"
            block.words(rest if row else LETTERS, SIZE, QUIET_INK, most=1)
            return
        for column, (place, lines) in enumerate(pair):
            x, y, off = EDGE + column * wide, block.y, place in gone
            ink = QUIET_INK if off else INK
            page.box(Box(x, y, x + 36, y + CAP), PAPER if off else pieces[place].colour, ink, 1)
            letter = pieces[place].letter
            page.text(x + 18, y + CAP / 2, letter, SIZE, ink, anchor="mm", bold=True)
            for number, line in enumerate(lines):
                page.text(x + 42, y + CAP / 2 + LINE * number, line, SIZE, ink)
        block.y += _high(pair)


def _high(cells: Sequence[tuple[int, list[str]]]) -> float:
    """Height of the rows of these cells, two to a row [px]."""
    rows = [cells[row : row + 2] for row in range(0, len(cells), 2)]
    return sum(4 + max(CAP, LINE * max(len(lines) for _, lines in row)) for row in rows)


def _samples(stage: Stage) -> list[tuple[Colour, float, str]]:
    """Colour, width and words of every kind of line that is drawn."""
    rows: list[tuple[Colour, float, str]] = []
    runs = {way.runs for way in stage.paths}
    if Runs.OUTSIDE in runs:
        rows.append((WATER, 2.0, "stays outside"))
    if Runs.COMING in runs:
        rows.append((WATER, 4.0, "comes to a way in"))
    if any(way.behind for way in stage.paths):
        rows.append((BEHIND, 3.0, "is in (pale: hidden)"))
    if stage.verdict:
        rows.append((GOOD, 3.0, "lap, long enough"))
    if stage.laps:
        rows.append((SHORT_LAP, 5.0, "lap, too short"))
    return rows


def _grid(block: _Block, samples: Sequence[tuple[Colour, float, str]]) -> None:
    wide = (WIDTH - 2 * EDGE) / 2
    for number, (colour, width, words) in enumerate(samples):
        x, y = EDGE + (number % 2) * wide, block.y + LINE * (number // 2 + 0.5)
        block.page.line(np.array([[x, y], [x + 30, y]]), colour, width)
        block.page.text(x + 38, y, words, SIZE - 1)


def _foot(page: Page, stage: Stage) -> list[str]:
    """The lines under the letters of the keys."""
    named = [view.name for view in stage.views[:MOST_VIEWS]]
    views = ", ".join(f"{number} {name}" for number, name in enumerate(named, start=1))
    width = WIDTH - 2 * EDGE
    return [
        *page.wrap(f"Seen from: {views}", SIZE - 1, width, most=2),
        *page.wrap(MOUSE, SIZE - 1, width, most=2),
    ]


def _keys_height(page: Page, stage: Stage) -> float:
    rows = (len(LIST) + 1) // 2
    return GAP + 24 + rows * (CAP + 3) + (LINE - 1) * len(_foot(page, stage)) + 6


def _keys(page: Page, top: float, height: float, stage: Stage) -> None:
    """The keys in two columns, and the mouse, at the foot."""
    page.polygon(np.array([(1, top), (WIDTH, top), (WIDTH, height), (1, height)]), (242, 244, 246))
    y = top + GAP
    page.text(EDGE, y + 8, "Keys", SIZE, QUIET_INK, bold=True)
    y += 24
    rows, wide = (len(LIST) + 1) // 2, (WIDTH - 2 * EDGE) / 2
    for number, (name, words) in enumerate(LIST):
        x, middle = EDGE + (number // rows) * wide, y + (number % rows) * (CAP + 3) + CAP / 2
        cap = Box(x, middle - CAP / 2 + 1, x + 44, middle + CAP / 2 - 1)
        page.box(cap, PAPER, INK, 1)
        page.text(x + 22, middle, name, SIZE - 2, INK, anchor="mm", bold=True)
        page.text(x + 50, middle, words, SIZE - 1)
    y += rows * (CAP + 3)
    for line in _foot(page, stage):
        page.text(EDGE, y + LINE / 2, line, SIZE - 1, INK)
        y += LINE - 1
