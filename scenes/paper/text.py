"""Text broken into lines of a given width."""

from __future__ import annotations

from scenes.paper.fonts import width_of
from scenes.paper.marks import BLACK, Point, Words
from scenes.paper.sizes import POINT

LEADING = 1.3
"""From foot line to foot line, in heights of a letter."""


def line_height(points: float) -> float:
    """From foot line to foot line [mm]."""
    return points * POINT * LEADING


def lines_of(text: str, width: float, points: float, bold: bool = False) -> list[str]:
    """The text in lines of at most `width` [mm]; a word that is wider is broken. Keeps its own line ends."""
    lines = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            for piece in _broken(word, width, points, bold):
                longer = f"{line} {piece}" if line else piece
                if line and width_of(longer, points, bold) > width:
                    lines.append(line)
                    line = piece
                else:
                    line = longer
        lines.append(line)
    return lines


def paragraph(
    text: str, at: Point, width: float, points: float = 9.0, *, bold: bool = False,
    colour: str = BLACK,
) -> tuple[list[Words], float]:  # fmt: skip
    """Text from `at`, the upper left corner of its block, down [mm].

    Returns its lines as words, and how high the block is [mm].
    """
    from scenes.paper.fonts import above

    x, y = at
    step, lines = line_height(points), lines_of(text, width, points, bold)
    placed = [
        Words(
            at=(x, y + above(points) + n * step),
            text=words,
            points=points,
            bold=bold,
            colour=colour,
        )
        for n, words in enumerate(lines)
        if words
    ]
    return placed, len(lines) * step


def _broken(word: str, width: float, points: float, bold: bool) -> list[str]:
    """A word in pieces that each fit the width; one letter at least in each."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1] + letter, points, bold) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces
