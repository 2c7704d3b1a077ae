"""Patches over slit corners: an upright strip round the corner, and a cover straight down from it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import cos, hypot

import shapely

from meshes.around.bossing import STRAIGHT_ON, patched
from meshes.around.corner_closing import CLOSED_END, dressed_edge
from meshes.around.corner_ends import meeting
from meshes.around.corners import MOST_OF_EDGE
from meshes.around.reach import reach
from meshes.around.rim import FAR, Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import DRESSED, Sheet
from meshes.around.skirt import sheet_of, top_above
from meshes.around.slit_corners import Meeting
from meshes.around.upstand import edge_lip, upstand
from meshes.errors import require
from meshes.piece import Named, Piece, piece
from meshes.plan import Corner, Edge, Kind

UNDER_TURN_IN = 0.001  # [m] a patch ends so far below the lower turn-in: no slit is left
BEFORE_STOP = 0.002  # [m] over the slit it goes up so far before the stop on the lower turn-in
WIDE = 0.050  # [m] a patch reaches so far to both sides of its corner: practice, no source
BELOW_RIDGE = 0.060  # [m] none is made nearer to a ridge


def patches(scheme: Scheme) -> list[tuple[int, Piece]]:
    """A patch for every slit corner below and beside the stack, with its layer; none for other joints.

    Behind the stack there is none: the upstand's own return is soldered on there. Raises PieceError.
    """
    if scheme.detail.joint != "slit and patch":
        return []
    way = scheme.detail.sides.way
    require(way == "cover", "joint", "slit and patch", f"return with {way} at the sides")
    kinds = {point: chain.kind for chain in scheme.chains.under for point in chain.points}
    ends = {chain.start for chain in scheme.chains.under[1:]}
    found: list[tuple[int, Piece]] = []
    for number, corner in enumerate(scheme.plan.corners):
        before, after = scheme.plan.edges[number - 1], scheme.plan.edges[number]
        inner = _within(scheme, corner)
        if corner not in kinds or scheme.plan.turn_at(number) < STRAIGHT_ON:
            continue
        if corner in ends or (inner and patched(scheme)):
            sides = (_kind(scheme, before), _kind(scheme, after))
            made = _patch(scheme, corner, (before, after), sides, len(found) + 1)
            found.append((layer_of_patches(scheme), made))
    return found


def layer_of_patches(scheme: Scheme) -> int:
    """The layer that patches lie in: over what they join, under the sheet behind the stack if that is
    dressed after all others."""
    under = max(scheme.layers[chain.kind] for chain in scheme.chains.under)
    behind = scheme.layers.get(Kind.BACK, 0)
    return under + 1 if behind > under + 1 else max(under, behind) + 1


def _within(scheme: Scheme, corner: Corner) -> bool:
    low = scheme.ridge is None or corner[1] < scheme.ridge - BELOW_RIDGE
    return low and any(corner in chain.points[1:-1] for chain in scheme.chains.under)


def _kind(scheme: Scheme, edge: Edge) -> Kind:
    """The kind of the run that an edge belongs to."""
    for chain in scheme.chains.under:
        if any(edge.start == a or edge.end == b for a, b in pairwise(chain.points)):
            return chain.kind
    return edge.kind


def _patch(
    scheme: Scheme, corner: Corner, edges: tuple[Edge, Edge], kinds: tuple[Kind, Kind], number: int
) -> Piece:
    layer = layer_of_patches(scheme)
    above = min(top_above(scheme, kind) for kind in kinds) - UNDER_TURN_IN

    def top(x: float, y: float) -> float:
        return scheme.nose_plane(y) + above

    lie = scheme.cover_lie(layer)
    sheet = Sheet(Rim(scheme.plan, scheme.stand_off(layer)), lambda _: lie, top, top, 0.0)
    before, after = edges
    points = (
        _along(corner, before.start, min(WIDE, MOST_OF_EDGE * before.length)),
        corner,
        _along(corner, after.end, min(WIDE, MOST_OF_EDGE * after.length)),
    )
    named = upstand(sheet, points)
    length = CLOSED_END * cos(scheme.detail.roof.pitch)
    lips = []
    first, last = (sheet_of(scheme, kind) for kind in kinds)
    meets = meeting(scheme, first, last, corner, first_ends=True)
    for kind, end, on in zip(kinds, (points[0], points[2]), (False, True), strict=True):
        beside = sheet_of(scheme, kind)
        at = sheet.rim.at(end)
        named += dressed_edge(sheet, at, beside, sheet.rim.inward(end, on=on))
        lips.append(_top_lip(sheet, beside, _lip_ends(beside, corner, meets), end))
    named += lips
    if meets is not None:
        named += _corner_lip(sheet, corner, lips)
        named.append(_tongue(meets, lips))
    region = _region(scheme, sheet, corner, (points[0], points[2]))
    named += lie.drape("cover", region)
    left, _, right, _ = region.bounds
    for kind, x in zip(kinds, (left, right), strict=True):
        high = max(py for px, py in region.exterior.coords if abs(px - x) < 1e-9)
        named += edge_lip(sheet, sheet_of(scheme, kind), (x, high), (x, high - length))
    x, y = sheet.rim.inward(points[0], on=True)
    return piece(f"corner patch {number}", named, wet=(-x, -y, 0.0))


def _along(start: Corner, end: Corner, by: float) -> Corner:
    share = by / hypot(end[0] - start[0], end[1] - start[1])
    return (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)


def _lip_ends(beside: Sheet, corner: Corner, meets: Meeting | None) -> Corner:
    """Where the upper edge is dressed to the upstand along one face up to, at a corner, in plan: to its
    end, and a little past that of the lower one of two that meet there, lest that cut the corner lip."""
    x, y = beside.rim.at(corner)
    if meets is None:
        return (x, y)
    if beside.rim.distance == meets.higher.rim.distance:
        return meets.end()
    ex, ey = beside.rim.onward(corner, at_end=not meets.at_end)
    return (x + ex * DRESSED, y + ey * DRESSED)


def _corner_lip(sheet: Sheet, corner: Corner, lips: Sequence[Named]) -> list[Named]:
    """What closes the upper edge between its two lips, over the slit."""
    (_, start, first, _), (_, end, last, _) = (corners for _, corners in lips)
    x, y = sheet.rim.at(corner)
    out = (x, y, sheet.top(x, y))
    rows = [(start, out, end), (start, end, last), (start, last, first)]
    return [("corner lip", list(row)) for row in rows]


def _tongue(meets: Meeting, lips: Sequence[Named]) -> Named:
    """What closes the slit above the corner lip, up before the stop on the lower turn-in."""
    low = [corners[2] for _, corners in lips]
    high = [(x, y, meets.over((x, y), meets.lower) + BEFORE_STOP) for x, y, _ in low]
    return ("tongue", [*low, *reversed(high)])


def _top_lip(sheet: Sheet, beside: Sheet, inner: Corner, end: Corner) -> Named:
    """The upper edge along one face dressed tight to the upstand there, which goes as far as `inner`."""
    at = sheet.rim.at(end)
    nx, ny = sheet.rim.inward(end, on=True)
    apart = sheet.rim.distance - beside.rim.distance
    # The corner of the sheet below, moved out into the plane of this one.
    stop = (inner[0] - nx * apart, inner[1] - ny * apart)
    rows = [at, stop]
    outer = [(x, y, sheet.top(x, y)) for x, y in rows]
    tight = apart - DRESSED
    back = [(x + nx * tight, y + ny * tight, z) for x, y, z in reversed(outer)]
    return ("top lip", [*outer, *back])


def _region(
    scheme: Scheme, sheet: Sheet, corner: Corner, ends: tuple[Corner, Corner]
) -> shapely.Geometry:
    """The cover in plan: straight down from the upright strip, and at least so far to both sides;
    beside the strip its border runs down and away from the stack."""
    x = sheet.rim.at(corner)[0]
    ring: list[Corner] = []
    for side, end in ((1, ends[1]), (-1, ends[0])):
        ex, ey = sheet.rim.at(end)
        outer = max(side * (ex - x), WIDE)
        low = ey - max(outer - side * (ex - x), 0.0)
        rows = [(x + side * outer, -FAR), (x + side * outer, low), (ex, ey)]
        ring += rows if side > 0 else rows[::-1]
    shape = shapely.Polygon(ring)
    free = reach(scheme).difference(sheet.rim.shadow(1, scheme.ridge))
    parts = shapely.get_parts(free.intersection(shape))
    return max(parts, key=lambda part: float(part.area))
