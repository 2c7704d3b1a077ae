"""The things in the window as the graphics library's actors: pieces, water, laps, drops, and what is
marked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from typing import Any, Final

import numpy as np
import pyvista as pv
from numpy.typing import NDArray

from meshes.parts import Role
from scenes.colours import (
    BEHIND,
    COVERING_EDGE,
    GOOD,
    INK,
    PAPER,
    SHEET_EDGE,
    SHORT_LAP,
    WATER,
    Colour,
)
from scenes.picture_render import shaded
from scenes.stage import Piece, Stage
from scenes.stage_lines import edges
from scenes.window.picking import Line
from scenes.window.shown import Shown
from scenes.window.water import Way, drawn

Floats = NDArray[np.float64]

SEE_THROUGH: Final = 0.15
"""Opacity of a covering that is seen through: its courses lie double, and have two sides."""
OUT_OF_SIGHT: Final = 0.4
"""Opacity of lines through what hides them."""
LIFTED: Final = 4e-4
"""Lines are lifted off their sheet so far towards the viewer [m]: under the next sheet above."""
MARKED: Final[Colour] = (255, 214, 0)
"""Colour of what was asked about, with ink round it: it shows on every sheet."""


class Drawing:
    """All actors. `overlay` is drawn over everything, under the same camera."""

    def __init__(
        self, plotter: Any, overlay: Any, ways: Sequence[Way], laps: Sequence[Line],
        short: frozenset[int], stage: Stage, apart: Mapping[int, Floats],
    ) -> None:  # fmt: skip
        """laps: their open edges; short: numbers of those that are too short; apart: by its place, how
        far (3,) a piece is moved when pieces are apart [m]."""
        self._overlay, self._apart = overlay, apart
        self._pieces = [_PieceDrawn(plotter, piece) for piece in stage.pieces]
        outside = [way.points for way in ways if not way.behind]
        self._outside = _added(plotter.renderer, outside, WATER, 1.6)
        self._laps = {}
        for lap in laps:
            number, edge = lap.what.number, [lap.points]
            if number in short:
                self._laps[number] = self._through(plotter, edge, SHORT_LAP, 6.0)
            else:
                self._laps[number] = [_added(plotter.renderer, edge, GOOD, 2.5)]
        self._leaks = {}
        for number, (few, many) in drawn(ways).items():
            self._leaks[number] = tuple(
                [
                    _added(plotter.renderer, _long([way.coming for way in some]), WATER, width),
                    *self._through(plotter, _long([way.within for way in some]), BEHIND, width),
                ]
                for some, width in ((few, 3.0), (many, 2.5))
            )
        self._drops = [_Drops(overlay, *look) for look in _DROPS]
        self._mark = [
            _added(overlay, [], INK, 8.0),
            _added(overlay, [], MARKED, 4.0),
        ]

    def _through(
        self, plotter: Any, lines: list[Floats], colour: Colour, width: float
    ) -> list[pv.Actor]:
        """Lines that are also seen, paler, through what hides them."""
        over = _added(self._overlay, lines, colour, width / 2, opacity=OUT_OF_SIGHT)
        return [_added(plotter.renderer, lines, colour, width), over]

    def show(self, shown: Shown, laps: Set[int]) -> None:
        """Show and move the pieces, the water and the laps of these numbers as they are to be shown."""
        gone = shown.out_of_sight
        for place, piece in enumerate(self._pieces):
            shift = self._apart.get(place) if shown.apart else None
            piece.show(place not in gone, shift, thin=shown.see_through)
        self._outside.visibility = shown.water
        for number, actors in self._laps.items():
            for actor in actors:
                actor.visibility = number in laps
        for number, (few, many) in self._leaks.items():
            for actor in few:
                actor.visibility = shown.water and not shown.leak
            for actor in many:
                actor.visibility = shown.water and shown.leak == number

    def face(self, axes: Floats) -> None:
        """Light the pieces for a viewer (3, 3 rows: right, up, towards them), and lift lines towards
        them."""
        for piece in self._pieces:
            piece.face(axes)
        lift = LIFTED * axes[2]
        self._outside.position = lift
        water = [actors for both in self._leaks.values() for actors in both]
        for actors in water:
            actors[0].position = actors[1].position = lift
        for actors in self._laps.values():
            actors[0].position = lift

    def drops(self, at: Floats, behind: NDArray[np.bool_], unseen: NDArray[np.bool_]) -> None:
        """Show drops at places (j, 3) [m]; those out of sight only if they are behind (j,)."""
        for drops, chosen in zip(
            self._drops, (~behind & ~unseen, behind & ~unseen, behind & unseen), strict=True
        ):
            drops.show(at[chosen])

    def mark(self, lines: list[Floats]) -> None:
        """Mark lines (k, 3) [m] as what was asked about; none: nothing is marked."""
        for actor in self._mark:
            actor.mapper.dataset = polylines(lines)


_DROPS: Final = (
    ((WATER, 7.0), (PAPER, 0.0)),
    ((BEHIND, 11.0), (PAPER, 0.0)),
    ((BEHIND, 11.0), (PAPER, 6.0)),
)
"""Colour and size [px] of drops and of the dot in them: seen, seen and behind, and a ring for those that
are behind and out of sight."""


class _Drops:
    """Drops that look alike."""

    def __init__(self, renderer: Any, rim: tuple[Colour, float], dot: tuple[Colour, float]) -> None:
        self._actors = []
        for colour, size in (rim, dot):
            if size:
                actor = _added(renderer, [], colour, 1.0)
                actor.prop.point_size = size
                actor.prop.render_points_as_spheres = True
                self._actors.append(actor)

    def show(self, at: Floats) -> None:
        mesh = pv.PolyData(at) if len(at) else pv.PolyData()
        for actor in self._actors:
            actor.mapper.dataset = mesh


class _PieceDrawn:
    """A piece with its edges."""

    def __init__(self, plotter: Any, piece: Piece) -> None:
        self._piece = piece
        corners = np.arange(3 * len(piece.triangles)).reshape(-1, 3)
        faces = np.column_stack([np.full(len(corners), 3), corners])
        self._mesh = pv.PolyData(piece.triangles.reshape(-1, 3), faces=faces.ravel())
        self._mesh.cell_data["colour"] = shaded(piece.triangles, piece.colour, np.eye(3))
        self._solid = plotter.add_mesh(
            self._mesh, scalars="colour", rgb=True, lighting=False, show_scalar_bar=False
        )
        colour = SHEET_EDGE if piece.role is Role.FLASHING else COVERING_EDGE
        # Seen from every side an outline is no fixed line: only real rims and folds are drawn.
        self._edges = _added(plotter.renderer, outlines(piece), colour, 1.5)
        self._shift: Floats = np.zeros(3)
        self._lift: Floats = np.zeros(3)

    def show(self, seen: bool, shift: Floats | None, *, thin: bool) -> None:
        self._solid.visibility = self._edges.visibility = seen
        pale = thin and self._piece.role is Role.COVERING
        self._solid.prop.opacity = SEE_THROUGH if pale else 1.0
        self._edges.prop.opacity = OUT_OF_SIGHT if pale else 1.0
        self._shift = np.zeros(3) if shift is None else shift
        self._solid.position = self._shift
        self._edges.position = self._shift + self._lift

    def face(self, axes: Floats) -> None:
        self._mesh.cell_data["colour"] = shaded(self._piece.triangles, self._piece.colour, axes)
        self._lift = LIFTED * axes[2]
        self._edges.position = self._shift + self._lift


def outlines(piece: Piece) -> list[Floats]:
    """The rims and folds of a piece, (2, 3) [m] each."""
    rims, folds = edges(piece.triangles, np.zeros(3))
    return [*rims, *folds]


def _long(lines: Sequence[Floats]) -> list[Floats]:
    return [line for line in lines if len(line) > 1]


def polylines(lines: Sequence[Floats]) -> pv.PolyData:
    """Lines (k, 3) [m] as a mesh; an empty one for none."""
    if not lines:
        return pv.PolyData()
    counts = [len(line) for line in lines]
    starts = np.cumsum([0, *counts[:-1]])
    cells = [np.r_[n, np.arange(first, first + n)] for n, first in zip(counts, starts, strict=True)]
    return pv.PolyData(np.concatenate(lines), lines=np.concatenate(cells))


def _added(
    renderer: Any, lines: Sequence[Floats], colour: Colour, width: float, *, opacity: float = 1.0
) -> pv.Actor:
    """An actor of lines, in a renderer."""
    actor = pv.Actor(mapper=pv.DataSetMapper(polylines(lines)))
    actor.prop.color = pv.Color(colour)
    actor.prop.line_width = width
    actor.prop.opacity = opacity
    actor.prop.lighting = False
    actor.mapper.scalar_visibility = False
    renderer.AddViewProp(actor)
    return actor
