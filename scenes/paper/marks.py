"""What lies on a page: strokes, words, pictures. Millimetres from the page's upper left corner, y down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import Literal

from scenes.paper.fonts import above, below, width_of
from scenes.paper.sizes import Size

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, upper, right, lower [mm]."""
BLACK, GREY, PALE = "#000000", "#666666", "#dddddd"
Align = Literal["left", "middle", "right"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A line through points [mm], closed or not. width [mm]; colour `#rrggbb`, None for no line; dash: on
    and off [mm], empty for an unbroken line; fill: a colour of what is within, None for none."""

    points: tuple[Point, ...]
    width: float = 0.25
    colour: str | None = BLACK
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A circle. middle, radius and width of its line [mm]; fill: a colour, None for none."""

    middle: Point
    radius: float
    width: float = 0.25
    fill: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text. at: left end, middle or right end of its foot line, as `align` says [mm]; points:
    height of the letters; angle: of the foot line about that point, anticlockwise [degrees]."""

    at: Point
    text: str
    points: float = 9.0
    bold: bool = False
    align: Align = "left"
    colour: str = BLACK
    angle: float = 0.0

    @property
    def width(self) -> float:
        """How wide it runs [mm]."""
        return width_of(self.text, self.points, self.bold)

    @property
    def box(self) -> Box:
        """The upright box round it [mm]."""
        wide, (x, y) = self.width, self.at
        back = {"left": 0.0, "middle": wide / 2, "right": wide}[self.align]
        over, under = above(self.points), below(self.points)
        c, s = cos(radians(self.angle)), sin(radians(self.angle))
        corners = [(along - back, up) for along in (0.0, wide) for up in (over, -under)]
        across = [x + along * c - up * s for along, up in corners]
        down = [y - along * s - up * c for along, up in corners]
        return min(across), min(down), max(across), max(down)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture in a box [mm]. content: the bytes of a PNG."""

    box: Box
    content: bytes


Mark = Stroke | Disc | Words | Picture


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """size; marks in the order in which they are drawn."""

    size: Size
    marks: tuple[Mark, ...]


def line(start: Point, end: Point, width: float = 0.25, **look: object) -> Stroke:
    """A straight line. look: as `Stroke` has it."""
    return Stroke(points=(start, end), width=width, **look)  # type: ignore[arg-type]


def rectangle(box: Box, width: float = 0.25, **look: object) -> Stroke:
    """The outline of a box. look: as `Stroke` has it."""
    x0, y0, x1, y1 = box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return Stroke(points=corners, width=width, closed=True, **look)  # type: ignore[arg-type]


def moved(mark: Mark, right: float, down: float) -> Mark:
    """A mark moved [mm]."""
    if isinstance(mark, Stroke):
        return replace(mark, points=tuple((x + right, y + down) for x, y in mark.points))
    if isinstance(mark, Disc):
        return replace(mark, middle=(mark.middle[0] + right, mark.middle[1] + down))
    if isinstance(mark, Words):
        return replace(mark, at=(mark.at[0] + right, mark.at[1] + down))
    x0, y0, x1, y1 = mark.box
    return replace(mark, box=(x0 + right, y0 + down, x1 + right, y1 + down))


def words_that_clash(marks: Sequence[Mark], least: float = 0.01) -> list[tuple[str, str]]:
    """Texts that lie on each other by more than `least` [mm], two by two."""
    texts = [mark for mark in marks if isinstance(mark, Words) and mark.text.strip()]
    clashes = []
    for number, one in enumerate(texts):
        for other in texts[number + 1 :]:
            a, b = one.box, other.box
            across = min(a[2], b[2]) - max(a[0], b[0])
            down = min(a[3], b[3]) - max(a[1], b[1])
            if min(across, down) > least:
                clashes.append((one.text, other.text))
    return clashes


def words_that_leave(page: Page, margin: float = 0.0) -> list[str]:
    """Texts that reach over the page's edge, or into a margin [mm] inside it."""
    right, lower = page.size.width - margin, page.size.height - margin
    texts = [mark for mark in page.marks if isinstance(mark, Words)]
    return [
        text.text
        for text in texts
        if text.box[0] < margin
        or text.box[1] < margin
        or text.box[2] > right
        or text.box[3] > lower
    ]
