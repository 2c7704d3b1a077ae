"""The mark of a wind direction, told apart by shape."""

from __future__ import annotations

from typing import Final

from scenes.colours import BEHIND, INK, PAPER
from scenes.gust_sheet import Sheet

MARK: Final = 11.0
"""Radius [px]."""


def draw_mark(sheet: Sheet, spot: tuple[float, float], kind: str, letter: str = "") -> None:
    """The mark of a direction: a disc, a diamond for the lowest gust, an open square at the rim."""
    x, y = spot
    if kind == "gust":
        sheet.circle(x, y, MARK, PAPER, INK, 2, layer=4)
        sheet.text(x, y, letter, 14, align="center", bold=True)
    elif kind == "lowest":
        far = MARK + 5
        sheet.polygon([(x, y - far), (x + far, y), (x, y + far), (x - far, y)], BEHIND, INK, 2, 4)
        sheet.text(x, y, letter, 14, PAPER, align="center", bold=True)
    else:
        half = MARK - 3
        corners = ((-half, -half), (half, -half), (half, half), (-half, half))
        sheet.polygon([(x + a, y + b) for a, b in corners], PAPER, INK, 2, layer=4)
