"""The chases that stay open: along turn-ins that aren't pointed, and where none enters."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.around.scheme import Scheme
from meshes.around.shaft import Chase
from meshes.around.sheets import Sheet
from meshes.piece import Piece
from meshes.plan import Corner, Edge, Plan
from meshes.sheet import normal_of

PAST_END = 0.003  # [m] a chase is cut so far past its turn-in's end
SHORTEST = 0.002  # [m] a shorter one is none


def along_turn_ins(scheme: Scheme, pieces: Iterable[Piece]) -> list[Chase]:
    """Chases round every turn-in of the pieces, where the stack isn't pointed."""
    if scheme.detail.stack.pointed:
        return []
    found = [_round_a_panel(scheme.plan, panel) for panel in _called("turn-in", pieces)]
    return [chase for chase in found if chase is not None]


def webs(scheme: Scheme, pieces: Iterable[Piece]) -> list[NDArray[np.float64]]:
    """The upright panels (k, 3) [m] that join turn-ins at corners of the stack, where it isn't pointed."""
    return [] if scheme.detail.stack.pointed else _called("mitre", pieces)


def _called(name: str, pieces: Iterable[Piece]) -> list[NDArray[np.float64]]:
    return [
        made.facets.points[list(row)]
        for made in pieces
        for row, own in zip(made.facets.polygons, made.facets.names, strict=True)
        if own == name
    ]


def without_turn_in(sheet: Sheet, points: tuple[Corner, ...]) -> list[Chase]:
    """Chases along the top edge of an upstand that isn't turned in."""
    if sheet.turn_in > 0:
        return []
    found = []
    for a, b in pairwise(points):
        (ax, ay), (bx, by) = sheet.out((a, b))
        long = hypot(b[0] - a[0], b[1] - a[1])
        inward = (-(b[1] - a[1]) / long, (b[0] - a[0]) / long)
        found.append(Chase((*a, sheet.top(ax, ay)), (*b, sheet.top(bx, by)), inward))
    return found


def _round_a_panel(plan: Plan, panel: NDArray[np.float64]) -> Chase | None:
    """The chase of a flat panel that enters one face: of all the one that it crosses the longest."""
    flat = shapely.Polygon(panel[:, :2])
    crossed = [(_crossed(flat, edge), edge) for edge in plan.edges]
    (first, last), edge = max(crossed, key=lambda row: row[0][1] - row[0][0])
    if last - first < SHORTEST:
        return None
    nx, ny, nz = normal_of(panel)

    def at(s: float) -> tuple[float, float, float]:
        x, y = edge.start[0] + edge.along[0] * s, edge.start[1] + edge.along[1] * s
        z = panel[0, 2] - (nx * (x - panel[0, 0]) + ny * (y - panel[0, 1])) / nz
        return (x, y, float(z))

    ends = at(first - PAST_END), at(last + PAST_END)
    return Chase(*ends, (-edge.normal[0], -edge.normal[1]))


def _crossed(flat: shapely.Polygon, edge: Edge) -> tuple[float, float]:
    """From where to where along an edge [m] a panel crosses it in plan."""
    crossing = flat.intersection(shapely.LineString([edge.start, edge.end]))
    points = shapely.get_coordinates(crossing) - np.array(edge.start)
    along = points @ np.array(edge.along)
    return (float(along.min()), float(along.max())) if len(along) else (0.0, 0.0)
