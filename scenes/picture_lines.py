"""The lines over the rendered view: edges, water, the ways in, short laps, and what is cut away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import (
    COVERING_EDGE,
    GHOST_EDGE,
    PAPER,
    SHEET_EDGE,
    SHORT_LAP,
    VEILED_EDGE,
    Colour,
)
from scenes.picture_page import Page
from scenes.picture_strokes import Stroke
from scenes.stage import Piece
from scenes.stage_cut import hatch
from scenes.stage_lines import dashes
from scenes.stage_sight import Sight
from scenes.stage_water import Runs

Floats = NDArray[np.float64]
Stretches = tuple[list[Floats], list[Floats]]
"""What is seen of some lines, and what is hidden: (k, 2) [px] each."""


def draw_lines(page: Page, sight: Sight) -> set[Stroke]:
    """Edges of every piece, water on top of them, and the outline of what is cut away; the kinds of line
    that the key has to tell."""
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
    drawn = _water(sight)
    drawn[Stroke.GUIDE] = sight.seen(list(sight.stage.guides))[0]
    drawn[Stroke.GHOST] = [line for piece in sight.stage.pieces for line in _ghost(sight, piece)]
    _draw_strokes(page, drawn)
    return {kind for kind, lines in drawn.items() if lines}


def _draw_veiled(page: Page, sight: Sight) -> None:
    """Edges of what is see-through, as they would be seen if it were not."""
    veiled = [piece for piece in sight.stage.pieces if piece.see_through]
    if veiled:
        pieces = tuple(replace(piece, see_through=False) for piece in sight.stage.pieces)
        solid = Sight(replace(sight.stage, pieces=pieces), sight.camera)
        for piece in veiled:
            for lines in solid.seen_edges(piece):
                page.segments(lines, VEILED_EDGE, 1.0)


def _water(sight: Sight) -> dict[Stroke, list[Floats]]:
    """Water that stays outside where it is seen, and what a sheet close over it hides; what comes to a
    leak; from there on also where it is hidden; last the first way in. Lines (k, 2) [px], lowest first."""

    def points(*runs: Runs) -> list[Floats]:
        return [way.points for way in sight.stage.paths if way.runs in runs]

    behind, hidden = sight.seen(points(Runs.BEHIND))
    first, first_hidden = sight.seen(points(Runs.FIRST_IN))
    return {
        Stroke.OUTSIDE: sight.seen(points(Runs.OUTSIDE, Runs.UNDER))[0],
        Stroke.UNDER: sight.beneath(points(Runs.UNDER)),
        Stroke.COMING: sight.seen(points(Runs.COMING))[0],
        Stroke.BEHIND_HIDDEN: hidden,
        Stroke.BEHIND: behind,
        Stroke.FIRST_IN_HIDDEN: first_hidden,
        Stroke.FIRST_IN: first,
    }


def _draw_strokes(page: Page, drawn: Mapping[Stroke, list[Floats]]) -> None:
    """Lines of each kind; those of one colour lie over the halos of all of it."""
    kinds = list(drawn)
    for kind in kinds:
        style = kind.value
        own = [k for k in kinds if k.value.colour == style.colour and k.value.halo]
        if own and kind is own[0]:
            for other in own:
                for line in _cut(drawn[other], other):
                    page.line(line, PAPER, other.value.halo)
        for line in _cut(drawn[kind], kind):
            page.line(line, style.colour, style.width)


def _cut(lines: list[Floats], kind: Stroke) -> list[Floats]:
    """Lines (k, 2) [px] as strokes of this kind."""
    on_off = kind.value.dash
    return [part for line in lines for part in dashes(line, *on_off)] if on_off else lines


WAY_IN = 0.03
"""How far along the deciding path its label points [m]."""


def draw_lap(page: Page, sight: Sight, edge: Floats) -> tuple[tuple[float, float], bool]:
    """Draw a lap's open edge, dashed where it is hidden; where its label points [px], and whether any of
    it is seen."""
    seen, hidden = sight.seen([edge])
    _draw_stroke(page, (seen, hidden), SHORT_LAP, widths=(5.0, 3.0, 8.0), dash=(9, 6))
    return _middle(max(seen, key=_length, default=sight.camera.project(edge))), bool(seen)


def deciding_start(sight: Sight) -> tuple[float, float]:
    """Where the label of the deciding path points [px]: a little after its start, where water gets
    in; there must be such a path."""
    points = next(way.points for way in sight.stage.paths if way.runs is Runs.FIRST_IN)
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


def _ghost(sight: Sight, piece: Piece) -> list[Floats]:
    """The outline of what is cut away of a piece, lines (k, 2) [px]."""
    if len(piece.ghost) == 0:
        return []
    rims, folds = sight.edges_of(piece.ghost)
    cut = piece.ghost[:, :, 2].min()
    lines = sight.before_the_eye([*rims, *folds])
    return [sight.camera.project(line) for line in lines if (line[:, 2] > cut + 1e-9).any()]


def _length(flat: Floats) -> float:
    return float(np.linalg.norm(np.diff(flat, axis=0), axis=1).sum())


def _middle(flat: Floats) -> tuple[float, float]:
    """The point half-way along a polyline (k, 2)."""
    steps = np.linalg.norm(np.diff(flat, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    half = along[-1] / 2
    return float(np.interp(half, along, flat[:, 0])), float(np.interp(half, along, flat[:, 1]))
