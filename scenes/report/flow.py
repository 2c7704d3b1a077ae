"""Words, pictures and tables set one below the other, over as many pages as they take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from io import BytesIO

from PIL import Image

from scenes.paper.frame import Frame
from scenes.paper.marks import BLACK, Mark, Page, Picture, moved, rectangle
from scenes.paper.table import Column, table
from scenes.paper.text import line_height, paragraph

HANG = 5.0
"""How far a list's lines stand in [mm]."""
DASH = "-"
"""Before each line of a list."""
LEAST_LINES = 3
"""A heading keeps so many lines of what follows on its page."""


@dataclass(slots=True)
class Flow:
    """Pages being filled from above. `frame` stands round each; y: where the next block begins [mm]."""

    frame: Frame
    filled: list[list[Mark]] = field(default_factory=lambda: [[]])
    y: float = -1.0

    def __post_init__(self) -> None:
        self.y = self.top

    @property
    def top(self) -> float:
        """Where a page begins [mm]."""
        return self.frame.inside[1] + 2.0

    @property
    def left(self) -> float:
        """Where lines begin [mm]."""
        return self.frame.inside[0]

    @property
    def width(self) -> float:
        """Room for lines [mm]."""
        return self.frame.inside[2] - self.frame.inside[0]

    @property
    def left_over(self) -> float:
        """Room to the foot of the page [mm]."""
        return self.frame.inside[3] - 1.0 - self.y

    def new_page(self) -> None:
        """Go on at the top of another page."""
        self.filled.append([])
        self.y = self.top

    def gap(self, height: float) -> None:
        """Leave so much free [mm]."""
        self.y += height

    def heading(self, text: str, points: float = 11.0) -> None:
        """A heading, with room for what follows on the same page."""
        if self.left_over < line_height(points) + LEAST_LINES * line_height(9.0) + 3.0:
            self.new_page()
        self.y += 3.0 if self.y > self.top else 0.0
        self.words(text, points, bold=True)
        self.y += 0.8

    def words(
        self, text: str, points: float = 9.0, *, bold: bool = False, colour: str = BLACK,
        inset: float = 0.0, mark: str = "", kept: bool = False,
    ) -> None:  # fmt: skip
        """A paragraph, inset so far [mm], with a mark before it; one that has no room on this page
        begins the next, and one longer than a page runs on. kept: on one page with the next two lines."""
        at = (self.left + inset, 0.0)
        lines, _ = paragraph(text, at, self.width - inset, points, bold=bold, colour=colour)
        step = line_height(points)
        if self.left_over < (min(len(lines), LEAST_LINES) + 2 * kept) * step:
            self.new_page()
        if mark:
            first, _ = paragraph(mark, (self.left + inset - HANG, 0.0), HANG, points, bold=True)
            self.filled[-1] += [moved(one, 0.0, self.y) for one in first]
        start = lines[0].at[1] if lines else 0.0
        for line in lines:
            if self.left_over < step:
                self.new_page()
            self.filled[-1].append(moved(line, 0.0, self.y + start - line.at[1]))
            self.y += step
        self.y += 0.8

    def listed(self, texts: Sequence[str], points: float = 9.0) -> None:
        """Lines of a list, each with a dash before it."""
        for text in texts:
            self.words(text, points, inset=HANG, mark=DASH)

    def picture(self, content: bytes, highest: float) -> None:
        """A picture (PNG) over the whole width, at most so high [mm]."""
        with Image.open(BytesIO(content)) as image:
            ratio = image.height / image.width
        wide = min(self.width, highest / ratio)
        high = wide * ratio
        if self.left_over < high:
            self.new_page()
        x = self.left + (self.width - wide) / 2
        box = (x, self.y, x + wide, self.y + high)
        self.filled[-1] += [Picture(box=box, content=content), rectangle(box, 0.15)]
        self.y += high + 2.0

    def rows(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """A table, with its heads on every page that it takes."""
        whole = self.frame.inside[3] - 1.0 - self.top
        if self.left_over < 4 * line_height(8.0):
            self.new_page()
        for number, part in enumerate(table(columns, rows, [self.left_over, whole])):
            if number:
                self.new_page()
            self.filled[-1] += [moved(mark, self.left, self.y) for mark in part.marks]
            self.y += part.height
        self.y += 2.0

    def bar(self, colour: str, height: float) -> None:
        """A bar beside the block of so much height [mm] that comes next."""
        box = (self.left, self.y, self.left + 1.8, self.y + height)
        self.filled[-1].append(rectangle(box, colour=None, fill=colour))

    def pages(self) -> list[Page]:
        """All pages with their frames."""
        count = len(self.filled)
        return [
            Page(size=self.frame.size, marks=(*self.frame.marks(number, count), *marks))
            for number, marks in enumerate(self.filled, start=1)
        ]
