"""What the sheet's drawings are made of: a view of the roof, and measures with their letters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot

from scenes.paper.marks import Box, Disc, Mark, Point, Stroke, Words

TICK = 1.3  # [mm] half of the stroke across each end of a measure
SMALLEST = 7.0  # [pt] of any words: smaller ones are hard to read on paper
LETTER_POINTS, TWO_LETTERS_POINTS = 8.0, SMALLEST
DISC = 2.3  # [mm] round a letter
THIN, SHEET, EDGE = 0.15, 0.7, 0.35


@dataclass(slots=True)
class View:
    """A view in the making. origin: where (0, 0) of the roof lies on the page [mm]; scale: paper to roof [1];
    letters: of the measures, by key; shown: keys of the measures drawn so far, in order."""

    origin: Point
    scale: float
    letters: Mapping[str, str]
    marks: list[Mark] = field(default_factory=list)
    tags: list[Mark] = field(default_factory=list)
    shown: list[str] = field(default_factory=list)

    def at(self, point: Point) -> Point:
        """A point of the roof, to the right and up [mm], on the page."""
        return (
            self.origin[0] + point[0] * self.scale,
            self.origin[1] - point[1] * self.scale,
        )

    def draw(self, points: Sequence[Point], width: float = EDGE, **look: object) -> None:
        """A line through points of the roof. look: as `Stroke` has it."""
        through = tuple(self.at(point) for point in points)
        self.marks.append(Stroke(points=through, width=width, **look))  # type: ignore[arg-type]

    def note(self, at: Point, text: str, *, align: str = "middle") -> None:
        """Words at a point of the roof."""
        self.tags.append(Words(at=self.at(at), text=text, points=SMALLEST, align=align))  # type: ignore[arg-type]

    def measure(self, key: str, start: Point, end: Point, share: float = 0.5) -> None:
        """A measure from one point of the roof to another, its letter at a share of the way, which may lie
        beyond either end."""
        (x0, y0), (x1, y1) = self.at(start), self.at(end)
        long = hypot(x1 - x0, y1 - y0)
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        reach = [min(0.0, share * long), max(long, share * long)]
        ends = tuple((x0 + ux * by, y0 + uy * by) for by in reach)
        self.tags.append(Stroke(points=ends, width=THIN))
        for x, y in ((x0, y0), (x1, y1)):
            across = (
                (x - uy * TICK, y + ux * TICK),
                (x + uy * TICK, y - ux * TICK),
            )
            self.tags.append(Stroke(points=across, width=EDGE))
        self._letter(key, (x0 + ux * share * long, y0 + uy * share * long))

    def _letter(self, key: str, at: Point) -> None:
        letter = self.letters[key]
        self.tags += tag(letter, at)
        self.shown.append(key)

    def all(self) -> list[Mark]:
        """What is drawn, measures and letters on top."""
        return [*self.marks, *self.tags]


def tag(letter: str, at: Point) -> list[Mark]:
    """A letter in a disc, its middle at a point of the page [mm]."""
    points = LETTER_POINTS if len(letter) == 1 else TWO_LETTERS_POINTS
    foot = (at[0], at[1] + 0.128 * points)
    return [
        Disc(middle=at, radius=DISC, fill="#ffffff"),
        Words(at=foot, text=letter, points=points, bold=True, align="middle"),
    ]


def disc_boxes(marks: Sequence[Mark]) -> list[Box]:
    """The boxes round the letters' discs [mm]."""
    return [
        (one.middle[0] - one.radius, one.middle[1] - one.radius,
         one.middle[0] + one.radius, one.middle[1] + one.radius)
        for one in marks
        if isinstance(one, Disc)
    ]  # fmt: skip
