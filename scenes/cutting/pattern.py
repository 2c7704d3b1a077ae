"""What is cut out of one sheet: outline, bend lines, joints, size, and the words that go with it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets
from scenes.cutting.folds import Fold

Lines = tuple[NDArray[np.float64], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """An edge to join. number: of the seam within its piece; lines: where it lies on this pattern, each
    (2, 2) [m]; length [m]; meets: what it is joined to; how: soldered, welded, bossed or patched."""

    number: int
    lines: Lines
    length: float
    meets: str
    how: str


@dataclass(frozen=True, slots=True, eq=False)
class Lap:
    """Where a divided piece is lapped. line: (2, 2) [m], how far the next part reaches; width [m];
    meets: the next part; over: whether this part lies over it."""

    line: NDArray[np.float64]
    width: float
    meets: str
    over: bool


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """One blank, from (0, 0) to `size` [m], wet side up, the way up the slope upwards.

    name: of the blank; piece: that it is of; hand: left, right or none; outlines: rings [m], holes
    clockwise; up: (2,) up the slope, where its panels agree; area [m2]; stretch: share that dressing
    lengthens its foot by; folded: the folded piece, facets: which of its facets these are; alike: names
    of all blanks of this shape and hand, its own first; notes: what else to know.
    """

    name: str
    piece: str
    hand: str
    outlines: Lines
    folds: tuple[Fold, ...]
    worked: tuple[Worked, ...]
    laps: tuple[Lap, ...]
    size: tuple[float, float]
    up: NDArray[np.float64] | None
    area: float
    stretch: float
    folded: Facets
    facets: tuple[int, ...]
    alike: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many blanks are cut so."""
        return len(self.alike)

    @property
    def numbered(self) -> tuple[Fold, ...]:
        """The bend lines that have a number, in its order from 1: not those of edges only dressed."""
        return tuple(fold for fold in self.folds if not fold.is_dressed)

    @property
    def slug(self) -> str:
        """Its name as a file's: `back-gutter-part-1`."""
        letters = "".join(one if one.isascii() and one.isalnum() else " " for one in self.name)
        return "-".join(letters.lower().split())
