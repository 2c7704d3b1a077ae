"""Aprons and side flashings round any plan: a run's upstand, and its cover down and beside the slope.

Every joint between two covers runs straight down the slope from a corner of the stack, so that none
faces up it: the later piece begins at that line, the earlier one runs on beneath it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians

import shapely

from meshes.around.bossing import stretch_of, worked_past
from meshes.around.chains import Chain
from meshes.around.corner_closing import closed
from meshes.around.corner_ends import endings, narrowed, shoulders, slit_edges, stops
from meshes.around.corners import End, Run, carried, run_of, standing
from meshes.around.lie import Lie
from meshes.around.reach import reach
from meshes.around.rim import FAR, Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet, Top
from meshes.around.step_flashing import end_steps, stepped_side, stepped_top
from meshes.around.turn_ins import turn_in
from meshes.around.upstand import upstand
from meshes.piece import Piece, piece
from meshes.plan import Corner, Kind
from meshes.sheet import Point

UNDER_BACK = 0.020  # [m] side covers run this far past the stack's corner under the sheet behind it
BLUNT = radians(75)  # a corner that turns less has upstands of one height on both sides
BEFORE_DROP = 0.008  # [m] or stop so far before it where they lie over that sheet


def sheet_of(scheme: Scheme, kind: Kind) -> Sheet:
    """Upstand and lie of the piece that takes edges of a kind."""
    layer = scheme.layers[kind]
    rim = Rim(scheme.plan, scheme.stand_off(layer))
    if kind is Kind.BACK:
        raise ValueError("what is behind a stack has a sheet of its own")
    lie = scheme.cover_lie(layer)
    upright = top_above(scheme, kind)

    def plain(x: float, y: float) -> float:
        return scheme.nose_plane(y) + upright

    top: Top = plain
    deep = scheme.detail.apron.turn_in if kind is Kind.FRONT else scheme.detail.sides.turn_in
    if stepped(scheme, kind):
        chain = next(chain for chain in scheme.chains.under if chain.kind is kind)
        top = stepped_top(scheme, chain, rim, sheet_of(scheme, Kind.FRONT).top)
    return Sheet(rim, _always(lie), top, lambda _, y: scheme.underlay_top(y), deep)


def stepped(scheme: Scheme, kind: Kind) -> bool:
    """Whether a run is a side whose top edge follows the bricks."""
    return kind in (Kind.LEFT, Kind.RIGHT) and scheme.detail.sides.way != "cover"


def _always(lie: Lie) -> Callable[[Corner], Lie]:
    return lambda _: lie


def top_above(scheme: Scheme, kind: Kind) -> float:
    """Upright height [m] of an upstand's top edge above the plane through the noses."""
    detail = scheme.detail
    over = scheme.crest
    if _as_high(scheme):
        # Where both reach equally high the later one lies over the earlier one's turn-in.
        over += scheme.layers[kind] * detail.gap / cos(detail.roof.pitch)
    if kind is Kind.FRONT or _collared(scheme, kind):
        return over + detail.apron.upstand
    return over + detail.sides.upstand / cos(detail.roof.pitch)


def _as_high(scheme: Scheme) -> bool:
    """Whether runs that meet at a corner below the stack stand equally high there."""
    if scheme.detail.facing == "up-slope":
        return False
    kinds = {chain.kind for chain in scheme.chains.under}
    sides = kinds - {Kind.FRONT}
    return Kind.FRONT not in kinds or any(_collared(scheme, kind) for kind in sides)


def _collared(scheme: Scheme, kind: Kind) -> bool:
    """Whether a side meets the apron at a blunt corner: they stand equally high, as a collar does."""
    runs = {chain.kind: chain for chain in scheme.chains.under}
    if Kind.FRONT not in runs:
        return False
    corner = runs[kind].end if kind is Kind.LEFT else runs[kind].start
    if corner not in scheme.plan.corners:
        return False  # it ends at the ridge, and meets nothing there
    return scheme.plan.turn_at(scheme.plan.corners.index(corner)) < BLUNT


