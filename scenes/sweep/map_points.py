"""A panel of a sample, or of one parameter: a mark for each case, and where it begins to leak."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from scenes.colours import BEHIND, INK, PAPER, QUIET_INK
from scenes.gust_sheet import Sheet
from scenes.sweep.axis import Axis
from scenes.sweep.case import DONE
from scenes.sweep.map_scale import Scale
from scenes.sweep.shown import Point

Spot = tuple[float, float]
MARK: Final = 7.0
"""Radius of a mark [px], where there are few."""
CROWD: Final = 300


def draw_mark(sheet: Sheet, spot: Spot, point: Point, scale: Scale, size: float = MARK) -> None:
    """A disc for a case that stays dry, a diamond with a bar for one that leaks, a cross for none."""
    x, y = spot
    if point.status != DONE:
        for way in (-1, 1):
            a, b = (x - size * 0.7, y - way * size * 0.7), (x + size * 0.7, y + way * size * 0.7)
            sheet.line([a, b], QUIET_INK, 1.5, layer=3)
    elif point.wet:
        far = size * 1.35
        corners = [(x, y - far), (x + far, y), (x, y + far), (x - far, y)]
        sheet.polygon(corners, scale.colour(point), INK, 1.5, layer=3)
        sheet.line([(x - far / 2, y + far / 2), (x + far / 2, y - far / 2)], INK, 1.5, layer=3.1)
    else:
        sheet.circle(x, y, size, scale.colour(point), INK, 1, layer=3)


def draw_sample(
    sheet: Sheet, points: Sequence[Point], across: Axis, up: Axis, scale: Scale
) -> None:
    """A mark for each case of a sample by its first two parameters, and the line between those that leak and
    those that don't, where these two alone are varied."""
    spots = [(across.at(point.values[0]), up.at(point.values[1])) for point in points]
    size = MARK if len(points) <= CROWD else MARK * (CROWD / len(points)) ** 0.5 + 1
    for spot, point in zip(spots, points, strict=True):
        draw_mark(sheet, spot, point, scale, size)
    if len(scale.shown.varied) == 2:
        known = [(s, bool(p.wet)) for s, p in zip(spots, points, strict=True) if p.wet is not None]
        for line in _between(known):
            sheet.line(line, PAPER, 6, layer=2)
            sheet.line(line, BEHIND, 3, layer=2.1)


def _between(known: Sequence[tuple[Spot, bool]]) -> Iterator[list[Spot]]:
    """Half-way between neighbours of which one leaks and one doesn't."""
    spots = np.array([spot for spot, _ in known]).reshape(-1, 2)
    if len(np.unique(spots, axis=0)) < 4 or min(np.ptp(spots, axis=0)) == 0:
        return
    from scipy.spatial import Delaunay, QhullError

    try:
        corners = Delaunay(spots).simplices
    except QhullError:  # all in one line
        return
    for triangle in corners.tolist():
        mixed = [
            (a, b)
            for a, b in ((0, 1), (1, 2), (2, 0))
            if known[triangle[a]][1] != known[triangle[b]][1]
        ]
        if mixed:
            ends = [(spots[triangle[a]] + spots[triangle[b]]) / 2 for a, b in mixed]
            yield [(float(x), float(y)) for x, y in ends]
