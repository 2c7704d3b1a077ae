"""The order of dressing on pages: a number, a small picture and a few words for each part."""

from __future__ import annotations

from typing import Final

from meshes.sheet import Facets
from scenes.cutting.cut_list import CutList
from scenes.cutting.dressing import NO_LAP, Dressing, Step
from scenes.cutting.dressing_view import dressing_view
from scenes.cutting.say import before_words
from scenes.paper.marks import GREY, moved
from scenes.paper.text import paragraph
from scenes.report.flow import HANG, Flow
from scenes.stage_words import capital
from scenes.units_text import in_units, spoken

WIDE, HIGH = 74.0, 50.0
"""Room for a picture [mm]."""
GAP: Final = 5.0


def dressing_pages(flow: Flow, found: CutList, dressing: Dressing) -> None:
    """Every part in its order, with a picture: of underlay and covering what lies near the pieces."""
    flow.new_page()
    flow.heading("Dressing order", 13.0)
    flow.words(
        f"{capital(before_words(dressing))}. In each picture the new piece has heavier lines and is "
        "shaded; the stack is cut off above it. Laps are measured on the model, square to the edge that "
        "is named.", colour=GREY,
    )  # fmt: skip
    order = [found.pieces[step.name] for step in dressing.steps if step.name in found.pieces]
    facets = [made.facets for made in order]
    at = {made.name: place for place, made in enumerate(order)}
    for step in dressing.steps:
        if step.name in at:
            place = at[step.name]
            _pictured(flow, found, step, facets[:place], facets[place], facets[place + 1 :])
        elif step.sheet is not None:
            fitted = [
                facets[at[one.name]] for one in dressing.steps[: step.number] if one.name in at
            ]
            _pictured(
                flow, found, step, fitted, step.sheet, [one for one in facets if one not in fitted]
            )
        else:
            _words(flow, step, 0.0)


def _pictured(
    flow: Flow, found: CutList, step: Step, fitted: list[Facets], new: Facets, later: list[Facets]
) -> None:
    if flow.left_over < HIGH + 6.0:
        flow.new_page()
    marks, seen = dressing_view(found.detail, fitted, new, later, WIDE, HIGH - 4.0)
    top, page = flow.y, len(flow.filled)
    flow.filled[-1] += [moved(mark, flow.left, top) for mark in marks]
    below, _ = paragraph(seen, (flow.left, top + HIGH - 3.0), WIDE, 6.5, colour=GREY)
    flow.filled[-1] += below
    _words(flow, step, WIDE + GAP)
    if len(flow.filled) == page:
        flow.y = max(flow.y, top + HIGH + 4.0)


def _words(flow: Flow, step: Step, inset: float) -> None:
    flow.words(f"{step.number}  {capital(step.name)}", 10.0, bold=True, inset=inset + 2.0)
    for one in step.over:
        flow.words(
            in_units(f"Over {one.words}.", spoken()), inset=inset + HANG + 2.0, points=8.5, mark="-"
        )
    if not step.over:
        flow.words(NO_LAP, 8.5, inset=inset + HANG + 2.0)
    for text in (step.folds, step.course):
        if text:
            flow.words(text, 8.5, inset=inset + HANG + 2.0)
    flow.gap(2.0)
