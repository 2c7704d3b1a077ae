"""The lines over the rendered view: edges, water, the ways in, short laps, and what is cut away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import (
    BEHIND,
    COVERING_EDGE,
    DECIDING,
    GHOST_EDGE,
    PAPER,
    SHEET_EDGE,
    SHORT_LAP,
    VEILED_EDGE,
    WATER,
    Colour,
)
from scenes.picture_page import Page
from scenes.stage import Piece
from scenes.stage_cut import hatch
from scenes.stage_lines import dashes
from scenes.stage_sight import Sight

Floats = NDArray[np.float64]
Stretches = tuple[list[Floats], list[Floats]]
"""What is seen of some lines, and what is hidden: (k, 2) [px] each."""


def draw_lines(page: Page, sight: Sight) -> None:
    """Edges of every piece, water on top of them, and the outline of what is cut away."""
    _draw_veiled(page, sight)
    for piece in sight.stage.pieces:
        if piece.see_through:
            continue
        rims, folds = sight.seen_edges(piece)
        quiet = piece.role is not Role.FLASHING
        colour = COVERING_EDGE if quiet else SHEET_EDGE
        page.segments(folds, colour, 1.0 if quiet else 1.2)
        page.segments(rims, colour, 1.0 if quiet else 2.0)
        for line in sight.seen(hatch(piece.triangles[len(piece.triangles) - piece.cut_face :]))[0]:
            page.line(line, GHOST_EDGE, 1.0)
    _draw_water(page, sight)
    for piece in sight.stage.pieces:
        _draw_ghost(page, sight, piece)


def _draw_veiled(page: Page, sight: Sight) -> None:
    """Edges of what is see-through, as they would be seen if it were not."""
    veiled = [piece for piece in sight.stage.pieces if piece.see_through]
    if veiled:
        pieces = tuple(replace(piece, see_through=False) for piece in sight.stage.pieces)
        solid = Sight(replace(sight.stage, pieces=pieces), sight.camera)
        for piece in veiled:
            for lines in solid.seen_edges(piece):
                page.segments(lines, VEILED_EDGE, 1.0)


def _draw_water(page: Page, sight: Sight) -> None:
    """Water that runs off where it is seen; water that gets behind also where it is hidden,
    dashed; and on top of them the deciding path."""
    paths = sight.stage.paths
    for line in sight.seen([way.points for way in paths if not way.behind])[0]:
        page.line(line, WATER, 1.1)
    behind = sight.seen([way.points for way in paths if way.behind and not way.deciding])
    _draw_stroke(page, behind, BEHIND, widths=(2.5, 2.0, 4.0), dash=(8, 5))
    deciding = sight.seen([way.points for way in paths if way.deciding])
    _draw_stroke(page, deciding, DECIDING, widths=(4.5, 3.5, 8.0), dash=(14, 7))


WAY_IN = 0.03
"""How far along the deciding path its label points [m]."""


def draw_lap(page: Page, sight: Sight, edge: Floats) -> tuple[float, float]:
    """Draw a lap's open edge, dashed where it is hidden; where its label points [px]."""
    seen, hidden = sight.seen([edge])
    _draw_stroke(page, (seen, hidden), SHORT_LAP, widths=(5.0, 3.0, 8.0), dash=(9, 6))
    return _middle(max(seen, key=_length, default=sight.camera.project(edge)))


def deciding_start(sight: Sight) -> tuple[float, float]:
    """Where the label of the deciding path points [px]: a little after its start, where water gets
    in; there must be such a path."""
    points = next(way.points for way in sight.stage.paths if way.deciding)
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    at = min(WAY_IN, float(along[-1]) / 2)
    spot = np.array([[np.interp(at, along, points[:, k]) for k in range(3)]])
    x, y = sight.camera.project(spot)[0]
    return float(x), float(y)


def _draw_stroke(
    page: Page,
    stretches: Stretches,
    colour: Colour,
    *,
    widths: tuple[float, float, float],
    dash: tuple[float, float],
) -> None:
    """Lines with a halo, solid where seen and dashed where hidden; widths: of both and of the halo;
    dash: on and off [px]."""
    seen, hidden = stretches
    strokes = [piece for line in hidden for piece in dashes(line, *dash)]
    for line in [*strokes, *seen]:
        page.line(line, PAPER, widths[2])
    for line in strokes:
        page.line(line, colour, widths[1])
    for line in seen:
        page.line(line, colour, widths[0])


def _draw_ghost(page: Page, sight: Sight, piece: Piece) -> None:
    if len(piece.ghost) == 0:
        return
    rims, folds = sight.edges_of(piece.ghost)
    cut = piece.ghost[:, :, 2].min()
    for line in sight.before_the_eye([*rims, *folds]):
        if (line[:, 2] > cut + 1e-9).any():
            for dash in dashes(sight.camera.project(line), 9, 6):
                page.line(dash, GHOST_EDGE, 1.2)


def _length(flat: Floats) -> float:
    return float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum())


def _middle(flat: Floats) -> tuple[float, float]:
    """The point half-way along a polyline (k, 2)."""
    steps = np.linalg.norm(np.diff(flat, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = along[-1] / 2
    return float(np.interp(half, along, flat[:, 0])), float(np.interp(half, along, flat[:, 1]))
