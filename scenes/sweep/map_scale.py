"""How the figures of a sweep are coloured: the ramp, its ends, and its bar in the legend."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from scenes.colours import INK, PAPER, PLAIN, Colour, on_the_ramp
from scenes.gust_sheet import Sheet
from scenes.label_layout import Box
from scenes.sweep.shown import Point, Shown

DARKEST: Final = 0.45
"""Where on the ramp the colours begin: darker ones would hide figures and hatching."""
STEPS: Final = 60


@dataclass(frozen=True, slots=True)
class Scale:
    """Colours of figures from `low` to `high`."""

    shown: Shown
    low: float
    high: float

    @staticmethod
    def of(shown: Shown) -> Scale:
        """From nought for shares of leaks, else over the figures that there are."""
        known = [point.figure for point in shown.done if point.figure is not None]
        low = 0.0 if shown.measure == "leak" else min(known, default=0.0)
        return Scale(shown, low, max(known, default=0.0))

    def colour(self, point: Point | None) -> Colour:
        """Of a case: paper where nothing is known, plain where nothing gets in at all."""
        if point is None or point.status != "done":
            return PAPER
        if point.figure is None or (self.shown.measure == "leak" and not point.figure):
            return PLAIN
        return self._of(point.figure)

    def _of(self, figure: float) -> Colour:
        along = (figure - self.low) / (self.high - self.low) if self.high > self.low else 1.0
        red, green, blue = on_the_ramp([DARKEST + (1 - DARKEST) * along])[0].tolist()
        return red, green, blue

    def draw_bar(self, sheet: Sheet, box: Box) -> float:
        """The bar with its ends and middle; where it ends [px]."""
        height = 18.0
        for step in range(STEPS):
            left, right = (box.left + box.width * (step + k) / STEPS for k in (0, 1))
            figure = self.low + (self.high - self.low) * (step + 0.5) / STEPS
            corners = _corners(left, box.top, right, box.top + height)
            sheet.polygon(corners, self._of(figure))
        sheet.polygon(
            _corners(box.left, box.top, box.right, box.top + height), None, INK, 1, layer=2
        )
        below = box.top + height + 14
        middle = (self.low + self.high) / 2
        ticks = (
            (box.left, self.low, "left"), ((box.left + box.right) / 2, middle, "center"),
            (box.right, self.high, "right"),
        )  # fmt: skip
        for at, figure, align in ticks if self.high > self.low else ticks[1:2]:
            sheet.text(at, below, self.shown.figure_words(figure), 13, align=align)
        return below + 8


def _corners(left: float, top: float, right: float, bottom: float) -> list[tuple[float, float]]:
    return [(left, top), (right, top), (right, bottom), (left, bottom)]
