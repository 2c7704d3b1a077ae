"""What stands on every page: a head with the title, a foot with where it comes from and the page's number."""

from __future__ import annotations

from dataclasses import dataclass

from scenes.paper.marks import GREY, Box, Mark, Words, line
from scenes.paper.sizes import Size
from scenes.paper.text import lines_of

MARGIN = 10.0  # [mm] what most printers can't print on, and a little
HEAD_POINTS, FOOT_POINTS = 13.0, 7.0
HEAD, FOOT = 9.0, 6.0  # [mm] high


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """title: left in the head; beside: right in it; foot: left in the foot."""

    size: Size
    title: str
    beside: str = ""
    foot: str = ""

    @property
    def inside(self) -> Box:
        """What is left between head and foot [mm]."""
        return (
            MARGIN,
            MARGIN + HEAD,
            self.size.width - MARGIN,
            self.size.height - MARGIN - FOOT,
        )

    @property
    def title_is_cut(self) -> bool:
        """Whether the head has no room for all of the title: then a page should say it in full."""
        return len(lines_of(self.title, self._room, HEAD_POINTS, True)) > 1

    @property
    def _room(self) -> float:
        """For the title [mm]."""
        left, _, right, _ = self.inside
        beside = Words(at=(0.0, 0.0), text=self.beside, points=FOOT_POINTS)
        return right - left - beside.width - 4

    def marks(self, number: int, pages: int) -> list[Mark]:
        """Head and foot of page `number`, from 1, of so many. Texts that are too long are cut."""
        left, top, right, bottom = self.inside
        beside = Words(
            at=(right, top - 3.5), text=self.beside, points=FOOT_POINTS, align="right", colour=GREY
        )
        counted = Words(
            at=(right, bottom + FOOT - 1), text=f"page {number} of {pages}", points=FOOT_POINTS,
            align="right", colour=GREY,
        )  # fmt: skip
        return [
            Words(
                at=(left, top - 3.5), text=_cut(self.title, self._room, HEAD_POINTS, True),
                points=HEAD_POINTS, bold=True,
            ),
            *([beside] if self.beside else []),
            line((left, top - 1.2), (right, top - 1.2), 0.3),
            Words(
                at=(left, bottom + FOOT - 1),
                text=_cut(self.foot, right - left - counted.width - 4, FOOT_POINTS, False),
                points=FOOT_POINTS, colour=GREY,
            ),
            counted,
        ]  # fmt: skip


def _cut(text: str, width: float, points: float, bold: bool) -> str:
    lines = lines_of(text, width, points, bold)
    if len(lines) == 1:
        return lines[0]
    dots = "\u2026"
    return lines_of(text, width - points * 0.36, points, bold)[0] + dots
