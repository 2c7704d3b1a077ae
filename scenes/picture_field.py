"""Amounts on surfaces in a picture: the legend's bar, and the telling figure of every piece."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from scenes.colours import INK, QUIET_INK, on_the_ramp
from scenes.label_layout import Box
from scenes.stage_fields import Field
from scenes.stage_sight import Sight, Spot
from scenes.units_text import in_spoken

if TYPE_CHECKING:
    from scenes.picture_page import Page
    from scenes.picture_panel import Column

STEPS = 96
"""The bar is drawn in so many steps."""
BAR = 20.0
TICK_SIZE = 14
APART = 8.0
ALIKE = 0.02
"""Height of the bar, size of its ticks and their least distance, in units of the page; and
by how much of it a value may fall short of the greatest and still be marked in its stead."""


def draw_scale(column: Column, field: Field) -> list[Box]:
    """The legend's bar with its label, unit, ticks and note; the boxes of the ticks' texts."""
    column.heading(field.label)
    page, left, right = column.page, column.left, column.right
    top, width = column.y + 4, column.right - column.left
    for step, colour in enumerate(on_the_ramp((np.arange(STEPS) + 0.5) / STEPS).tolist()):
        x0, x1 = (left + width * (step + k) / STEPS for k in (0, 1))
        corners = np.array([(x0, top), (x1, top), (x1, top + BAR), (x0, top + BAR)])
        page.polygon(corners, (colour[0], colour[1], colour[2]))
    page.line(
        np.array([(left, top), (right, top), (right, top + BAR), (left, top + BAR), (left, top)]),
        INK,
        1,
    )
    boxes = []
    for x, text, box in ticks_of(page, field, Box(left, top, right, top + BAR)):
        page.line(np.array([(x, top + BAR), (x, top + BAR + 5)]), INK, 1.5)
        page.text(
            (box.left + box.right) / 2,
            (box.top + box.bottom) / 2,
            text,
            TICK_SIZE,
            INK,
            anchor="mm",
        )
        boxes.append(box)
    column.y = top + BAR + 5 + 1.5 * TICK_SIZE
    unit = re.sub(r"^in\b", "inches", _unit(field))  # not "in in"
    column.words(f"In {unit}. {field.note}", TICK_SIZE, QUIET_INK, most=5)
    return boxes


def ticks_of(page: Page, field: Field, bar: Box) -> list[tuple[float, str, Box]]:
    """Where ticks stand under a bar, their texts and the texts' boxes: both ends, and between them those
    that have room."""
    placed: list[tuple[float, str, Box]] = []
    order = [0, len(field.ticks) - 1, *range(1, len(field.ticks) - 1)]
    for number in dict.fromkeys(order):
        value, text = field.ticks[number]
        amount, space, more = text.partition(" ")
        said = in_spoken(f"{amount} {field.unit}").removesuffix(f" {_unit(field)}")
        text = f"{said}{space}{more}"
        x = bar.left + bar.width * float(field.place(value))
        half = page.measure(text, TICK_SIZE) / 2
        middle = min(max(x, bar.left + half), bar.right - half)
        box = Box(middle - half, bar.bottom + 6, middle + half, bar.bottom + 6 + 1.25 * TICK_SIZE)
        if not any(box.overlaps(other, APART) for _, _, other in placed):
            placed.append((x, text, box))
    return sorted(placed, key=lambda one: one[0])


def _unit(field: Field) -> str:
    """A field's unit, in the units that are spoken."""
    return str(in_spoken(f"1 {field.unit}")).partition(" ")[2]


def telling(
    sight: Sight, frame: Box, covered: Sequence[Box], spots: Mapping[int, Spot]
) -> dict[int, tuple[Spot, str]]:
    """For each piece on which the first field of the stage is seen in `frame` [px], by its number in the
    stage: the spot of its greatest (or least) value, whichever tells, and the figure.

    covered: boxes behind which nothing is seen; spots: where each piece is seen best, which decides
    between places that all but have the greatest value.
    """
    field = sight.stage.fields[0]
    found: dict[int, tuple[Spot, str]] = {}
    middles = field.triangles.mean(axis=1)
    numbers = {piece.name: n for n, piece in enumerate(sight.stage.pieces) if not piece.see_through}
    piece = np.array([numbers.get(name, -1) for name in field.parts])[field.part]
    seen = np.flatnonzero(_is_seen(sight, field, middles, frame, covered))
    for number in np.unique(piece[seen]).tolist():
        if number not in spots:
            continue
        rows = seen[piece[seen] == number]
        values = field.values[rows]
        best = values.min() if field.least_counts else values.max()
        rows = rows[np.abs(values - best) <= ALIKE * abs(best)]
        flat = sight.camera.project(middles[rows])
        here = np.array([spots[number].x, spots[number].y])
        first = int(np.linalg.norm(flat - here, axis=1).argmin())
        spot = Spot(float(flat[first, 0]), float(flat[first, 1]), 0.0, 0.0, middles[rows[first]])
        found[number] = (spot, field.figure(float(best)))
    return found


def _is_seen(
    sight: Sight,
    field: Field,
    middles: NDArray[np.float64],
    frame: Box,
    covered: Sequence[Box],
) -> NDArray[np.bool_]:
    """Which of a field's triangles (m,) show their wet side inside a frame and outside boxes [px]."""
    a, b, c = (field.triangles[:, k] for k in range(3))
    towards = sight.camera.towards(middles)
    flat = sight.camera.project(middles)
    seen = (np.cross(b - a, c - a) * towards).sum(axis=1) > 0
    seen &= sight.camera.is_before(middles)
    seen &= (flat[:, 0] > frame.left) & (flat[:, 0] < frame.right)
    seen &= (flat[:, 1] > frame.top) & (flat[:, 1] < frame.bottom)
    for box in covered:
        x, y = flat.T
        seen &= (x < box.left) | (x > box.right) | (y < box.top) | (y > box.bottom)
    rows = np.flatnonzero(seen)
    seen[rows[sight.hidden(middles[rows])]] = False
    return seen
