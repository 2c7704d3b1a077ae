"""The sheet's view from above: up the slope is up the page, not to scale."""

from __future__ import annotations

from scenes.measuring.drawing import EDGE, SHEET, THIN, View
from scenes.paper.marks import GREY, PALE

HALF, DEPTH = 295.0, 440.0
COVER, OVERHANG, APRON = 190.0, 110.0, 190.0
SOLE, PAST, LAP = 150.0, 60.0, 130.0
RETURN = 75.0
VERGE, RIDGE, LOW = 900.0, 1130.0, -420.0
WIDE, TALL = 1960.0, 1650.0


def draw_plan(view: View) -> None:
    """Roof, stack, what lies round it, and the measures that are taken in this view."""
    _roof(view)
    _pieces(view)
    _measures(view)


def _roof(view: View) -> None:
    view.draw([(-VERGE, LOW), (-VERGE, RIDGE), (VERGE, RIDGE), (VERGE, LOW)], EDGE)
    y = LOW + 40
    while y < RIDGE - 60:
        for left, right in _free(y):
            view.draw([(left, y), (right, y)], THIN, colour="#aaaaaa")
        y += 130
    view.draw([(-VERGE - 30, RIDGE), (VERGE + 30, RIDGE)], 0.6)
    view.note((-VERGE + 40, RIDGE + 25), "ridge", align="left")
    view.note((-VERGE + 25, LOW + 55), "verge", align="left")
    view.note((VERGE - 25, LOW + 55), "verge", align="right")
    view.draw([(560, LOW + 60), (560, LOW + 330)], THIN)
    view.draw([(535, LOW + 270), (560, LOW + 330), (585, LOW + 270)], THIN)
    view.note((590, LOW + 150), "up", align="left")


def _free(y: float) -> list[tuple[float, float]]:
    """What of a course's edge is not hidden by the stack and its pieces."""
    out = HALF + COVER
    if y < -APRON or y > DEPTH + SOLE:
        return [(-VERGE, VERGE)]
    if y < 0:
        out = HALF + OVERHANG
    return [(-VERGE, -out), (out, VERGE)]


def _pieces(view: View) -> None:
    for sign in (-1, 1):
        inner, outer = sign * HALF, sign * (HALF + COVER)
        side = [(inner, DEPTH), (outer, DEPTH), (outer, -APRON), (inner, -APRON)]
        view.draw(side, EDGE, closed=True, fill="#f4f4f4")
    front = [(-HALF, 0), (HALF, 0), (HALF, -APRON), (-HALF, -APRON)]
    view.draw(front, EDGE, closed=True, fill="#eeeeee")
    for sign in (-1, 1):
        end = sign * (HALF + OVERHANG)
        view.draw([(sign * HALF, 0), (end, 0), (end, -APRON)], THIN, dash=(0.8, 0.8))
    out, low = HALF + COVER + PAST, DEPTH - LAP
    gutter = [(-out, DEPTH + SOLE), (out, DEPTH + SOLE), (out, low), (HALF, low), (HALF, DEPTH)]
    gutter += [(-HALF, DEPTH), (-HALF, low), (-out, low)]
    view.draw(gutter, EDGE, closed=True, fill="#e6e6e6")
    stack = [(-HALF, 0), (HALF, 0), (HALF, DEPTH), (-HALF, DEPTH)]
    view.draw(stack, 0.5, closed=True, fill=PALE)
    view.draw([(HALF, 12), (HALF, -12), (HALF - RETURN, -12)], SHEET)
    view.draw([(-HALF, 12), (-HALF, -12), (-HALF + RETURN, -12)], SHEET)
    view.draw([(-HALF - 120, 300), (HALF + 120, 300)], THIN, dash=(2.5, 0.8, 0.5, 0.8), colour=GREY)
    view.note((0, 335), "or a ridge here")


def _measures(view: View) -> None:
    view.measure("width", (-HALF, 90), (HALF, 90), 0.3)
    view.measure("ridge", (100, 0), (100, 300), 0.62)
    view.measure("above", (0, DEPTH), (0, RIDGE), 0.6)
    view.measure("left", (-VERGE, 250), (-HALF, 250), 0.4)
    view.measure("right", (HALF, 250), (VERGE, 250), 0.6)
    view.measure("apron_overhang", (-HALF - OVERHANG, -270), (-HALF, -270), -0.75)
    for x in (-HALF - OVERHANG, -HALF):
        view.draw([(x, -APRON), (x, -300)], THIN)
    view.measure("side_cover", (HALF, 40), (HALF + COVER, 40), 1.7)
    view.measure("corner_return", (HALF - RETURN, -80), (HALF, -80), -1.2)
    view.draw([(HALF - RETURN, -12), (HALF - RETURN, -110)], THIN)
    view.draw([(HALF, -12), (HALF, -110)], THIN)
    out = HALF + COVER + PAST
    view.measure("end_lap", (out + 60, DEPTH - LAP), (out + 60, DEPTH), 1.8)
    view.draw([(HALF, DEPTH), (out + 85, DEPTH)], THIN, dash=(0.8, 0.8))
    view.draw([(out, DEPTH - LAP), (out + 85, DEPTH - LAP)], THIN)
