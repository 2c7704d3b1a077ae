"""The measure sheet: one page with the drawings, a blank for every question, and the cautions."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from scenes.cautions import CAUTIONS
from scenes.measuring import plan_view, section_view
from scenes.measuring.drawing import SMALLEST, View
from scenes.measuring.interview import letters
from scenes.measuring.rows_now import QUESTIONS
from scenes.measuring.sheet_rows import columns_of_rows
from scenes.paper.frame import Frame
from scenes.paper.marks import GREY, Mark, Page, Words, line, moved
from scenes.paper.scale_bar import scale_bar
from scenes.paper.sizes import SIZES, PaperName
from scenes.paper.table import Column, table
from scenes.paper.text import paragraph
from scenes.units import Units, UnitsName
from scenes.units_text import in_units

TITLE: Final = "Measure sheet: a stack and its flashings"
FOOT: Final = (
    "Letters: as `stackrain new NAME --ask`. Not to scale. Leave out what you can't reach."
)
HOW_TITLE: Final = "How and where each is measured"
HOW_POINTS: Final = SMALLEST
CAPTIONS: Final = ("From the side, cut up the slope", "From above")
BARS: Final[dict[UnitsName, tuple[float, int, str]]] = {
    "metric": (50.0, 5, "50 mm"),
    "imperial": (50.8, 4, "2 in"),
}
"""The bar to see by whether a page came out at its size: length [mm], parts, words."""
ROWS: Final[dict[PaperName, float]] = {"a4": 6.3, "letter": 5.8}
"""How high a line to write on is [mm]: what the drawings leave."""
GAP: Final = 5.0  # [mm] between the columns
CAUTION_POINTS: Final = SMALLEST


def sheet_page(paper: PaperName, units: Units, pages: int = 1) -> Page:
    """The sheet as marks on a page, the first of so many."""
    frame = Frame(size=SIZES[paper], title=TITLE, foot=FOOT)
    left, top, right, bottom = frame.inside
    marks: list[Mark] = [*frame.marks(1, pages), *_whose(left, top, right)]
    top += 8
    foot, foot_high = _foot(left, right, units)
    marks += [moved(mark, 0.0, bottom - foot_high) for mark in foot]
    wide = (right - left - GAP) / 2
    columns = columns_of_rows(QUESTIONS, letters(QUESTIONS), units, wide, ROWS[paper])
    rows_high = max(high for _, high in columns)
    rows_top = bottom - foot_high - rows_high - 1
    for number, (drawn, _) in enumerate(columns):
        marks += [moved(mark, left + number * (wide + GAP), rows_top) for mark in drawn]
    for view, caption in zip(views((left, top + 4, right, rows_top - 1)), CAPTIONS, strict=True):
        x = left if caption == CAPTIONS[0] else view.at((-plan_view.VERGE, 0))[0]
        marks += [Words(at=(x, top + 3.5), text=caption, points=8.5, bold=True), *view.all()]
    return Page(size=frame.size, marks=tuple(marks))


def views(box: tuple[float, float, float, float]) -> tuple[View, View]:
    """The view from the side and that from above, side by side in a box [mm]."""
    left, top, right, bottom = box
    high, marks = bottom - top, letters(QUESTIONS)
    share = section_view.WIDE / section_view.TALL
    share /= share + plan_view.WIDE / plan_view.TALL
    middle = left + share * (right - left - 4)
    side = min((middle - left) / section_view.WIDE, high / section_view.TALL)
    section = View(
        origin=(left - section_view.LEFT * side, bottom + section_view.LOW * side),
        scale=side,
        letters=marks,
    )
    section_view.draw_section(section)
    above = min((right - middle - 4) / plan_view.WIDE, high / plan_view.TALL)
    plan = View(
        origin=(right - plan_view.WIDE / 2 * above, bottom + (plan_view.LOW - 20) * above),
        scale=above,
        letters=marks,
    )
    plan_view.draw_plan(plan)
    return section, plan


def how_page(paper: PaperName, units: Units) -> Page:
    """The sheet's other side: how and where each measure is taken."""
    marks = letters(QUESTIONS)
    frame = Frame(size=SIZES[paper], title=HOW_TITLE, foot=FOOT)
    left, top, right, bottom = frame.inside
    columns = (Column("", 9.0), Column("What", 42.0), Column("How and where", right - left - 51))
    rows = [[marks.get(one.key, ""), one.words, in_units(one.how, units)] for one in QUESTIONS]
    (listed,) = table(columns, rows, [bottom - top], HOW_POINTS)
    placed = [moved(mark, left, top) for mark in listed.marks]
    return Page(size=frame.size, marks=(*frame.marks(2, 2), *placed))


def sheet_bytes(file: Path, paper: PaperName, units: Units, *, how: bool = False) -> bytes:
    """The sheet as the bytes of a file of that ending: a PDF, or an SVG. how: with its other side."""
    page = sheet_page(paper, units, 1 + how)
    if file.suffix.lower() == ".svg":
        from scenes.paper.svg import svg_of

        return svg_of(page, TITLE).encode()
    from scenes.paper.pdf import pdf_of

    return pdf_of([page, how_page(paper, units)] if how else [page], TITLE)


def _whose(left: float, top: float, right: float) -> list[Mark]:
    """Blanks for whose roof it is, when, by whom."""
    marks: list[Mark] = []
    x = left
    for text, share in (("House", 0.54), ("Date", 0.2), ("By", 0.26)):
        wide = share * (right - left)
        words = Words(at=(x, top + 5), text=text, points=8)
        marks += [words, line((words.box[2] + 1.5, top + 5.6), (x + wide - 3, top + 5.6), 0.2)]
        x += wide
    return marks


def _foot(left: float, right: float, units: Units) -> tuple[list[Mark], float]:
    """Cautions, and a bar to see whether the page came out at its size; from (0, 0) down."""
    bar, parts, long = BARS[units.name]
    marks: list[Mark] = [line((left, 0.5), (right, 0.5), 0.2)]
    lines, high = paragraph(
        " ".join(CAUTIONS), (left, 1.6), right - left - bar - 8, CAUTION_POINTS, colour=GREY
    )
    words = f"{long}, if printed at full size"
    marks += [*lines, *scale_bar((right - bar, 2.5), bar, parts, words)]
    return marks, max(high + 2.2, 8.0)
