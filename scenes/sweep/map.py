"""The picture of a sweep: what the measure says over the parameters, and where it begins to leak."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from scenes.cautions import CAUTIONS
from scenes.colours import GHOST_EDGE, QUIET_INK, RULE_LINE
from scenes.gust_sheet import Sheet, plain_settings
from scenes.label_layout import Box
from scenes.say_text import count
from scenes.sweep.axis import Axis
from scenes.sweep.key import Value
from scenes.sweep.map_cells import draw_cells
from scenes.sweep.map_curve import draw_bars, draw_curve
from scenes.sweep.map_legend import draw_legend
from scenes.sweep.map_points import draw_sample
from scenes.sweep.map_scale import Scale
from scenes.sweep.measure import MEASURES
from scenes.sweep.shown import Point, Shown
from scenes.sweep.value_words import unit_words
from scenes.sweep.varied import Varied
from scenes.sweep.words import headline, in_order, value_named

SIZE: Final = (1200, 1000)
FRAME: Final = Box(40, 130, 820, 880)
PANEL: Final = Box(860, 130, 1160, 880)
LEFT, BELOW, ABOVE = 78.0, 58.0, 30.0
"""Room round a panel for its figures and names [px]."""
MOST_PANELS: Final = 6
SMALL_PRINT: Final = "A model, no test certificate."


def draw_map(shown: Shown, path: str | Path) -> list[tuple[str, Box]]:
    """Write a PNG, 1200 by 1000 pixels: a grid as cells, a sample as marks, one parameter as a curve.

    A third parameter gives a panel for each of its values, further ones stand at a value that is told. Same
    findings and units spoken, same bytes on one machine. Returns all words drawn and their boxes [px]. Raises
    SceneError when the file can't be written.
    """
    with plain_settings():
        sheet = Sheet(*SIZE)
        scale = Scale.of(shown)
        (title,) = sheet.wrapped(shown.sweep.title, 25, 1120, most=1, bold=True)
        sheet.text(40, 42, title, 25, bold=True)
        (subtitle,) = sheet.wrapped(_subtitle(shown), 15.5, 1120, most=1)
        sheet.text(40, 78, subtitle, 15.5, QUIET_INK)
        _draw_panels(sheet, shown, scale)
        draw_legend(sheet, shown, scale, PANEL)
        _draw_caption(sheet, shown)
        sheet.save(path)
    return sheet.words


def _subtitle(shown: Shown) -> str:
    sweep = shown.sweep
    told = MEASURES[shown.measure].title
    if shown.measure == "cut-area":
        return told
    weather = sweep.scene_as_it_is().table.weather
    varied = {one.key.place for one in shown.varied}
    parts = []
    if not varied & {("weather", "rain_mm_h"), ("weather", "case")}:
        parts.append(f"{weather.rain_mm_h:g} mm/h of rain")
    if shown.measure == "leak" and not varied & {("weather", "gust_m_s"), ("weather", "case")}:
        parts.append(f"gust {weather.gust_m_s:g} m/s" if weather.gust_m_s else "no wind")
    if shown.measure == "leak":
        parts.append(f"{count(sweep.drops, 'drop')} a case")
    return f"{told} ({', '.join(parts)})" if parts else told


def _draw_panels(sheet: Sheet, shown: Shown, scale: Scale) -> None:
    varied, points = shown.varied, [*shown.points]
    if len(varied) == 1:
        _draw_panel(sheet, shown, scale, points, FRAME, "")
        return
    if shown.sweep.sample is not None or len(varied) == 2:
        rest = f"varied too: {', '.join(one.key.label for one in varied[2:])}"
        _draw_panel(sheet, shown, scale, points, FRAME, rest if len(varied) > 2 else "")
        return
    middle = [in_order(one)[len(one.values) // 2] for one in varied[3:]]
    points = [point for point in points if [*point.values[3:]] == middle]
    panels = _some(in_order(varied[2]))
    columns = 1 if len(panels) == 1 else 2
    rows = -(-len(panels) // columns)
    wide, high = FRAME.width / columns, FRAME.height / rows
    for number, value in enumerate(panels):
        row, column = divmod(number, columns)
        left, top = FRAME.left + column * wide, FRAME.top + row * high
        box = Box(left, top, left + wide, top + high)
        of = [point for point in points if point.values[2] == value]
        _draw_panel(sheet, shown, scale, of, box, value_named(varied[2], value))


def _some(values: Sequence[Value]) -> list[Value]:
    """At most MOST_PANELS of the values, the first and the last among them."""
    if len(values) <= MOST_PANELS:
        return [*values]
    return [values[round(k * (len(values) - 1) / (MOST_PANELS - 1))] for k in range(MOST_PANELS)]


def _draw_panel(
    sheet: Sheet, shown: Shown, scale: Scale, points: Sequence[Point], box: Box, name: str
) -> None:
    """One panel with its axes; name: stands over it."""
    if len(shown.varied) == 1 and not shown.varied[0].is_counted:
        draw_bars(sheet, points, box, scale)
        return
    inner = Box(box.left + LEFT, box.top + ABOVE, box.right - 12, box.bottom - BELOW)
    sampled = shown.sweep.sample is not None
    axes = [
        Axis(one, begin, end, in_columns=not one.is_counted or (not sampled and len(shown.varied) > 1))
        for one, begin, end in zip(
            shown.varied, (inner.left, inner.bottom), (inner.right, inner.top), strict=False
        )
    ]  # fmt: skip
    across = axes[0]
    if name:
        sheet.text(
            (inner.left + inner.right) / 2, box.top + 14, name, 15, align="center", bold=True
        )
    if len(axes) == 1:
        draw_curve(sheet, points, across, inner.bottom, inner.top, scale)
        side = f"{_SHORT[shown.measure]} [{shown.told[2]}]"
    else:
        up = axes[1]
        if sampled:
            draw_sample(sheet, points, across, up, scale)
        else:
            draw_cells(sheet, {_pair(point): point for point in points}, across, up, scale)
        for y, words in up.ticks(lambda _: 16.0):
            sheet.text(inner.left - 8, y, words, 13, align="right")
        side = _named(up.one)
    frame = [
        (inner.left, inner.top), (inner.right, inner.top), (inner.right, inner.bottom),
        (inner.left, inner.bottom),
    ]  # fmt: skip
    sheet.polygon(frame, None, GHOST_EDGE, 1.5, layer=2.3)
    for x, words in across.ticks(lambda words: sheet.measure(words, 13)):
        sheet.text(x, inner.bottom + 24, words, 13, align="center")
    middle = (inner.left + inner.right) / 2
    sheet.text(middle, inner.bottom + 48, _named(across.one), 15, align="center", bold=True)
    middle = (inner.top + inner.bottom) / 2
    sheet.text(box.left + 8, middle, side, 15, align="center", bold=True, turned=90)


_SHORT: Final = {
    "leak": "gets behind", "first-leak-gust": "first-leak gust", "cut-area": "sheet metal",
}  # fmt: skip


def _pair(point: Point) -> tuple[Value, Value]:
    return point.values[0], point.values[1]


def _named(one: Varied) -> str:
    """A parameter with its unit, as it stands at an axis."""
    unit = unit_words(one)
    return f"{one.key.label} [{unit}]" if unit else one.key.label


def _draw_caption(sheet: Sheet, shown: Shown) -> None:
    sheet.line([(40, 892), (1160, 892)], RULE_LINE, 1.5)
    for number, line in enumerate(sheet.wrapped(headline(shown), 17, 1120, most=2, bold=True)):
        sheet.text(40, 915 + 24 * number, line, 17, bold=True)
    words = f"{SMALL_PRINT} {CAUTIONS[-1]}"
    for number, line in enumerate(sheet.wrapped(words, 13, 1120, most=2)):
        sheet.text(40, 964 + 18 * number, line, 13, QUIET_INK)
