"""Cover flashings of two-part details: turned into the chase over an upstand that stands free.

One that is tucked hangs down behind that upstand, between it and the underlay's.
"""

from __future__ import annotations

from itertools import pairwise
from math import hypot, inf

from meshes.around.back import back_points
from meshes.around.chains import Chain
from meshes.around.corner_closing import dressed_edge
from meshes.around.corners import reach_round
from meshes.around.patch import layer_of_patches
from meshes.around.rim import Rim
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet, Top
from meshes.around.skirt import sheet_of, stepped, top_above
from meshes.around.turn_ins import Ending, turn_in
from meshes.around.upstand import CLEAR_OF_TOP
from meshes.errors import require
from meshes.piece import Named, Piece, piece
from meshes.plan import Corner, Kind

ABOVE = (
    0.020  # [m] a cover flashing is turned in so far above the upstand that it covers: no source
)
CLEAR = 0.012  # [m] and at least so far above the turn-ins of the sides that its ends pass
LEAST_BARE = 0.020  # [m] of an upstand below the flashing's lower edge
SHORT_OF_CORNER = 0.003  # [m] a tucked one ends so far before a corner, or what is turned round it


def cover_flashings(scheme: Scheme, behind: Sheet | None) -> list[Piece]:
    """The cover flashings that a detail asks for, at the front and behind the stack; each is dressed
    last, over all other sheets, but one that is tucked. behind: the sheet there, None where there is a
    ridge.

    Raises PieceError.
    """
    detail = scheme.detail
    found = []
    if detail.apron.two_part:
        front = [chain for chain in scheme.chains.under if chain.kind is Kind.FRONT]
        rule = "off where no face of the stack looks down the slope"
        require(bool(front), "two-part apron", "on", rule)
        lap, up = detail.apron.flashing_lap, detail.apron.upstand
        _check_lap("apron", lap, up)
        sheet = sheet_of(scheme, Kind.FRONT)
        found.append(_flashing(scheme, False, front[0].points, sheet, lap, detail.apron.turn_in))
    if detail.gutter.two_part:
        require(behind is not None, "two-part gutter", "on", "off where there is a ridge")
        assert behind is not None
        lap, up = detail.gutter.flashing_lap, detail.gutter.upstand
        _check_lap("gutter", lap, up)
        points = back_points(scheme)
        found.append(_flashing(scheme, True, points, behind, lap, detail.gutter.turn_in))
    return found


def _check_lap(what: str, lap: float, up: float) -> None:
    rule = f"at most {(up - LEAST_BARE) * 1000:.0f} mm, 20 mm less than the upstand that it covers"
    require(lap <= up - LEAST_BARE + 1e-9, f"{what} flashing lap", f"{lap * 1000:g} mm", rule)


