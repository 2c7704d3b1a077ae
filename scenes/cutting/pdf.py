"""The cut list as PDF pages: what to cut, the order of dressing, how it lies on stock, patterns."""

from __future__ import annotations

from typing import Final

from scenes.cautions import cautions_for
from scenes.cutting.cut_list import CutList
from scenes.cutting.dressing import Dressing
from scenes.cutting.lengths import bare, unit_words
from scenes.cutting.pdf_dressing import dressing_pages
from scenes.cutting.pdf_patterns import pattern_pages
from scenes.cutting.pdf_stock import stock_pages
from scenes.cutting.say import WET_SIDE
from scenes.cutting.say_pattern import size_words
from scenes.paper.frame import Frame
from scenes.paper.marks import GREY
from scenes.paper.pdf import pdf_of
from scenes.paper.sizes import A4, Size
from scenes.paper.table import Column
from scenes.report.flow import Flow
from scenes.scene import Scene
from scenes.units import METRIC, Units
from scenes.units_text import in_units, spoken, spoken_in

WHAT: Final = (
    "What to cut for this stack, how it is folded, in which order it goes on, and how it lies on the stock. "
    "Patterns at the end are drawn to a scale that is said beside each, with a bar to check the print by."
)
FULL_SIZE: Final = "The folder patterns, beside this file, has every blank at full size (DXF, SVG)."
CHECK: Final = (
    "Measure the roof again before cutting: these are the blanks of a model. A mistake in one measure is in "
    "every blank that follows from it."
)


def cut_pdf(
    found: CutList, scene: Scene, dressing: Dressing, size: Size = A4, units: Units = METRIC
) -> bytes:
    """The cut list as a PDF file. size: of the paper; units: of every figure on it."""
    return pdf_of(cut_flow(found, scene, dressing, size, units).pages(), f"Cut list. {scene.title}")


def cut_flow(
    found: CutList, scene: Scene, dressing: Dressing, size: Size = A4, units: Units = METRIC
) -> Flow:
    """The cut list set on pages."""
    from scenes import __version__

    foot = f"stackrain {__version__}, scene {scene.file}, SHA-256 {scene.sha256[:16]}"
    flow = Flow(Frame(size=size, title=f"Cut list. {scene.title}", foot=foot))
    with spoken_in(units):
        _head(flow, found, scene)
        _blanks(flow, found)
        _steps(flow, found)
        _remarks(flow, found)
        dressing_pages(flow, found, dressing)
        flow.new_page()
        stock_pages(flow, found)
        pattern_pages(flow, found)
    return flow


def _head(flow: Flow, found: CutList, scene: Scene) -> None:
    if flow.frame.title_is_cut:
        flow.words(flow.frame.title, 11.0, bold=True)
    if scene.note:
        flow.words(scene.note, bold=True)
    material = found.material
    flow.words(f"{WHAT} {FULL_SIZE}")
    flow.words(
        in_units(
            f"Material: {material.name}, {material.thickness * 1000:g} mm thick, {material.mass:g} kg/m2. "
            f"Lengths in {unit_words()}. {WET_SIDE}", spoken(),
        )
    )  # fmt: skip
    if found.faults:
        flow.words("Wrong on purpose in this model:", bold=True)
        flow.listed([_fault(one) for one in found.faults])
    if found.left_out:
        flow.words("Can't be cut from this stock:", bold=True)
        flow.listed([in_units(why, spoken()) for why in found.left_out])


def _fault(fault: dict[str, object]) -> str:
    where = f", {fault['where']}" if fault["where"] else ""
    return in_units(f"{fault['name']}{where}: {fault['how_bad']}. {fault['done_wrong']}", spoken())


def _blanks(flow: Flow, found: CutList) -> None:
    """The table of blanks, and what they come to."""
    flow.heading("Blanks")
    imperial = spoken().is_imperial
    columns = [
        Column("No.", 11.0, "right"), Column("Blank", flow.width - 124.0),
        Column("Cut", 11.0, "right"), Column("Hand", 15.0),
        Column(f"Width x height, {unit_words()}", 44.0, "right"),
        Column("Area, sq ft" if imperial else "Area, m2", 22.0, "right"),
        Column("Mass, lb" if imperial else "Mass, kg", 21.0, "right"),
    ]  # fmt: skip
    rows = [
        [
            f"{number}", ", ".join(one.alike), f"{one.count}",
            one.hand if one.hand != "none" else "-", size_words(one), _area(one.area),
            _mass(found.mass(one)),
        ]
        for number, one in enumerate(found.patterns, start=1)
    ]  # fmt: skip
    total = found.area
    rows.append(
        ["", "in all", f"{sum(one.count for one in found.patterns)}", "", "", _area(total),
         _mass(total * found.material.mass)]
    )  # fmt: skip
    flow.rows(columns, rows)
    flow.words(
        "Area and mass are those of one blank, and in the last line of all.", 8.0, colour=GREY
    )


def _area(square_metres: float) -> str:
    return in_units(f"{square_metres:.3f} m2", spoken()).split()[0]


def _mass(kilograms: float) -> str:
    return spoken().mass(kilograms).split()[0]


def _steps(flow: Flow, found: CutList) -> None:
    if not found.steps:
        return
    flow.heading("Steps")
    flow.words(
        "From the front up. Along: on the lower edge, which runs up the slope, from the stack's front corner "
        "to where the tread begins. Rise: above the step below, the first above the covering at the front."
    )  # fmt: skip
    heads = ("Step", "Along", "Tread", "Rise", "Turn-in")
    columns = [Column("Side", 22.0), *(Column(head, 24.0, "right") for head in heads)]
    rows = [
        [one.side, f"{one.number}", *map(bare, (one.along, one.tread, one.rise, one.turn_in))]
        for one in found.steps
    ]
    flow.rows(columns, rows)


def _remarks(flow: Flow, found: CutList) -> None:
    flow.heading("Worth knowing")
    flow.listed([in_units(text, spoken()) for text in (*found.remarks, CHECK)])
    flow.heading("Cautions")
    flow.listed(list(cautions_for(found.material.name)))
