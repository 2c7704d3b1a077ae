"""A table, its cells wrapped, its rows whole, over as many pages as it takes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scenes.paper.fonts import above
from scenes.paper.marks import BLACK, GREY, Align, Mark, Words, line
from scenes.paper.text import line_height, lines_of

PADDING = 1.2  # [mm] round what a cell holds


@dataclass(frozen=True, slots=True)
class Column:
    """head: its words; width [mm] with its padding; align: of the cells under it."""

    head: str
    width: float
    align: Align = "left"


@dataclass(frozen=True, slots=True)
class Placed:
    """Marks of a table's part from its upper left corner at (0, 0), and how high it is [mm]."""

    marks: tuple[Mark, ...]
    height: float


def table(
    columns: Sequence[Column],
    rows: Iterable[Sequence[str]],
    room: Sequence[float],
    points: float = 8.0,
) -> list[Placed]:
    """The table in parts, each at most as high as the room on its page, each with the heads over it.

    room: what is left on the first page, the next, and so on; the last counts for all further ones [mm].
    A row that is higher than all of a page's room still gets a part of its own. Marks begin at (0, 0).
    """
    head = _row([column.head for column in columns], columns, points, bold=True)
    parts: list[Placed] = []
    marks, high = _begun(head, columns)
    started = False
    for row in rows:
        placed = _row(row, columns, points, bold=False)
        if started and high + placed.height > room[min(len(parts), len(room) - 1)]:
            parts.append(Placed(tuple(marks), high))
            marks, high = _begun(head, columns)
        marks += _down(placed.marks, high)
        high += placed.height
        marks.append(_rule(columns, high, GREY, 0.1))
        started = True
    return [*parts, Placed(tuple(marks), high)]


def width(columns: Sequence[Column]) -> float:
    """Of all columns together [mm]."""
    return sum(column.width for column in columns)


def _begun(head: Placed, columns: Sequence[Column]) -> tuple[list[Mark], float]:
    return [*head.marks, _rule(columns, head.height, BLACK, 0.3)], head.height


def _row(cells: Sequence[str], columns: Sequence[Column], points: float, *, bold: bool) -> Placed:
    marks: list[Mark] = []
    left, most = 0.0, 1
    for cell, column in zip(cells, columns, strict=True):
        lines = lines_of(cell, column.width - 2 * PADDING, points, bold)
        most = max(most, len(lines))
        x = {
            "left": left + PADDING,
            "middle": left + column.width / 2,
            "right": left + column.width - PADDING,
        }[column.align]
        for number, text in enumerate(lines):
            y = PADDING + above(points) + number * line_height(points)
            marks.append(Words(at=(x, y), text=text, points=points, bold=bold, align=column.align))
        left += column.width
    return Placed(tuple(marks), most * line_height(points) + 2 * PADDING)


def _rule(columns: Sequence[Column], y: float, colour: str, thick: float) -> Mark:
    return line((0.0, y), (width(columns), y), thick, colour=colour)


def _down(marks: Iterable[Mark], by: float) -> list[Mark]:
    from scenes.paper.marks import moved

    return [moved(mark, 0.0, by) for mark in marks]
