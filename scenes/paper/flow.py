"""Blocks one under another over as many pages as they take: headings, text, tables, pictures.

pages = pages_of(Frame(size=A4, title="Cut list"), [Heading("Blanks"), Text("..."), Table(...)])
content = pdf_of(pages, "Cut list")
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scenes.paper.frame import Frame
from scenes.paper.marks import Mark, Page, Picture, moved
from scenes.paper.table import Column, Placed, table
from scenes.paper.text import line_height, paragraph

BELOW_HEADING, BELOW = 1.0, 3.0  # [mm]
LEAST_LINES = 3
"""A text that goes on on the next page begins with as many lines at least."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A line in bold over what follows, never last on a page."""

    text: str
    points: float = 11.0


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph. It may go on on the next page, between two lines."""

    text: str
    points: float = 9.0


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells under heads; it goes on on the next page with its heads."""

    columns: Sequence[Column]
    rows: Sequence[Sequence[str]]
    points: float = 8.0


@dataclass(frozen=True, slots=True)
class Image:
    """A picture as a PNG, so high and wide [mm], narrowed with its height to the page's width."""

    content: bytes
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Drawn:
    """Marks of one's own from (0, 0) down, whole on a page, so high [mm]."""

    marks: Sequence[Mark]
    height: float


Block = Heading | Text | Table | Image | Drawn


def pages_of(frame: Frame, blocks: Iterable[Block]) -> list[Page]:
    """The blocks on pages in that frame, one page at least. What is higher than a page runs over its foot."""
    left, top, right, bottom = frame.inside
    width, room = right - left, bottom - top
    sheets: list[list[Mark]] = [[]]
    y = 0.0
    row = list(blocks)
    for place, block in enumerate(row):
        for number, (part, below) in enumerate(_parts(block, width, room, y)):
            end = y + part.height
            if isinstance(block, Heading):
                end += _kept_with(row[place:], width, room, end)
            if sheets[-1] and (number > 0 or end > room):
                sheets.append([])
                y = 0.0
            sheets[-1] += [moved(mark, left, top + y) for mark in part.marks]
            y += part.height + below
    return [
        Page(size=frame.size, marks=(*frame.marks(number, len(sheets)), *marks))
        for number, marks in enumerate(sheets, start=1)
    ]


def _kept_with(row: Sequence[Block], width: float, room: float, y: float) -> float:
    """How much more the page must hold [mm] for the heading that the row begins with: further headings, and
    the first part of what they stand over."""
    needed = 0.0
    for block, follower in pairwise(row):
        if not isinstance(block, Heading):
            break
        begins = y + needed + BELOW_HEADING
        needed += BELOW_HEADING + _parts(follower, width, room, begins)[0][0].height
    return needed


def _parts(block: Block, width: float, room: float, y: float) -> list[tuple[Placed, float]]:
    """The block in parts, each whole on a page, all but the first on pages of their own, and how much is
    left free under each [mm]. width, room: of a page; y: how much of the first page is taken [mm]."""
    if isinstance(block, Heading):
        marks, high = paragraph(block.text, (0, 0), width, block.points, bold=True)
        return [(Placed(tuple(marks), high), BELOW_HEADING)]
    if isinstance(block, Text):
        return _text_parts(block, width, room, y)
    if isinstance(block, Table):
        least = table(block.columns, block.rows[:1], [room], block.points)[0].height
        first = room - y if y + least <= room else room
        parts = table(block.columns, block.rows, [first, room], block.points)
        return [(part, BELOW) for part in parts]
    if isinstance(block, Image):
        share = min(1.0, width / block.width)
        wide, high = block.width * share, block.height * share
        return [(Placed((Picture(box=(0, 0, wide, high), content=block.content),), high), BELOW)]
    return [(Placed(tuple(block.marks), block.height), BELOW)]


def _text_parts(block: Text, width: float, room: float, y: float) -> list[tuple[Placed, float]]:
    marks, high = paragraph(block.text, (0, 0), width, block.points)
    if y + high <= room or high <= room / 4:
        return [(Placed(tuple(marks), high), BELOW)]
    parts: list[tuple[Placed, float]] = []
    left, start = room - y, 0.0
    if left < LEAST_LINES * line_height(block.points):
        left = room
    kept: list[Mark] = []
    end = 0.0
    for line in marks:
        if line.box[3] - start > left and kept:
            parts.append((Placed(tuple(kept), end), BELOW))
            kept, left, start = [], room, line.box[1]
        kept.append(moved(line, 0.0, -start))
        end = line.box[3] - start
    return [*parts, (Placed(tuple(kept), end), BELOW)]
