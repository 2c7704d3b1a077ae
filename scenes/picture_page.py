"""The flat half of a picture: words, letters, lines and marks, drawn over the rendered view.

Figures are said in the units that are spoken."""

from __future__ import annotations

import re
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from scenes.colours import INK, Colour
from scenes.label_layout import Box
from scenes.units_text import in_spoken

Floats = NDArray[np.float64]
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

PAGE_HEIGHT = 1000.0
"""Height of every page in its own units."""

BOLD = 0.025
"""Bold letters are drawn with a stroke of this share of their size: the font has no bold of its
own."""

WORDS = re.compile(r"\S+(?: [0-9]+/[0-9]+)?(?: (?:%|mm|m/s|km/h|mph)(?!\w)\S*)?")
"""A word to wrap at; a figure keeps its unit."""

_PLAIN_FONT_HAS = set(map(chr, range(32, 127))) | set("äöüÄÖÜéèêàçñß°±·")


@cache
def _font(size: int, plain: bool) -> Font:
    """Pillow's own font; for words it has no letters for, the wider one that comes with
    matplotlib."""
    spec = None if plain else find_spec("matplotlib")
    if spec is not None and spec.origin is not None:
        wide = Path(spec.origin).parent / "mpl-data" / "fonts" / "ttf" / "DejaVuSans.ttf"
        if wide.is_file():
            return ImageFont.truetype(str(wide), size)
    return ImageFont.load_default(size)


class Page:
    """A picture under construction, in units of a thousandth of its height, whatever its pixels; or in
    units of `pixel` pixels.

    Drawn at twice the size and halved at the end, so that lines and letters come out smooth.
    """

    def __init__(self, background: Image.Image, pixel: float | None = None) -> None:
        width, height = background.size
        self._scale = 2 * (height / PAGE_HEIGHT if pixel is None else pixel)
        self._sheet = background.resize((2 * width, 2 * height), Image.Resampling.NEAREST)
        self._pen = ImageDraw.Draw(self._sheet)

    def finished(self) -> Image.Image:
        """The picture at its own size."""
        return self._sheet.reduce(2)

    def _at(self, points: Floats) -> list[tuple[float, float]]:
        return [(float(x), float(y)) for x, y in self._scale * np.asarray(points)]

    def _pen_width(self, width: float) -> int:
        return max(2, round(self._scale * width))

    def line(self, points: Floats, colour: Colour, width: float) -> None:
        """A polyline (k, 2), k >= 2."""
        pen_width = self._pen_width(width)
        joint = "curve" if pen_width > 3 else None
        self._pen.line(self._at(points), fill=colour, width=pen_width, joint=joint)

    def segments(self, ends: Floats, colour: Colour, width: float) -> None:
        """Very many straight lines (n, 2, 2)."""
        pen_width = self._pen_width(width)
        for row in (self._scale * ends).reshape(-1, 4).tolist():
            self._pen.line(row, fill=colour, width=pen_width)

    def box(
        self, box: Box, fill: Colour | None, outline: Colour | None = None, width: float = 1.0
    ) -> None:
        """A rectangle with slightly rounded corners."""
        corners = self._at(np.array([[box.left, box.top], [box.right, box.bottom]]))
        pen_width = self._pen_width(width) if outline else 0
        radius = 4 * self._scale
        self._pen.rounded_rectangle(corners, radius, fill=fill, outline=outline, width=pen_width)

    def disc(self, x: float, y: float, radius: float, fill: Colour, outline: Colour) -> None:
        """A filled circle with an outline."""
        corners = self._at(np.array([[x - radius, y - radius], [x + radius, y + radius]]))
        self._pen.ellipse(corners, fill=fill, outline=outline, width=self._pen_width(2))

    def polygon(self, points: Floats, fill: Colour) -> None:
        """A filled polygon (k, 2)."""
        self._pen.polygon(self._at(points), fill=fill)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        colour: Colour = INK,
        *,
        anchor: str = "lm",
        bold: bool = False,
    ) -> None:
        """Words at (x, y), anchored as Pillow names it ("lm": left middle, "mm": middle)."""
        words = in_spoken(words)
        spot = (self._scale * x, self._scale * y)
        stroke = BOLD * size * self._scale if bold else 0.0
        self._pen.text(
            spot, words, colour, self._face(words, size), anchor,
            stroke_width=stroke, stroke_fill=colour,
        )  # fmt: skip

    def measure(self, words: str, size: float) -> float:
        """Width of a line of words."""
        words = in_spoken(words)
        return self._pen.textlength(words, self._face(words, size)) / self._scale

    def wrap(self, words: str, size: float, width: float, *, most: int = 4) -> list[str]:
        """Lines no wider than `width`; at most `most` of them, the last then ends in three dots."""
        lines = [""]
        for word in WORDS.findall(in_spoken(words)):
            longer = f"{lines[-1]} {word}".strip()
            if self.measure(longer, size) <= width or not lines[-1]:
                lines[-1] = longer
            else:
                lines.append(word)
        if len(lines) > most:
            lines = [*lines[: most - 1], lines[most - 1] + " ..."]
        return [self._shorten(line, size, width) for line in lines]

    def _shorten(self, line: str, size: float, width: float) -> str:
        if self.measure(line, size) <= width:
            return line
        while line and self.measure(line + "...", size) > width:
            line = line[:-1]
        return line + "..."

    def _face(self, words: str, size: float) -> Font:
        return _font(max(4, round(self._scale * size)), set(words) <= _PLAIN_FONT_HAS)
