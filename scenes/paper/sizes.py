"""Sizes of paper, by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

POINT: Final = 25.4 / 72
"""Of type, and a PDF's own unit [mm]."""

PaperName = Literal["a4", "a3", "letter"]


@dataclass(frozen=True, slots=True)
class Size:
    """width, height [mm]."""

    width: float
    height: float

    @property
    def turned(self) -> Size:
        """The same on its side."""
        return Size(self.height, self.width)


A4: Final = Size(210.0, 297.0)
A3: Final = Size(297.0, 420.0)
LETTER: Final = Size(8.5 * 25.4, 11 * 25.4)
SIZES: Final[dict[PaperName, Size]] = {"a4": A4, "a3": A3, "letter": LETTER}
