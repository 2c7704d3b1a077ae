"""The sheet's view from the side: roof and stack cut through up the slope, not to scale."""

from __future__ import annotations

from math import cos, radians, sin, tan

from scenes.measuring.drawing import EDGE, SHEET, THIN, View
from scenes.paper.marks import GREY, PALE, Point

PITCH = radians(33)
GAUGE, NOSE, BED = 165.0, 34.0, 42.0
DEPTH, HIGH, CAP, CAP_OVER = 440.0, 800.0, 55.0, 40.0
UPSTAND, COVER, TURN_IN, WATER_LINE = 165.0, 250.0, 60.0, 85.0
SOLE, BACK_UPSTAND, LEG, OPEN = 170.0, 140.0, 240.0, 60.0
LOWEST, HIGHEST = -780.0, 1230.0
WIDE = 1720.0
"""Of the view [mm of roof]."""
TALL = 1425.0
LEFT, LOW = -700.0, -530.0
"""Its lower left corner."""


def draw_section(view: View) -> None:
    """Roof, stack, flashings, and the measures that are taken in this view."""
    _roof(view)
    _stack(view)
    _flashings(view)
    _measures(view)
    _wave(view)
    _saddle(view)


def _on(s: float, h: float) -> Point:
    """A point so far up the slope from the stack's front and so far above the covering's underside."""
    return s * cos(PITCH) - h * sin(PITCH), s * sin(PITCH) + h * cos(PITCH)


def _courses(first: float, last: float) -> list[Point]:
    points: list[Point] = []
    s = first
    while s < last - 1:
        end = min(s + GAUGE, last)
        left = NOSE * (1 - (end - s) / GAUGE)
        points += [_on(s, 0), _on(s, NOSE), _on(end, left)]
        s = end
    return points


def _roof(view: View) -> None:
    first = -4 * GAUGE - 40
    view.draw([_on(first, -BED), _on(-10, -BED)], THIN, colour=GREY)
    view.draw(_courses(first, -20), EDGE)
    back = _gutter_end()
    start = back + OPEN
    view.draw([_on(DEPTH / cos(PITCH) + 20, -BED), _on(HIGHEST, -BED)], THIN, colour=GREY)
    view.draw(_courses(start, HIGHEST), EDGE)
    view.note((905, 430), "rafters", align="left")


def _stack(view: View) -> None:
    low = -BED * 3
    face = [(0.0, low), (0.0, HIGH - CAP), (DEPTH, HIGH - CAP), (DEPTH, low + 260)]
    view.draw(face, EDGE)
    view.draw([(0.0, low), (DEPTH, low + 260)], THIN, colour=GREY)
    cap = [
        (-CAP_OVER, HIGH - CAP),
        (DEPTH + CAP_OVER, HIGH - CAP),
        (DEPTH + CAP_OVER, HIGH),
        (-CAP_OVER, HIGH),
    ]
    view.draw(cap, EDGE, closed=True, fill=PALE)
    for number in range(7):
        z = 235 + number * 75.0
        view.draw([(0.0, z), (105.0, z)], THIN, colour=GREY)
    view.draw([(0.0, 0.0), (DEPTH, DEPTH * tan(PITCH))], THIN, dash=(1.2, 0.8))


def _gutter_end() -> float:
    """How far up the slope the sole ends."""
    return (DEPTH + SOLE) / cos(PITCH)


def _flashings(view: View) -> None:
    lift = NOSE + 8
    foot = _on(0, lift)
    front = [(TURN_IN, UPSTAND), (0.0, UPSTAND), (0.0, foot[1] - 15), _on(-COVER, lift)]
    view.draw(front, SHEET)
    line = [(0.0, WATER_LINE / cos(PITCH)), (DEPTH, DEPTH * tan(PITCH) + WATER_LINE / cos(PITCH))]
    view.draw(line, 0.4, dash=(2.4, 0.8))
    end = _gutter_end()
    x, z = _on(end, 0)
    top = _on(end + LEG, -8)
    back = [(DEPTH - TURN_IN, z + BACK_UPSTAND), (DEPTH, z + BACK_UPSTAND), (DEPTH, z), (x, z), top]
    view.draw(back, SHEET)


