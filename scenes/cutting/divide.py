"""A blank longer than a piece of the material may be: divided evenly, its parts lapped."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from scenes.cutting.folds import Fold, measured_from
from scenes.cutting.lay_flat import ON_GRID, SAME_PLACE, signed_area
from scenes.cutting.pattern import Lap, Pattern, Worked
from scenes.cutting.runs import in_runs

LEAST_LEFT = 1e-5  # [m] what a division leaves of a line, if less, is gone
LEAST_ISLAND = 1e-5  # [m2] and of a sheet
Span = tuple[float, float]


def divided(
    whole: Pattern, longest: float, lap_across: float, lap_up: float
) -> tuple[Pattern, ...]:
    """The parts of a blank that can be cut, or itself where it can be cut whole.

    longest: that a piece may be, either way [m]; lap_across, lap_up: of parts that follow on each other
    across the slope and up it [m]. Parts are of one size; of two, the one that is higher up the slope, or
    further to the left, lies over the other.
    """
    width, height = whole.size
    up = whole.up if whole.up is not None else np.array([0.0, 1.0])
    laps = (
        lap_up if abs(up[0]) > 0.5 else lap_across,
        lap_up if abs(up[1]) > 0.5 else lap_across,
    )
    best = None
    for columns in range(1, 20):
        for rows in range(1, 20):
            size = _part(width, columns, laps[0]), _part(height, rows, laps[1])
            fits = max(size) <= longest + 1e-9
            if fits and (best is None or columns * rows < best[0] * best[1]):
                best = (columns, rows)
    if best is None or best == (1, 1):
        return (whole,)
    spans = [
        (column, row)
        for row in _spans(height, best[1], laps[1])
        for column in _spans(width, best[0], laps[0])
    ]
    return _parts(whole, spans, best[0])


def _part(length: float, number: int, lap: float) -> float:
    return (length + (number - 1) * lap) / number


def _spans(length: float, number: int, lap: float) -> list[Span]:
    part = _part(length, number, lap)
    return [(k * (part - lap), k * (part - lap) + part) for k in range(number)]


def _parts(whole: Pattern, spans: list[tuple[Span, Span]], columns: int) -> tuple[Pattern, ...]:
    # A ring may touch itself, at the end of a slit: that must be mended before it is cut.
    polygon = shapely.make_valid(
        shapely.Polygon(whole.outlines[0], whole.outlines[1:]),
        method="structure", keep_collapsed=False,
    )  # fmt: skip
    boxes = [shapely.box(left, low, right, high) for (left, right), (low, high) in spans]
    islands = [
        (at, island)
        for at, box in enumerate(boxes)
        for island in shapely.get_parts(shapely.intersection(polygon, box, grid_size=ON_GRID))
        if island.geom_type == "Polygon" and island.area > LEAST_ISLAND
    ]
    names = [f"{whole.name}, length {k} of {len(islands)}" for k in range(1, len(islands) + 1)]
    called = {
        at: " or ".join(name for name, (own, _) in zip(names, islands, strict=True) if own == at)
        for at in range(len(spans))
    }
    found = []
    for name, (at, island) in zip(names, islands, strict=True):
        turned = shapely.geometry.polygon.orient(island)
        rings = [np.asarray(ring.coords)[:-1] for ring in (turned.exterior, *turned.interiors)]
        shift, size = rings[0].min(axis=0), np.ptp(rings[0], axis=0)
        rings = [ring - shift for ring in rings]
        room = island.buffer(SAME_PLACE, join_style="mitre")
        laps = [
            Lap(line - shift, wide, called[other], over)
            for whole_line, wide, other, over in _laps(spans, at, columns)
            if called[other] and (line := _clipped(whole_line, room)) is not None
        ]
        found.append(
            replace(
                whole,
                name=name,
                alike=(name,),
                outlines=tuple(rings),
                size=(float(size[0]), float(size[1])),
                area=float(sum(signed_area(ring) for ring in rings)),
                folds=_folds(whole, room, rings, shift, size),
                worked=_worked(whole, room, shift),
                laps=tuple(laps),
                notes=(*whole.notes, _note(whole, len(islands))),
            )
        )
    return tuple(found)


def _note(whole: Pattern, number: int) -> str:
    size = " x ".join(f"{side * 1000:.0f}" for side in whole.size)
    return f"{whole.name} would be {size} mm: cut in {number} lengths that lap"


def _clipped(line: NDArray[np.float64], room: shapely.Polygon) -> NDArray[np.float64] | None:
    """What of a line (2, 2) lies in a region, from its first to its last point there."""
    part = shapely.intersection(shapely.LineString(line), room)
    points = shapely.get_coordinates(part)
    if part.length < LEAST_LEFT or len(points) < 2:
        return None
    along = (points - line[0]) @ (line[1] - line[0])
    return points[[int(along.argmin()), int(along.argmax())]]


def _folds(
    whole: Pattern,
    room: shapely.Polygon,
    rings: list[NDArray[np.float64]],
    shift: NDArray[np.float64],
    size: NDArray[np.float64],
) -> tuple[Fold, ...]:
    edges = [np.array([ring[k - 1], ring[k]]) for ring in rings for k in range(len(ring))]
    found = []
    for fold in whole.folds:
        line = _clipped(fold.line, room)
        if line is not None:
            line = line - shift
            measured = measured_from(line, edges, (float(size[0]), float(size[1])))
            found.append(replace(fold, line=line, measured=measured))
    return in_runs(found)


def _worked(
    whole: Pattern, room: shapely.Polygon, shift: NDArray[np.float64]
) -> tuple[Worked, ...]:
    found = []
    for one in whole.worked:
        lines = [_clipped(line, room) for line in one.lines]
        kept = tuple(line - shift for line in lines if line is not None)
        if kept:
            length = sum(float(np.linalg.norm(line[1] - line[0])) for line in kept)
            found.append(replace(one, lines=kept, length=length))
    return tuple(found)


def _laps(
    spans: list[tuple[Span, Span]], at: int, columns: int
) -> list[tuple[NDArray[np.float64], float, int, bool]]:
    """Where the neighbours' edges come to lie on a part: line, width, which, and whether this is over."""
    (left, right), (low, high) = spans[at]
    found = []
    if at % columns + 1 < columns:
        x = spans[at + 1][0][0]
        found.append((np.array([[x, low], [x, high]]), right - x, at + 1, True))
    if at % columns > 0:
        x = spans[at - 1][0][1]
        found.append((np.array([[x, low], [x, high]]), x - left, at - 1, False))
    if at + columns < len(spans):
        y = spans[at + columns][1][0]
        found.append((np.array([[left, y], [right, y]]), high - y, at + columns, False))
    if at >= columns:
        y = spans[at - columns][1][1]
        found.append((np.array([[left, y], [right, y]]), y - low, at - columns, True))
    return found
