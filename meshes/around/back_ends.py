"""The two lower ends of the sheet behind a stack: how each turns its corner, and its cover's free edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos

import shapely

from meshes.around.back_line import MORE_THAN_RULE
from meshes.around.corner_closing import CLOSED_END
from meshes.around.corners import reach_round
from meshes.around.rim import FAR
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.around.skirt import sheet_of
from meshes.around.upstand import edge_lip, past_corner
from meshes.line import NARROW
from meshes.piece import Named
from meshes.plan import Corner, Kind
from meshes.rules import lap_for_rise

CLEAR_OF_END = 0.010  # [m] a dressed edge ends so far above the cover's lower edge
LEAST_LIP = 0.005  # [m] a shorter one is left off
NEARER = 0.5  # bedding gaps that a free edge lies nearer to the stack than the crease above it


@dataclass(frozen=True, slots=True)
class BackEnd:
    """One end: the corner of the stack where it lies, the sheet beside it there, and whether it lies
    over that one.

    on: whether it is the end anticlockwise (the left one); wide: how far its upstand is turned round
    the corner [m]; leans: how much the edge round the corner faces down the slope (below 0: up it);
    begins: where in plan the free edge of its cover begins, at the end of the crease under the
    upstand; free: from where that edge runs down the roof. What runs along the crease leaves it
    within the cover, not on its very edge.
    """

    corner: Corner
    beside: Sheet
    over: bool
    on: bool
    wide: float
    leans: float
    begins: Corner
    free: Corner

    @property
    def own_upto(self) -> Corner | None:
        """Up to where its upstand round the corner stands on its own cover: to the end of that upstand
        where the edge there doesn't face down the slope; None where it is cut to the sheet beside it."""
        if self.leans < NARROW:
            return self.begins
        return None if self.free == self.begins else self.free


def ends_of(scheme: Scheme, sheet: Sheet) -> tuple[BackEnd, BackEnd]:
    """The right end and the left one, as the outline runs."""
    chain = scheme.chains.back
    assert chain is not None
    right, left = scheme.chains.under[-1].kind, scheme.chains.under[0].kind
    return (
        _end(scheme, sheet, chain.start, right, on=False),
        _end(scheme, sheet, chain.end, left, on=True),
    )


def _end(scheme: Scheme, sheet: Sheet, corner: Corner, kind: Kind, *, on: bool) -> BackEnd:
    rim = sheet.rim
    wide = reach_round(sheet, corner, scheme.detail.gutter.upstand_return, on=on)
    leans = rim.inward(corner, on=on)[1]
    over = scheme.layers[Kind.BACK] > scheme.layers[kind]
    begins = rim.at(corner)
    if wide > 0 and over and leans < NARROW:
        begins = rim.at(past_corner(sheet, corner, wide, on=on))
    free = begins
    if over and leans > -NARROW and not scheme.detail.gutter.two_part:
        by = NEARER * scheme.detail.gap
        way = rim.past(corner, 1.0, on=on)[0] - rim.at(corner)[0]
        share = by / abs(way) if leans > NARROW else 0.0
        down = rim.past(corner, share, on=on) if leans > NARROW else begins
        free = (begins[0] + (by if on else -by), down[1])
        if leans > NARROW and (wide <= 0 or share > wide / 2):
            free = begins
    beside = sheet_of(scheme, kind)
    return BackEnd(corner, beside, over, on, wide, leans, begins, free)


def hole(sheet: Sheet, ends: Sequence[BackEnd]) -> shapely.Geometry:
    """What the sheet leaves free in plan: the stack, and what lies straight down the slope of it."""
    found = sheet.rim.shadow(-1)
    for end in ends:
        x0, x1 = sorted((end.begins[0], end.free[0]))
        if x1 - x0 < NARROW:
            continue
        strip = shapely.box(x0, -FAR, x1, end.begins[1])
        if end.leans > NARROW:
            (x, y), far = end.begins, end.free
            strip = shapely.Polygon([(x, y), far, (far[0], -FAR), (x, -FAR)])
        found = found.difference(strip)
    return found


def lip(scheme: Scheme, sheet: Sheet, end: BackEnd) -> list[Named]:
    """The upper part of its cover's free edge, dressed tight to the sheet beside it."""
    start = end.free
    room = start[1] - lowest(scheme, end.corner) - CLEAR_OF_END
    if end.leans < -NARROW:
        room = min(room, sheet.rim.room_past(end.corner, on=end.on) - end.wide)
    long = min(CLOSED_END * cos(scheme.detail.roof.pitch), room)
    if long < LEAST_LIP:
        return []
    stop = (start[0], start[1] - long)
    if end.leans < -NARROW:
        stop = sheet.rim.past(end.corner, end.wide + long, on=end.on)
    return edge_lip(sheet, end.beside, start, stop)


def lowest(scheme: Scheme, corner: Corner) -> float:
    """y [m] of the lower edge of the end that lies down over the side flashing at a corner."""
    pitch = scheme.detail.roof.pitch
    lap = scheme.detail.gutter.lap
    if lap is None:
        lap = lap_for_rise(pitch) + MORE_THAN_RULE
    stand = scheme.stand_off(scheme.layers[Kind.BACK])
    return max(corner[1] + stand - lap * cos(pitch), scheme.y_span[0] + 0.01)
