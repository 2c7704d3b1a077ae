"""How the blanks lie on rolls and sheets, drawn to a scale, with what is waste."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely

from scenes.cutting.cut_list import CutList
from scenes.cutting.lengths import bare, unit_words, with_unit
from scenes.cutting.packing import Laid, Used
from scenes.cutting.page_marks import SCALES
from scenes.paper.marks import GREY, Mark, Stroke, Words, line, rectangle
from scenes.paper.table import Column
from scenes.report.flow import Flow
from scenes.units_text import in_units, spoken

WASTE, TAKEN = "#d6d6d6", "#f1f1f1"
HIGHEST: Final = 90.0
"""A piece of stock is drawn so high at most [mm]."""
ROOM_FOR_NUMBER: Final = 3.6
"""A blank that is drawn narrower has its number beside the stock [mm]."""
APART: Final = 5.0
"""Numbers beside the stock stand so far apart at least [mm]."""


def stock_pages(flow: Flow, found: CutList) -> None:
    """Each roll and sheet with its blanks, by the numbers of the table of blanks."""
    packing = found.packing
    flow.heading("How the blanks lie on the stock")
    flow.words(
        f"{100 * packing.waste:.0f} % of what is cut off the stock is waste (dark grey; light grey is "
        "cut off round a blank). The left edge of each drawing is the end that is cut first; numbers are "
        "those of the table of blanks. Blanks are seen with their wet side up."
    )  # fmt: skip
    for number, used in enumerate(packing.used, start=1):
        _used(flow, found, used, number)
    sources = dict.fromkeys(used.stock.source for used in packing.used)
    flow.words("Stock sizes: " + "; ".join(sources) + ".", 8.0, colour=GREY)


def _used(flow: Flow, found: CutList, used: Used, number: int) -> None:
    fits = (
        one for one in SCALES
        if used.length * 1000 / one <= flow.width and used.stock.width * 1000 / one <= HIGHEST
    )  # fmt: skip
    scale = next(fits, SCALES[-1])
    long, wide = used.length * 1000 / scale, used.stock.width * 1000 / scale
    if flow.left_over < wide + 45.0:
        flow.new_page()
    flow.words(
        in_units(f"{number}: {with_unit(used.length)} off a {used.stock.words} (drawn 1:{scale})", spoken()),
        bold=True,
    )  # fmt: skip
    x, y = flow.left, flow.y
    marks: list[Mark] = [rectangle((x, y, x + long, y + wide), 0.3, fill=WASTE)]
    beside: list[tuple[float, float, str]] = []
    for laid in used.laid:
        of = _number(found, laid)
        own, middle, room = _blank(found, laid, of, x, y, scale)
        marks += own
        if room >= ROOM_FOR_NUMBER:
            foot = (middle[0], middle[1] + 0.9)
            marks.append(Words(at=foot, text=f"{of}", points=7.0, bold=True, align="middle"))
        else:
            beside.append((*middle, f"{of}"))
    marks += _beside(beside, y + wide)
    flow.filled[-1] += marks
    flow.y += wide + (10.0 if beside else 3.0)
    unit = unit_words()
    columns = [
        Column("No.", 12.0, "right"), Column("Blank", flow.width - 130.0),
        Column(f"From the end, {unit}", 32.0, "right"),
        Column(f"From the upper edge, {unit}", 42.0, "right"),
        Column(f"Along x across, {unit}", 44.0, "right"),
    ]  # fmt: skip
    rows = [
        [
            f"{_number(found, one)}", one.blank.name + (" (turned)" if one.turned else ""),
            bare(one.y), bare(one.x), f"{bare(one.height)} x {bare(one.width)}",
        ]
        for one in used.laid
    ]  # fmt: skip
    flow.rows(columns, rows)


def _number(found: CutList, laid: Laid) -> int:
    """Of a blank's pattern, in the table of blanks."""
    return next(
        at for at, one in enumerate(found.patterns, start=1) if laid.blank.name in one.alike
    )


def _blank(
    found: CutList, laid: Laid, of: int, x: float, y: float, scale: int
) -> tuple[list[Mark], tuple[float, float], float]:
    """A blank on its rectangle; its middle, or where else it is widest, and how wide it is there [mm].

    Along the stock is to the right and across it downwards, which turns a blank and mirrors none.
    """
    to_paper = 1000 / scale
    left, top = x + laid.y * to_paper, y + laid.x * to_paper
    long, wide = laid.height * to_paper, laid.width * to_paper
    marks: list[Mark] = [rectangle((left, top, left + long, top + wide), 0.08, fill=TAKEN)]
    ring = found.patterns[of - 1].outlines[0]
    if laid.turned:
        ring = np.column_stack([laid.blank.height - ring[:, 1], ring[:, 0]])
    points = tuple((left + b * to_paper, top + a * to_paper) for a, b in ring.tolist())
    marks.append(Stroke(points=points, width=0.2, closed=True, fill="#ffffff"))
    shape = shapely.make_valid(shapely.Polygon(points), method="structure", keep_collapsed=False)
    middle = shapely.Point(left + long / 2, top + wide / 2)
    if shape.boundary.distance(middle) < ROOM_FOR_NUMBER / 2 or not shape.contains(middle):
        middle = shapely.Point(shapely.maximum_inscribed_circle(shape, tolerance=0.5).coords[0])
    return marks, (middle.x, middle.y), 2 * shape.boundary.distance(middle)


def _beside(asked: list[tuple[float, float, str]], foot: float) -> list[Mark]:
    """Numbers of narrow blanks under the stock, each with a line to its blank."""
    marks: list[Mark] = []
    last = -APART
    for x, y, text in sorted(asked):
        at = max(x, last + APART)
        last = at
        marks.append(line((x, y), (at, foot + 2.6), 0.12))
        marks.append(Words(at=(at, foot + 5.4), text=text, points=7.0, bold=True, align="middle"))
    return marks
