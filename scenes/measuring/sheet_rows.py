"""The sheet's rows: each question with a blank to write on, or boxes to tick."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from scenes.measuring.drawing import tag
from scenes.measuring.question import Question
from scenes.paper.marks import GREY, Mark, Words, line, moved, rectangle
from scenes.units import Units

HEAD, TICK_LINE = 5.6, 4.2  # [mm] high
POINTS, TICK_POINTS = 7.4, 7.0
BLANK = 25.0  # [mm] to write on
BOX = 2.6  # [mm] to tick
INDENT = 6.0
NOTE_LINE = 6.5  # [mm] from line to line
Group = tuple[list[Mark], float]
"""Marks from (0, 0) down, and how high they are [mm]."""


def columns_of_rows(
    questions: Sequence[Question],
    letters: Mapping[str, str],
    units: Units,
    width: float,
    row: float,
) -> list[Group]:
    """All rows in two columns, each so wide [mm], groups kept whole, about as high as each other. row: how
    high a line to write on is [mm]."""
    groups = [
        _group(name, list(rows), letters, units, width, row)
        for name, rows in groupby(questions, key=lambda question: question.group)
    ]
    highs = [high for _, high in groups]
    split = min(range(len(groups) + 1), key=lambda n: max(sum(highs[:n]), sum(highs[n:])))
    left, right = _stacked(groups[:split]), _stacked(groups[split:])
    high = max(left[1], right[1])
    return [(marks + _notes(own, high, width), high) for marks, own in (left, right)]


def _notes(top: float, bottom: float, width: float) -> list[Mark]:
    """Lines to write on in what is left of a column."""
    if bottom - top < HEAD + 2 * NOTE_LINE:
        return []
    marks: list[Mark] = [Words(at=(0.0, top + HEAD - 1.6), text="Notes", points=8.5, bold=True)]
    y = top + HEAD - 0.5
    while y <= bottom - 1:
        marks.append(line((0.0, y), (width, y), 0.2))
        y += NOTE_LINE
    return marks


def _stacked(groups: Sequence[Group]) -> Group:
    marks: list[Mark] = []
    y = 0.0
    for drawn, high in groups:
        marks += [moved(mark, 0.0, y) for mark in drawn]
        y += high
    return marks, y


def _group(
    name: str,
    questions: Sequence[Question],
    letters: Mapping[str, str],
    units: Units,
    width: float,
    row: float,
) -> Group:
    marks: list[Mark] = [
        Words(at=(0.0, HEAD - 1.6), text=name, points=8.5, bold=True),
        line((0.0, HEAD - 0.5), (width, HEAD - 0.5), 0.2),
    ]
    y = HEAD
    for question in questions:
        if question.choices is None:
            drawn, high = _blank(question, letters[question.key], units, width, row)
        else:
            drawn, high = _boxes(question, width)
        marks += [moved(mark, 0.0, y) for mark in drawn]
        y += high
    return marks, y + 0.6


def _blank(question: Question, letter: str, units: Units, width: float, row: float) -> Group:
    foot = row - 1.6
    marks = [
        *tag(letter, (2.5, row / 2)),
        Words(at=(INDENT, foot), text=question.words, points=POINTS),
    ]
    units_said = ("in 12, or", "\u00b0") if question.kind == "pitch" else (units.length_unit,)
    right, blank = width, BLANK / len(units_said) ** 0.5
    for unit in reversed(units_said):
        said = Words(at=(right, foot), text=unit, points=POINTS, align="right", colour=GREY)
        right = said.box[0] - 1
        marks += [said, line((right - blank, row - 1), (right, row - 1), 0.2)]
        right -= blank + 1
    return marks, row


def _boxes(question: Question, width: float) -> Group:
    """The question, then its choices each with a box, on as many lines as they take."""
    assert question.choices is not None
    words = Words(at=(INDENT, 3.6), text=question.words, points=POINTS)
    marks: list[Mark] = [words]
    x, y = words.box[2] + 3, 0.0
    for name in question.choices:
        text = Words(at=(0, 0), text=name, points=TICK_POINTS)
        wide = BOX + 1 + text.width
        if x + wide > width:
            x, y = INDENT, y + TICK_LINE
        marks.append(rectangle((x, y + 1.1, x + BOX, y + 1.1 + BOX), 0.2))
        marks.append(Words(at=(x + BOX + 1, y + 3.6), text=name, points=TICK_POINTS))
        x += wide + 3
    return marks, y + TICK_LINE + 0.7
