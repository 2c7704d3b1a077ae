"""The legend of a sweep's map: the ramp, what each mark stands for, and what was varied."""

from __future__ import annotations

from scenes.colours import BEHIND, INK, PLAIN, RULE_LINE
from scenes.gust_sheet import Sheet
from scenes.label_layout import Box
from scenes.say_text import count
from scenes.sweep.map_points import draw_mark
from scenes.sweep.map_scale import Scale
from scenes.sweep.measure import MEASURES
from scenes.sweep.shown import Point, Shown
from scenes.sweep.words import in_order, value_named, varied_words


def draw_legend(sheet: Sheet, shown: Shown, scale: Scale, box: Box) -> None:
    """Fill the box: the ramp, the marks that there are, and what was varied."""
    y = box.top + 10
    sheet.text(box.left, y, "How to read it", 16, bold=True)
    sheet.line([(box.left, y + 13), (box.right, y + 13)], RULE_LINE, 1.5)
    y += 38
    for line in sheet.wrapped(f"{MEASURES[shown.measure].title}:", 14, box.width, most=3):
        sheet.text(box.left, y, line, 14)
        y += 19
    y = scale.draw_bar(sheet, Box(box.left, y, box.right, y + 40)) + 22
    for kind, words in _entries(shown):
        _draw_sample_of(sheet, shown, scale, kind, (box.left + 17, y))
        for line in sheet.wrapped(words, 14, box.width - 46, most=3):
            sheet.text(box.left + 44, y, line, 14)
            y += 19
        y += 16
    y += 10
    sheet.text(box.left, y, "What was varied", 16, bold=True)
    sheet.line([(box.left, y + 13), (box.right, y + 13)], RULE_LINE, 1.5)
    y += 36
    told = [varied_words(one) for one in shown.varied]
    if shown.sweep.sample is None and len(shown.varied) > 3:
        of = shown.varied[3:]
        told.append(
            "shown at "
            + ", ".join(value_named(one, in_order(one)[len(one.values) // 2]) for one in of)
        )
    left = f", {shown.refused:,} of them can't be built" if shown.refused else ""
    told.append(f"{count(len(shown.points), 'case')}{left}")
    for text in told:
        for line in sheet.wrapped(text, 14, box.width, most=3):
            sheet.text(box.left, y, line, 14)
            y += 19
        y += 5


def _entries(shown: Shown) -> list[tuple[str, str]]:
    """What the legend explains, of what is there."""
    grid = shown.sweep.sample is None and len(shown.varied) > 1
    wet, dry = (any(point.wet is way for point in shown.points) for way in (True, False))
    leaks = "water gets in"
    if shown.measure == "first-leak-gust":
        leaks = f"water gets in by {shown.limit:g} m/s, {shown.limit_words}"
    found = []
    if wet:
        found.append(("hatch" if grid else "leaks", f"hatched: {leaks}" if grid else leaks))
    if dry:
        none = f"stays dry: of {count(shown.sweep.drops, 'drop')} none gets in"
        found.append(("plain" if grid else "dry", none if shown.measure == "leak" else "stands it"))
    if shown.measure == "cut-area" and shown.done and not grid:
        found.append(("dry", "a case"))
    drawn = grid or (len(shown.varied) <= 2 and all(one.is_counted for one in shown.varied))
    if wet and dry and drawn:
        found.append(("border", "where it begins to leak"))
    if shown.refused + shown.failed:
        found.append(("none", "can't be built or measured"))
    return found


def _draw_sample_of(
    sheet: Sheet, shown: Shown, scale: Scale, kind: str, spot: tuple[float, float]
) -> None:
    """What the legend shows before its words."""
    x, y = spot
    wanted = {"leaks": True, "hatch": True, "dry": False, "plain": False}
    if kind == "border":
        sheet.line([(x - 15, y), (x + 15, y)], BEHIND, 4)
        return
    if kind == "none":
        draw_mark(sheet, spot, Point(0, (), "refused", None, None), scale)
        return
    first = next((p for p in shown.done if p.wet is wanted[kind]), shown.done[0])
    if kind in ("leaks", "dry"):
        draw_mark(sheet, spot, first, scale)
        return
    corners = [(x - 15, y - 9), (x + 15, y - 9), (x + 15, y + 9), (x - 15, y + 9)]
    sheet.polygon(corners, scale.colour(first) if kind == "hatch" else PLAIN, INK, 1)
    if kind == "hatch":
        for k in (-9, 5):
            sheet.line([(x + k - 6, y - 9), (x + k + 12 - 6, y + 9)], INK, 1)