def _measures(view: View) -> None:
    view.draw([_on(-540, -BED), (_on(-540, -BED)[0] + 260, _on(-540, -BED)[1])], THIN)
    run = _on(-540, -BED)
    view.draw([(run[0] + 260, run[1]), (run[0] + 260, run[1] + 260 * tan(PITCH))], THIN)
    view.note((run[0] + 130, run[1] - 45), "run")
    view.measure("pitch", (run[0] + 260, run[1]), (run[0] + 260, run[1] + 260 * tan(PITCH)))
    view.note((run[0] + 320, run[1] + 10), "rise", align="left")
    view.measure("depth", (0, 690), (DEPTH, 690), 0.42)
    view.draw([(-CAP_OVER, HIGH), (-150, HIGH)], THIN)
    level = _on(0, NOSE)[1]
    view.draw([(-20, level), (-150, level)], THIN)
    view.measure("height", (-110, level), (-110, HIGH), 0.72)
    foot = (DEPTH - 40) * tan(PITCH)
    view.measure("back_height", (DEPTH - 40, foot), (DEPTH - 40, HIGH), 0.36)
    view.measure("brick_gauge", (140, 235), (140, 535), 0.7)
    view.draw([(105, 235), (160, 235)], THIN)
    view.draw([(105, 535), (160, 535)], THIN)
    view.note((152, 355), "4 courses", align="left")
    s = -4 * GAUGE
    first = s - 40 + GAUGE
    view.measure("gauge", _on(first, 85), _on(first + GAUGE, 85))
    view.draw([_on(first, NOSE), _on(first, 105)], THIN)
    view.draw([_on(first + GAUGE, NOSE), _on(first + GAUGE, 105)], THIN)
    view.measure("thickness", _on(s - 40, 0), _on(s - 40, NOSE), 3.0)
    up = _gutter_end() + OPEN
    view.measure("tile_length", _on(up + GAUGE, 120), _on(up + 2.55 * GAUGE, 120), 0.5)
    view.draw([_on(up + GAUGE, NOSE), _on(up + GAUGE, 140)], THIN)
    view.draw([_on(up + 2.55 * GAUGE, 0), _on(up + 2.55 * GAUGE, 140)], THIN, dash=(0.8, 0.8))
    view.measure("turn_in", (0, UPSTAND + 38), (TURN_IN, UPSTAND + 38), 1.95)
    view.measure("apron_upstand", (-45, _on(-45, NOSE)[1] + 10), (-45, UPSTAND), 1.75)
    view.draw([(0, UPSTAND), (-65, UPSTAND)], THIN)
    view.measure("apron_cover", _on(-COVER, 100), _on(-40, 100), 0.3)
    view.draw([_on(-COVER, NOSE), _on(-COVER, 120)], THIN)
    middle = 0.56 * DEPTH / cos(PITCH)
    view.measure("side_upstand", _on(middle, 0), _on(middle, WATER_LINE), -1.1)
    x, z = _on(_gutter_end(), 0)
    view.measure("gutter_upstand", (DEPTH + 55, z), (DEPTH + 55, z + BACK_UPSTAND), 1.6)
    view.draw([(DEPTH, z + BACK_UPSTAND), (DEPTH + 75, z + BACK_UPSTAND)], THIN)
    view.measure("sole", (DEPTH, z - 70), (x, z - 70), 0.5)
    view.draw([(x, z), (x, z - 90)], THIN)
    end = _gutter_end()
    view.measure("leg", _on(end + OPEN, -85), _on(end + LEG, -85), 0.5)
    view.draw([_on(end + OPEN, 0), _on(end + OPEN, -105)], THIN)
    view.draw([_on(end + LEG, -8), _on(end + LEG, -105)], THIN)


def _wave(view: View) -> None:
    """Across a profiled covering, larger, under the roof."""
    x0, z0, wide, deep = 330.0, -430.0, 230.0, 75.0
    points = []
    for step in range(49):
        t = step / 16
        points.append((x0 + wide * t, z0 + deep / 2 * (1 - cos(2 * 3.141592653589793 * (t - 0.5)))))
    view.draw(points, EDGE)
    crest, trough = z0 + deep, z0
    view.draw([(x0 - 30, crest), (x0 + 3 * wide, crest)], THIN, colour=GREY)
    view.measure("wave_pitch", (x0, crest + 60), (x0 + wide, crest + 60), 0.5)
    view.draw([(x0, crest), (x0, crest + 80)], THIN)
    view.draw([(x0 + wide, crest), (x0 + wide, crest + 80)], THIN)
    view.measure("wave_depth", (x0 + 2.5 * wide, trough), (x0 + 2.5 * wide, crest), 2.4)
    view.note((x0 + 1.5 * wide, z0 - 65), "profiled: across the slope")


def _saddle(view: View) -> None:
    """A saddle seen from behind, in the sky to the left."""
    x0, z0, half, high = -460.0, 560.0, 150.0, 130.0
    view.draw([(x0 - half - 60, z0), (x0 + half + 60, z0)], EDGE)
    view.draw([(x0 - half + 30, z0 + 40), (x0 - half + 30, z0 + 330)], EDGE)
    view.draw([(x0 + half - 30, z0 + 40), (x0 + half - 30, z0 + 330)], EDGE)
    view.draw([(x0 - half, z0), (x0, z0 + high), (x0 + half, z0)], SHEET)
    view.measure("saddle_height", (x0, z0), (x0, z0 + high), 1.7)
    view.note((x0 + 30, z0 - 60), "saddle, from behind")
