"""A pattern's drawing on a page at a scale that is said, with a bar to measure it by."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Final

from scenes.cutting.drawing import Drawing, Layer, drawing_of
from scenes.cutting.pattern import Pattern
from scenes.paper.marks import GREY, Mark, Point, Stroke, Words, line
from scenes.paper.scale_bar import scale_bar
from scenes.paper.sizes import POINT
from scenes.units import INCH, Units

SCALES: Final = (1, 2, 5, 10, 20, 50)
"""A blank is so many times larger than its drawing."""
LETTER: Final = 2.6
"""Height of letters on paper [mm]."""
NARROWER: Final = 0.95
"""A drawing keeps a little more room for a text than the typeface takes."""
MIDDLE: Final = 0.35
"""From the foot of a text to its middle, in heights of a letter."""
LINES: Final[dict[Layer, tuple[float, str, tuple[float, ...]]]] = {
    "cut": (0.4, "#000000", ()),
    "bend up": (0.25, "#0a4f9e", (2.4, 1.0)),
    "bend down": (0.25, "#a03c00", (2.4, 0.9, 0.3, 0.9)),
    "mark": (0.1, "#555555", ()),
}
"""Width [mm], colour and dashes by what a line is: they differ without colour."""
KEY: Final[dict[Layer, str]] = {
    "cut": "cut", "bend up": "bend up, towards you", "bend down": "bend down, away from you",
}  # fmt: skip
BAR: Final = 100.0
"""How long the bar is on paper [mm], in metric."""
INCHES: Final = 4
"""And in imperial [in]."""


def fitted(pattern: Pattern, width: float, height: float, units: Units) -> tuple[Drawing, int]:
    """The drawing at the largest of `SCALES` at which it fits a box [mm], and the scale."""
    across, up = (side * 1000 for side in pattern.size)
    # The blank alone says which scales are worth a try.
    tried = [scale for scale in SCALES if across <= width * scale and up <= height * scale]
    for scale in tried or SCALES[-1:]:
        drawing = drawing_of(pattern, LETTER * scale, units, together=True)
        wide, high = (drawing.box[1] - drawing.box[0]) / scale
        if wide <= width and high <= height:
            break
    return drawing, scale


def drawing_marks(drawing: Drawing, scale: int, at: Point) -> list[Mark]:
    """The marks of a drawing, `at` being where its box has its upper left corner on the page [mm]."""
    left, top = drawing.box[0][0], drawing.box[1][1]

    def placed(x: float, y: float) -> Point:
        return at[0] + (x - left) / scale, at[1] + (top - y) / scale

    marks: list[Mark] = []
    for one in drawing.strokes:
        thick, colour, dash = LINES[one.layer]
        points = tuple(placed(x, y) for x, y in one.points.tolist())
        marks.append(
            Stroke(points=points, width=thick, colour=colour, dash=dash, closed=one.closed)
        )
    for text in drawing.texts:
        x, y = text.at.tolist()
        down, turn = MIDDLE * text.height, radians(text.angle)
        foot = placed(x + down * sin(turn), y - down * cos(turn))
        points_ = text.height / scale / POINT * NARROWER
        marks.append(
            Words(at=foot, text=text.words, points=points_, align="middle", angle=text.angle)
        )
    return marks


def bar_marks(scale: int, at: Point, units: Units) -> list[Mark]:
    """A bar to see by whether the page came out at its size, and what it stands for on the blank."""
    if units.is_imperial:
        long = float(INCHES * INCH) * 1000
        words = (
            f"{INCHES * scale} in of the blank at 1:{scale}; {INCHES} in if printed at full size"
        )
        return scale_bar(at, long, 4, words)
    words = f"{BAR * scale:g} mm of the blank at 1:{scale}; {BAR:g} mm if printed at full size"
    return scale_bar(at, BAR, 5, words)


def key_marks(at: Point) -> list[Mark]:
    """What the three kinds of line mean, one below the other."""
    marks: list[Mark] = []
    for row, (layer, words) in enumerate(KEY.items()):
        thick, colour, dash = LINES[layer]
        y = at[1] + 3.4 * row
        marks.append(line((at[0], y - 0.9), (at[0] + 14, y - 0.9), thick, colour=colour, dash=dash))
        marks.append(Words(at=(at[0] + 16, y), text=words, points=7, colour=GREY))
    return marks
