"""What marks a difference in a view: the outline of what lies elsewhere, here and on the other side."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import INK, PAPER
from scenes.compare_stage import Differs
from scenes.picture_page import Page
from scenes.stage import Piece
from scenes.stage_lines import dashes
from scenes.stage_sight import Sight, Spot

Floats = NDArray[np.float64]

LEAST_SEEN = 80.0
"""A shorter outline than this is overlooked [px]."""


def draw_differences(page: Page, sight: Sight, differs: Sequence[Differs]) -> None:
    """The outlines of what lies elsewhere, as far as they are seen: solid as it is here (of the whole
    part where next to nothing of that is seen), dashed as it is on the other side."""
    for one in differs:
        for segment in _outline(sight, one.there):
            for dash in dashes(segment, 9, 6):
                page.line(dash, PAPER, 5.5)
                page.line(dash, INK, 2.5)
    for one in differs:
        rims = _own_outline(sight, one)
        page.segments(rims, PAPER, 8.0)
        page.segments(rims, INK, 4.5)


def seen_length(sight: Sight, differs: Sequence[Differs]) -> float:
    """How long the solid outlines are that would be drawn [px]."""
    return sum(_length(_own_outline(sight, one)) for one in differs)


def out_of_sight(
    sight: Sight, differs: Sequence[Differs], spots: dict[int, Spot]
) -> list[tuple[str, tuple[float, float]]]:
    """Words, and where they point [px], for what differs and carries no name in the view."""
    named = {sight.stage.pieces[number].name for number in spots}
    shown = {piece.name: piece.letter for piece in sight.stage.pieces}
    rows = []
    for one in differs:
        if one.name in named:
            continue
        state = "out of sight" if len(one.whole) else "not here"
        region = next(part for part in (one.here, one.there, one.whole) if len(part))
        x, y = sight.camera.project(region.mean(axis=(0, 1))[None])[0]
        letter = f"{shown[one.name]}  " if one.name in shown else ""
        rows.append((f"{letter}{one.name}: {state}", (float(x), float(y))))
    return rows


def _own_outline(sight: Sight, one: Differs) -> Floats:
    """Of what lies elsewhere, as it is here; of the whole part where next to nothing of that is seen."""
    rims = _outline(sight, one.here)
    return rims if _length(rims) >= LEAST_SEEN else _outline(sight, one.whole)


def _length(segments: Floats) -> float:
    return float(np.linalg.norm(np.diff(segments, axis=1), axis=2).sum())


def _outline(sight: Sight, triangles: Floats) -> Floats:
    """Seen rims (m, 2, 2) [px] of some triangles (n, 3, 3) [m]; of a body that is closed, its folds."""
    if len(triangles) == 0:
        return np.empty((0, 2, 2))
    piece = Piece("", "", Role.FLASHING, INK, triangles, np.empty((0, 3, 3)))
    rims, folds = sight.seen_edges(piece)
    return rims if len(rims) else folds
