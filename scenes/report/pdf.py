"""The report as PDF pages: the same words as the HTML file, from the same values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from scenes.paper.frame import Frame
from scenes.paper.marks import GREY
from scenes.paper.pdf import pdf_of
from scenes.paper.sizes import A4, Size
from scenes.paper.table import Column
from scenes.paper.text import line_height, lines_of
from scenes.report.cut_told import CutTold
from scenes.report.flow import DASH, HANG, Flow
from scenes.report.told import told
from scenes.scene import Scene
from scenes.stage_words import LINES

HIGHEST_PICTURE: Final = 105.0
"""A picture takes at most so much of a page [mm]."""
SMALL: Final = 8.0
"""Points of what is looked up rather than read."""
BAD, GOOD = "#b03400", "#007454"
LAPS: Final = (
    Column("Lap", 0.0),
    Column("Length", 20.0, "right"),
    Column("Needed", 20.0, "right"),
    Column("Gust that it stands by itself", 34.0, "right"),
    Column("Long enough", 24.0),
)


def report_pdf(
    found: Mapping[str, Any], scene: Scene, picture: bytes | None, *, page: bool, size: Size = A4,
    cut: CutTold | None = None,
) -> bytes:  # fmt: skip
    """The report as a PDF file; arguments as `scenes.report.html.report_page`; size: of the paper."""
    flow = report_flow(found, scene, picture, page=page, size=size, cut=cut)
    return pdf_of(flow.pages(), scene.title)


def report_flow(
    found: Mapping[str, Any], scene: Scene, picture: bytes | None, *, page: bool, size: Size,
    cut: CutTold | None = None,
) -> Flow:  # fmt: skip
    """The report set on pages."""
    said = told(found, scene, picture, page=page)
    flow = Flow(Frame(size=size, title=said["title"], foot=said["made"]))
    if flow.frame.title_is_cut:
        flow.words(flow.frame.title, 11.0, bold=True)
    _finding(flow, said)
    if picture is not None:
        flow.picture(picture, HIGHEST_PICTURE)
        flow.words(LINES, SMALL, colour=GREY)
    _leaks(flow, said)
    _short(flow, said)
    flow.heading("What weather it stands")
    flow.words(said["stands"])
    _laps(flow, said)
    if making := said["making"] if cut is None else cut.remarks:
        flow.heading("Making the pieces")
        flow.listed(making)
    if cut is not None:
        _cut(flow, cut)
    _measures(flow, said)
    flow.heading("Cautions")
    flow.listed(said["cautions"])
    return flow


def _finding(flow: Flow, said: Mapping[str, Any]) -> None:
    if said["note"]:
        flow.words(said["note"], SMALL, colour=GREY)
    mark = "✗ " if said["bad"] else "✓ "
    flow.gap(1.5)
    lines = lines_of(mark + said["finding"], flow.width - HANG, 12.0, True)
    flow.bar(BAD if said["bad"] else GOOD, len(lines) * line_height(12.0))
    flow.words(mark + said["finding"], 12.0, bold=True, inset=HANG)
    flow.gap(1.0)
    flow.words(f"{said['weather']}.", colour=GREY)
    if said["faults"]:
        flow.words("Wrong on purpose in this model:")
        flow.listed([_fault(fault) for fault in said["faults"]])


def _fault(fault: Mapping[str, Any]) -> str:
    where = f", {fault['where']}" if fault["where"] else ""
    return f"{fault['name']}{where}: {fault['how_bad']}. {fault['done_wrong']}"


def _leaks(flow: Flow, said: Mapping[str, Any]) -> None:
    if not said["leaks"]:
        return
    flow.heading("Where the water gets in, and why")
    for leak in said["leaks"]:
        flow.words(leak["way_in"], bold=True, inset=HANG, mark=str(leak["number"]))
        flow.words(
            f"{leak['share']}; it arrives {leak['arrives']}.", SMALL, colour=GREY, inset=HANG
        )
        flow.words(leak["why"], inset=HANG)
        _cures(flow, leak["cures"])
    if said["more_leaks"]:
        flow.words(f"And {said['more_leaks']} more, smaller.")


def _short(flow: Flow, said: Mapping[str, Any]) -> None:
    if said["short"]:
        flow.heading("Laps that are too short")
        for lap in said["short"]:
            flow.words(lap["name"], bold=True)
            flow.words(f"{lap['sizes']}. {lap['rule']}")
            _cures(flow, lap["cures"])
    if both := said["together"]:
        flow.words(f"All in one: {both['what']}: {both['does']}. {both['takes']}")
    if said["bad"] and not said["cures_asked"]:
        flow.words(said["search_cures"], SMALL, colour=GREY)


def _cures(flow: Flow, cures: list[str]) -> None:
    if cures:
        flow.words("What to change", bold=True, inset=HANG)
        for line in cures:
            flow.words(line, inset=2 * HANG, mark=DASH)


def _laps(flow: Flow, said: Mapping[str, Any]) -> None:
    if not said["laps"]:
        return
    flow.heading("Every lap")
    rest = flow.width - sum(column.width for column in LAPS)
    columns = [Column(LAPS[0].head, rest), *LAPS[1:]]
    rows = [
        [lap["name"], lap["length"], lap["needed"], lap["gust"], "yes" if lap["ok"] else "NO"]
        for lap in said["laps"]
    ]
    flow.rows(columns, rows)


def _cut(flow: Flow, cut: CutTold) -> None:
    """The blanks, and in which order the pieces go on."""
    flow.heading("What to cut")
    flow.words(cut.material, SMALL, colour=GREY)
    columns = [
        Column("Blank", flow.width - 112.0), Column("Cut", 12.0, "right"), Column("Hand", 16.0),
        Column(f"Width x height, {cut.unit}", 58.0, "right"), Column("Mass of one", 26.0, "right"),
    ]  # fmt: skip
    flow.rows(columns, cut.rows)
    flow.listed(cut.left_out)
    flow.heading("In which order the pieces go on")
    flow.words(cut.before, SMALL, colour=GREY)
    for number, (name, words) in enumerate(cut.steps, start=1):
        flow.words(f"{name}. {words}", SMALL, inset=HANG + 1.0, mark=f"{number}")


def _measures(flow: Flow, said: Mapping[str, Any]) -> None:
    flow.heading("What was measured, and what was assumed")
    for group in said["groups"]:
        if group["given"]:
            flow.words(f"{group['name']}, as the scene says", bold=True, points=SMALL, kept=True)
            flow.listed([f"{one.in_full}: {one.value}" for one in group["given"]], SMALL)
    usual = [f"{group['name']}. {group['usual']}" for group in said["groups"] if group["usual"]]
    if usual:
        flow.words(
            "Taken as usual, since the scene does not say", bold=True, points=SMALL, kept=True
        )
        flow.listed(usual, SMALL)
    flow.words("What the model leaves out", bold=True, points=SMALL, kept=True)
    flow.listed(said["assumed"], SMALL)
