"""A bar to hold a rule against: whoever prints a page sees whether it came out at its size."""

from __future__ import annotations

from scenes.paper.marks import BLACK, Mark, Point, Words, rectangle

HIGH = 1.6  # [mm]


def scale_bar(at: Point, length: float, parts: int, words: str, points: float = 7.0) -> list[Mark]:
    """A bar from `at`, its upper left corner, `length` [mm] long on paper, in so many parts, black and
    white in turn, with words under it."""
    x, y = at
    step = length / parts
    marks: list[Mark] = [
        rectangle(
            (x + n * step, y, x + (n + 1) * step, y + HIGH),
            0.1,
            fill=BLACK if n % 2 == 0 else "#ffffff",
        )
        for n in range(parts)
    ]
    return [*marks, Words(at=(x, y + HIGH + 3.0), text=words, points=points)]
