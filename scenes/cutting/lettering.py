"""Texts on a drawing: each where it lies on no other, else beside the drawing with a line to its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, pi, radians, sin

import numpy as np
import shapely
from numpy.typing import NDArray

WIDE = 0.62  # [1] of its height, a letter on the mean: no usual upright typeface runs wider
LIFT = 0.75  # [1] of a letter, from a line to the middle of the text beside it
NEAR = (
    2.0,
    3.5,
    5.0,
    7.0,
    9.0,
)  # [1] of a letter, how far off a text is tried that has no room beside
TURNS = 16  # ways in which it is
SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """at: (2,) the middle of the text [mm], y upwards; angle: anticlockwise [degrees]; height [mm]."""

    at: NDArray[np.float64]
    words: str
    angle: float
    height: float

    @property
    def corners(self) -> NDArray[np.float64]:
        """(4, 2) of the rectangle that the text takes at most."""
        half = np.array([len(self.words) * WIDE * self.height, 1.1 * self.height]) / 2
        c, s = cos(radians(self.angle)), sin(radians(self.angle))
        turn = np.array([[c, -s], [s, c]])
        signs = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
        return self.at + (signs * half) @ turn.T


class Board:
    """Texts put on a drawing one by one. texts: those put so far."""

    def __init__(
        self, lines: Sequence[NDArray[np.float64]], size: tuple[float, float], letter: float
    ) -> None:
        """lines: drawn already, each (n, 2) [mm]; size: of the blank; letter: height of texts [mm]."""
        self.texts: list[Text] = []
        self.letter = letter
        self._lines = [shapely.LineString(line) for line in lines]
        self._size = size
        self._taken: list[shapely.Polygon] = []
        self._measures: list[shapely.LineString] = []

    def put(self, at: NDArray[np.float64], words: str, angle: float) -> None:
        """Put a text where it is asked for."""
        self._add(Text(at, words, angle, self.letter))

    def keep_off(self, lines: Sequence[NDArray[np.float64]]) -> None:
        """Lines (n, 2) [mm] that are drawn already: no text lies on them from now on."""
        self._lines += [shapely.LineString(line) for line in lines]

    def along(self, line: NDArray[np.float64], words: str) -> list[NDArray[np.float64]]:
        """Write along a line (2, 2): beside it, off other lines, if there is room; else near it, else to the
        right of the blank. Returns the lines that lead there."""
        if self._beside(line, words):
            return []
        middle = line.mean(axis=0)
        half = len(words) * WIDE * self.letter / 2
        for away in NEAR:
            for turn in range(TURNS):
                angle = 2 * pi * turn / TURNS
                way = np.array([cos(angle), sin(angle)])
                at = middle + way * away * self.letter
                at[0] += half * np.sign(round(way[0], 6))
                text = Text(at, words, 0.0, self.letter)
                end = at - np.array([half * np.sign(round(way[0], 6)), 0.0])
                lead = np.array([middle, end - way * 0.4 * self.letter])
                if self._is_free(text, clear=True) and not self._crosses(lead):
                    self._add(text)
                    self.keep_off([lead])
                    return [lead]
        rows = np.arange(len(self.texts) + 2) * 1.5 * self.letter
        for off in sorted((*rows, *-rows), key=abs):
            at = np.array([self._size[0] + 14 * self.letter + half, middle[1] + off])
            text = Text(at, words, 0.0, self.letter)
            if self._is_free(text, clear=False):
                self._add(text)
                break
        lead = np.array([middle, at - np.array([half + 0.3 * self.letter, 0.0])])
        self.keep_off([lead])
        return [lead]

    def measure(self, line: NDArray[np.float64], words: str) -> bool:
        """Draw a dimension line (2, 2) where it crosses no text and lies on no other, and write along it;
        says whether there is room for both."""
        drawn = shapely.LineString(line)
        if any(drawn.intersects(box) for box in self._taken):
            return False
        if any(drawn.distance(other) < 0.6 * self.letter for other in self._measures):
            return False
        if not self._beside(line, words):
            return False
        self._measures.append(drawn)
        self._lines.append(drawn)
        return True

    def _beside(self, line: NDArray[np.float64], words: str) -> bool:
        a, b = line
        way = b - a
        length = float(np.hypot(*way))
        if length == 0:
            return False
        angle = degrees(atan2(way[1], way[0]))
        if angle > 90.5 or angle <= -89.5:
            angle = (angle + 180) % 360 if angle <= -89.5 else angle - 180
        way = way / length
        across = np.array([-way[1], way[0]])
        for side in (1.0, -1.0):
            for share in SHARES:
                at = a + way * length * share + across * side * LIFT * self.letter
                text = Text(at, words, angle, self.letter)
                if self._is_free(text, clear=True):
                    self._add(text)
                    return True
        return False

    def _is_free(self, text: Text, *, clear: bool) -> bool:
        """Whether a text lies on no other and, if it must be clear, on no line."""
        box = shapely.Polygon(text.corners)
        if any(box.intersects(other) for other in self._taken):
            return False
        inner = box.buffer(-0.1 * self.letter)
        return not (clear and any(inner.intersects(other) for other in self._lines))

    def _crosses(self, line: NDArray[np.float64]) -> bool:
        """Whether a line (2, 2) runs through a text."""
        drawn = shapely.LineString(line)
        return any(drawn.intersects(box) for box in self._taken)

    def _add(self, text: Text) -> None:
        self.texts.append(text)
        self._taken.append(shapely.Polygon(text.corners))