def skirt(scheme: Scheme, chain: Chain, back: Sheet | None) -> Piece:
    """The piece of one run. back: the sheet behind the stack, None where there is a ridge."""
    sheet = sheet_of(scheme, chain.kind)
    run = run_of(scheme, chain, worked_past(scheme))
    beside = [_sheet_beside(scheme, end, back) for end in run.ends]
    if stepped(scheme, chain.kind):
        named = stepped_side(scheme, sheet, chain, endings(scheme, sheet, run, beside))
        run = replace(run, points=end_steps(scheme, chain))
    else:
        points, over = carried(scheme, sheet, run, beside, standing(scheme, run))
        low = shoulders(scheme, sheet, run, beside)
        named = upstand(sheet, points, low, over, narrowed(scheme, sheet, run, beside))
        named += slit_edges(scheme, sheet, run, beside)
        two_part = chain.kind is Kind.FRONT and scheme.detail.apron.two_part
        if sheet.turn_in > 0 and not two_part:
            ends = endings(scheme, sheet, run, beside)
            high = stops(scheme, sheet, run, beside)
            named += turn_in(sheet, points, sheet.turn_in, ends, high)
    for end, other in zip(run.ends, beside, strict=True):
        steps = stepped(scheme, chain.kind)
        named += closed(scheme, sheet, run, end, other, stepped=steps)
    region = _region(scheme, sheet, run)
    named += sheet.lie((0.0, 0.0)).drape("cover", region)
    made = piece(chain.name, named, wet=_outward(sheet, chain), foot=None)
    return replace(made, stretch=stretch_of(scheme, sheet, run, chain.name))


def _outward(sheet: Sheet, chain: Chain) -> Point:
    x, y = sheet.rim.inward(chain.points[0], on=True)
    return (-x, -y, 0.0)


def _sheet_beside(scheme: Scheme, end: End, back: Sheet | None) -> Sheet | None:
    if end.beside is None:
        return None
    return back if end.beside.kind is Kind.BACK else sheet_of(scheme, end.beside.kind)


def _region(scheme: Scheme, sheet: Sheet, run: Run) -> shapely.Geometry:
    """The cover in plan."""
    whole = reach(scheme)
    shadow = sheet.rim.shadow(1, scheme.ridge)
    free = whole.difference(shadow)
    corners = [sheet.rim.at(end.tongue[-1] if end.tongue else end.corner) for end in run.ends]
    middle = (corners[0][0] + corners[1][0]) / 2
    highest = max(y for _, y in sheet.out((*run.points, *run.ends[0].tongue, *run.ends[1].tongue)))
    parts = []
    if corners[0][0] > corners[1][0]:
        # A side that leans from the fall line by less than its limit: the stack narrows up the slope.
        middle, low = min(corners, key=lambda corner: corner[1])
        beside = free.difference(sheet.rim.shadow(-1))
        parts.append(beside.intersection(_box(corners[0][0], corners[1][0], low, highest)))
    for side, end, (x, y) in zip((-1, 1), run.ends, corners, strict=True):
        if end.last:
            top = y + UNDER_BACK if not end.over else end.corner[1] - BEFORE_DROP
            if scheme.ridge is not None:
                top = end.corner[1]
        if side * (x - middle) > 0:
            parts.append(free.intersection(_box(middle, x, -FAR, highest)))
        if end.last:
            start = x if side * (x - middle) > 0 else middle
            parts.append(free.intersection(_box(start, side * FAR, -FAR, top)))
        if not end.last and not end.over and not end.tongue:
            beyond = x + side * scheme.detail.apron.overhang
            parts.append(whole.intersection(_box(x, beyond, -FAR, y)))
    return shapely.unary_union(parts)


def _box(x0: float, x1: float, y0: float, y1: float) -> shapely.Polygon:
    return shapely.box(min(x0, x1), y0, max(x0, x1), y1)
