"""Aprons and side flashings round any plan: a run's upstand, and its cover down and beside the slope.

Every joint between two covers runs straight down the slope from a corner of the stack, so that none
faces up it: the later piece begins at that line, the earlier one runs on beneath it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos

import shapely

from meshes.around.chains import Chain
from meshes.around.lie import Lie
from meshes.around.reach import reach
from meshes.around.rim import FAR, Rim
from meshes.around.scheme import Scheme
from meshes.around.upstand import Sheet, edge_lip, return_over, return_under, turn_in, upstand
from meshes.piece import Named, Piece, piece
from meshes.plan import Corner, Kind
from meshes.sheet import Point

UNDER_BACK = 0.020  # [m] side covers run this far past the stack's corner under the sheet behind it
BEFORE_DROP = 0.008  # [m] or stop so far before it where they lie over that sheet
CLOSED_END = 0.060  # [m] of a cover's free edge below a corner, dressed tight; the rest drains


def sheet_of(scheme: Scheme, kind: Kind) -> Sheet:
    """Upstand and lie of the piece that takes edges of a kind."""
    layer = scheme.layers[kind]
    rim = Rim(scheme.plan, scheme.stand_off(layer))
    if kind is Kind.BACK:
        raise ValueError("what is behind a stack has a sheet of its own")
    lie = scheme.cover_lie(layer)
    upright = top_above(scheme, kind)

    def top(x: float, y: float) -> float:
        return scheme.nose_plane(y) + upright

    return Sheet(rim, _always(lie), top)


def _always(lie: Lie) -> Callable[[Corner], Lie]:
    return lambda _: lie


def top_above(scheme: Scheme, kind: Kind) -> float:
    """Upright height [m] of an upstand's top edge above the plane through the noses."""
    detail = scheme.detail
    if kind is Kind.FRONT:
        return scheme.crest + detail.apron.upstand
    return scheme.crest + detail.sides.upstand / cos(detail.roof.pitch)


@dataclass(frozen=True, slots=True)
class _End:
    """An end of a run: the run that it meets there, and whether this one lies over that."""

    corner: Corner
    beside: Chain | None
    over: bool
    on: bool
    last: bool


def skirt(scheme: Scheme, chain: Chain, back: Sheet | None) -> Piece:
    """The piece of one run. back: the sheet behind the stack, None where there is a ridge."""
    detail = scheme.detail
    sheet = sheet_of(scheme, chain.kind)
    ends = _ends(scheme, chain)
    named = upstand(sheet, chain.points)
    depth = detail.apron.turn_in if chain.kind is Kind.FRONT else detail.sides.turn_in
    if depth > 0:
        named += turn_in(sheet, chain.points, depth)
    for end in ends:
        named += _closed(scheme, sheet, end, back)
    region = _region(scheme, sheet, chain, ends)
    named += sheet.lie((0.0, 0.0)).drape("cover", region)
    return piece(chain.name, named, wet=_outward(sheet, chain), foot=None)


def _outward(sheet: Sheet, chain: Chain) -> Point:
    x, y = sheet.rim.inward(chain.points[0], on=True)
    return (-x, -y, 0.0)


def _ends(scheme: Scheme, chain: Chain) -> tuple[_End, _End]:
    under = scheme.chains.under
    at = under.index(chain)
    found = []
    for step, corner, on in ((-1, chain.start, False), (1, chain.end, True)):
        last = not 0 <= at + step < len(under)
        beside = scheme.chains.back if last else under[at + step]
        over = beside is not None and scheme.layers[chain.kind] > scheme.layers[beside.kind]
        found.append(_End(corner, beside, over, on, last))
    return found[0], found[1]


def _closed(scheme: Scheme, sheet: Sheet, end: _End, back: Sheet | None) -> list[Named]:
    """What closes an end at its corner: a return over the sheet beside it, or one tucked under it."""
    wide = min(scheme.detail.sides.corner_return, 0.4 * sheet.rim.room_past(end.corner, on=end.on))
    if end.beside is None or wide < 0.005:
        return []
    beside = back if end.beside.kind is Kind.BACK else sheet_of(scheme, end.beside.kind)
    assert beside is not None
    if not end.over:
        return return_under(sheet, end.corner, beside, wide, on=end.on)
    if end.last:
        return []
    start = sheet.rim.at(end.corner)
    lip = edge_lip(sheet, beside, start, CLOSED_END * cos(scheme.detail.roof.pitch))
    return return_over(sheet, end.corner, beside, wide, on=end.on) + lip


def _region(
    scheme: Scheme, sheet: Sheet, chain: Chain, ends: tuple[_End, _End]
) -> shapely.Geometry:
    """The cover in plan."""
    whole = reach(scheme)
    shadow = sheet.rim.shadow(1, scheme.ridge)
    free = whole.difference(shadow)
    corners = [sheet.rim.at(end.corner) for end in ends]
    middle = (corners[0][0] + corners[1][0]) / 2
    highest = max(y for _, y in sheet.out(chain.points))
    parts = []
    for side, end, (x, y) in zip((-1, 1), ends, corners, strict=True):
        outer = side * FAR if end.last else x
        top = highest
        if end.last:
            top = y + UNDER_BACK if not end.over else end.corner[1] - BEFORE_DROP
            if scheme.ridge is not None:
                top = end.corner[1]
        parts.append(free.intersection(_box(middle, outer, -FAR, top)))
        if not end.last and not end.over:
            beyond = x + side * scheme.detail.apron.overhang
            parts.append(whole.intersection(_box(x, beyond, -FAR, y)))
    return shapely.unary_union(parts)


def _box(x0: float, x1: float, y0: float, y1: float) -> shapely.Polygon:
    return shapely.box(min(x0, x1), y0, max(x0, x1), y1)
