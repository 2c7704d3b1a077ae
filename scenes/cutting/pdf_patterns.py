"""The pages of patterns: each blank at a scale that is said, the folded piece beside, its bends in words."""

from __future__ import annotations

from typing import Final

from scenes.cutting.cut_list import CutList
from scenes.cutting.folded_view import View, folded_view
from scenes.cutting.lengths import unit_words
from scenes.cutting.page_marks import bar_marks, drawing_marks, fitted, key_marks
from scenes.cutting.pattern import Pattern
from scenes.cutting.say_pattern import DASH, pattern_rows, size_words
from scenes.paper.marks import GREY, Mark, Point, Stroke, Words, line, moved
from scenes.paper.text import line_height, paragraph
from scenes.report.flow import Flow
from scenes.units_text import in_units, spoken

SHARE: Final = 0.52
"""What a drawing may have of a page's height."""
VIEW: Final = 58.0
"""The folded piece is drawn so wide and high at most [mm]."""
BAR_HIGH: Final = 12.0
"""What the bar and the key take [mm]."""
SMALL: Final = 8.0
"""Points of what is looked up."""
MARK_WIDE: Final = 12.0
"""Room for the numbers before the words [mm]."""
LEAST: Final = 30.0
"""Of a pattern's words so much stays on the page with its drawing [mm]."""


def pattern_pages(flow: Flow, found: CutList) -> None:
    """Every blank of the cut list, those of one shape once, on pages of their own or together."""
    flow.new_page()
    flow.heading("Patterns", 13.0)
    for number, one in enumerate(found.patterns, start=1):
        _pattern(flow, found, one, number)


def facts(found: CutList, one: Pattern) -> str:
    """Material, mass, size and hand of a blank."""
    hand = f", {one.hand} hand" if one.hand != "none" else ""
    mass = in_units(f"{found.mass(one):.2f} kg", spoken())
    return f"{found.material.name}, {mass}, {size_words(one)} {unit_words()}{hand}"


def _pattern(flow: Flow, found: CutList, one: Pattern, number: int) -> None:
    room = SHARE * (flow.frame.inside[3] - flow.top)
    drawing, scale = fitted(one, flow.width, room, spoken())
    wide, high = ((drawing.box[1] - drawing.box[0]) / scale).tolist()
    view = folded_view(one.folded, one.facets, VIEW)
    beside = max(view.size[1] + 6.0, LEAST)
    if flow.left_over < high + BAR_HIGH + beside + 22.0 and flow.y > flow.top + 12.0:
        flow.new_page()
    cut = f", cut {one.count}" if one.count > 1 else ""
    flow.words(f"{number}  {one.name}{cut}", 11.0, bold=True)
    flow.words(
        f"{facts(found, one)}. Drawn 1:{scale}, wet side up, the way up the slope upwards. "
        f"Lengths in {unit_words()}.", SMALL, colour=GREY,
    )  # fmt: skip
    flow.gap(2.0)
    at = (flow.left + (flow.width - wide) / 2, flow.y)
    flow.filled[-1] += drawing_marks(drawing, scale, at)
    flow.y += high + 4.0
    flow.filled[-1] += bar_marks(scale, (flow.left, flow.y), spoken())
    flow.filled[-1] += key_marks((flow.left + 118.0, flow.y + 1.0))
    flow.y += BAR_HIGH
    page, top = len(flow.filled), flow.y
    right = flow.left + flow.width - VIEW
    flow.filled[-1] += _folded(view, (right, top))
    alike = [(DASH, "for " + ", ".join(one.alike))] if one.count > 1 else []
    for mark, text in (*pattern_rows(one), *alike):
        _row(flow, mark, text, right - 4.0 - flow.left)
    if len(flow.filled) == page:
        flow.y = max(flow.y, top + view.size[1] + 8.0)
    flow.gap(3.0)
    if flow.left_over > 5.0:
        ends = (flow.left, flow.y), (flow.left + flow.width, flow.y)
        flow.filled[-1].append(line(*ends, 0.15, colour=GREY))
    flow.gap(4.0)


def _row(flow: Flow, mark: str, text: str, wide: float) -> None:
    """One row of the words beside the folded piece; it begins another page where it has no room."""
    lines, high = paragraph(
        in_units(text, spoken()), (flow.left + MARK_WIDE, 0.0), wide - MARK_WIDE, SMALL
    )
    if flow.left_over < high:
        flow.new_page()
    shown = [Words(at=(flow.left, lines[0].at[1]), text=mark, points=SMALL, bold=True), *lines]
    flow.filled[-1] += [moved(one, 0.0, flow.y) for one in shown]
    flow.y += high + 0.35 * line_height(SMALL)


def _folded(view: View, at: Point) -> list[Mark]:
    """The folded piece, and under it from where it is seen."""
    x, y = at
    left = x + (VIEW - view.size[0]) / 2
    marks: list[Mark] = [
        Stroke(
            points=tuple((left + a, y + view.size[1] - b) for a, b in face.corners.tolist()),
            width=0.3 if face.own else 0.1,
            closed=True,
            fill="#ffffff" if face.wet else "#cccccc",
        )
        for face in view.faces
    ]
    words = f"Folded, seen from {view.seen_from}. Grey: the side that lies down."
    lines, _ = paragraph(words, (x, y + view.size[1] + 1.5), VIEW, 6.5, colour=GREY)
    return [*marks, *lines]