def _flashing(
    scheme: Scheme, behind: bool, run: tuple[Corner, ...], under: Sheet, lap: float, depth: float
) -> Piece:
    detail = scheme.detail
    tucked = (detail.gutter if behind else detail.apron).flashing_tucked
    rule = "off at bossed corners, where it can't be got behind the upstand"
    require(not (tucked and detail.joint == "bossed"), "tucked flashing", "on", rule)
    sides = [chain for chain in scheme.chains.under if chain.kind is not Kind.FRONT]
    over_sides = max((top_above(scheme, chain.kind) for chain in sides), default=0.0)

    def top(x: float, y: float) -> float:
        high = max(under.top(x, y) + ABOVE, highest_step + CLEAR)
        return max(high, scheme.nose_plane(y) + over_sides + CLEAR)

    last = max(
        scheme.top_layer, layer_of_patches(scheme) if detail.joint == "slit and patch" else 0
    )
    # Where both meet at a corner, the one behind the stack stands outside the front's.
    outside = 2 if behind and detail.apron.two_part else 1
    off = _off_behind(scheme, under) if tucked else scheme.stand_off(last + outside)
    rim = Rim(scheme.plan, off)
    sheet = Sheet(rim, under.lie, top, under.underlay, depth)
    points, round_it = list(run), []
    others = {chain.start for chain in sides} | {chain.end for chain in sides}
    for end, on in ((0, False), (-1, True)):
        if tucked:
            points[end] = _before_corner(scheme, under, run, on=on, meets=run[end] not in others)
            round_it.append(False)
            continue
        if run[end] not in others:
            # Front and back meet here, and are mitred.
            round_it.append(False)
            continue
        round_it.append(True)
        asked = detail.sides.corner_return
        if behind:
            asked = max(asked, detail.gutter.upstand_return)
        wide = reach_round(sheet, run[end], asked, on=on)
        if wide > 0:
            past = Rim(scheme.plan, 0.0).past(run[end], wide, on=on)
            points = [*points, past] if on else [past, *points]

    # Steps are turned in level: its own turn-in passes over those that its ends lie on.
    bricked = [chain for chain in sides if stepped(scheme, chain.kind)]
    highest_step = max(
        (
            sheet_of(scheme, chain.kind).top(*rim.at(point))
            for chain in bricked
            for point in (*run, points[0], points[-1])
            if _on(chain, point)
        ),
        default=-inf,
    )

    def low(x: float, y: float) -> float:
        return under.top(x, y) - lap

    named = _leg(sheet, tuple(points), low)
    if depth > 0:
        ends = Ending.SQUARE if tucked else Ending.MITRE
        named += turn_in(sheet, tuple(points), depth, (ends, ends))
    for point, turns, on in ((points[0], round_it[0], False), (points[-1], round_it[1], True)):
        spot, inward = rim.at(point), rim.inward(point, on=on)
        if turns:
            beside = _beside(scheme, point, under)
            named += dressed_edge(sheet, spot, beside, inward, low(*spot))
    x, y = rim.inward(run[0], on=True)
    name = "back cover flashing" if behind else "front cover flashing"
    return piece(name, named, wet=(-x, -y, 0.0))


def _off_behind(scheme: Scheme, under: Sheet) -> float:
    """How far off the wall a tucked flashing hangs [m]: midway between the underlay's upturn and the
    innermost of the sheet that it should cover and those that are turned round its corners."""
    sides = (chain.kind for chain in scheme.chains.under if chain.kind is not Kind.FRONT)
    innermost = min([under.rim.distance, *(sheet_of(scheme, kind).rim.distance for kind in sides)])
    return (innermost + scheme.detail.gap) / 2


def _before_corner(
    scheme: Scheme, under: Sheet, run: tuple[Corner, ...], *, on: bool, meets: bool
) -> Corner:
    """Where a tucked flashing ends along its last edge (on) or its first: before the corner, and
    before what is turned round that over the free upstand's top edge. meets: front and back do there.
    """
    corner, inner = (run[-1], run[-2]) if on else (run[0], run[1])
    beside = next(
        (
            sheet_of(scheme, chain.kind)
            for chain in scheme.chains.under
            if _on(chain, corner) and not _on(chain, inner)
        ),
        under,
    )
    at = beside.rim.at(corner)
    detail, short = scheme.detail, SHORT_OF_CORNER
    over = beside.rim.distance > under.rim.distance
    if meets or (over and beside.top(*at) > under.top(*at) - 2 * CLEAR_OF_TOP):
        asked = max(detail.sides.corner_return, detail.gutter.upstand_return if meets else 0.0)
        short += reach_round(beside, corner, asked, on=not on)
    share = short / hypot(inner[0] - corner[0], inner[1] - corner[1])
    return (
        corner[0] + (inner[0] - corner[0]) * share,
        corner[1] + (inner[1] - corner[1]) * share,
    )


def _leg(sheet: Sheet, points: tuple[Corner, ...], low: Top) -> list[Named]:
    out = sheet.out(points)
    return [
        ("leg", [(*a, low(*a)), (*b, low(*b)), (*b, sheet.top(*b)), (*a, sheet.top(*a))])
        for a, b in pairwise(out)
    ]


def _beside(scheme: Scheme, point: Corner, under: Sheet) -> Sheet:
    """The sheet on the face that an end of the flashing lies on."""
    for chain in scheme.chains.under:
        if _on(chain, point):
            return sheet_of(scheme, chain.kind)
    return under


def _on(chain: Chain, point: Corner) -> bool:
    for (ax, ay), (bx, by) in pairwise(chain.points):
        whole = hypot(bx - ax, by - ay)
        ways = hypot(point[0] - ax, point[1] - ay) + hypot(bx - point[0], by - point[1])
        if ways < whole + 1e-9:
            return True
    return False
