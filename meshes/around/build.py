"""Every part of a detail round any plan, in dressing order."""

from __future__ import annotations

import numpy as np

from meshes.around.back import back_piece, back_sheet, name_of, x_span
from meshes.around.chases import along_turn_ins, webs, without_turn_in
from meshes.around.cover_flashing import cover_flashings
from meshes.around.loft import inside, underlay, upper_underlay
from meshes.around.patch import patches
from meshes.around.scheme import Scheme, scheme_of
from meshes.around.shaft import Chase, shaft
from meshes.around.skirt import sheet_of, skirt
from meshes.around.step_pieces import soaked_sides
from meshes.around.tiles import covering, ridge_capping
from meshes.parts import Assembly, Part
from meshes.piece import Piece
from meshes.plan import Kind
from meshes.sheet import Facets
from meshes.spec import Detail

BEYOND = {
    "front apron": "rear apron",
    "front cover flashing": "rear cover flashing",
    "left side flashing": "rear right side flashing",
    "right side flashing": "rear left side flashing",
}


def pieces_around(detail: Detail) -> tuple[Piece, ...]:
    """The folded pieces in dressing order. Raises PieceError."""
    return _pieces(scheme_of(detail))


def build_around(detail: Detail) -> Assembly:
    """Roof, stack and folded pieces as frozen triangle meshes; the same bytes each time.

    Raises PieceError when the stack can't be flashed so.
    """
    scheme = scheme_of(detail)
    made = _pieces(scheme)
    parts: list[Part] = [shaft(scheme, _chases(scheme, made), webs(scheme, made)), underlay(scheme)]
    parts += [piece.part() for piece in made]
    if (upper := upper_underlay(scheme, x_span(scheme))) is not None:
        before = detail.order.index("underlay") < detail.order.index("gutter")
        behind = name_of(scheme)
        at = next(number for number, part in enumerate(parts) if part.name == behind)
        parts.insert(at if before else at + 1, upper)
    parts.append(covering(scheme))
    if (capping := ridge_capping(scheme, scheme.top_layer)) is not None:
        parts.append(capping)
    return Assembly((*parts, inside(scheme)))


def _pieces(scheme: Scheme) -> tuple[Piece, ...]:
    behind = back_sheet(scheme) if scheme.back is not None else None
    soaked = scheme.detail.sides.way == "soakers"
    made = [
        (scheme.layers[chain.kind], skirt(scheme, chain, behind))
        for chain in scheme.chains.under
        if chain.kind is Kind.FRONT or not soaked
    ]
    if soaked and behind is not None:
        sides = max(layer for kind, layer in scheme.layers.items() if kind is not Kind.BACK)
        made += [(sides, piece) for piece in soaked_sides(scheme, behind)]
    if scheme.ridge is not None:
        made += _beyond(scheme)
    if behind is not None and scheme.chains.back is not None:
        made.append((scheme.layers[scheme.chains.back.kind], back_piece(scheme, behind)))
    made += patches(scheme)
    in_order = [piece for _, piece in sorted(made, key=lambda row: row[0])]
    covers = cover_flashings(scheme, behind)
    if scheme.ridge is not None:
        covers = [_turned(scheme, one) for one in cover_flashings(_there(scheme), None)] + covers
    first = [one for one in covers if _tucked(scheme, one)]
    return (*first, *in_order, *(one for one in covers if one not in first))


def _tucked(scheme: Scheme, flashing: Piece) -> bool:
    """Whether a cover flashing hangs behind the sheet that it should cover, and goes in first."""
    behind = flashing.name == "back cover flashing"
    return (scheme.detail.gutter if behind else scheme.detail.apron).flashing_tucked


def _chases(scheme: Scheme, made: tuple[Piece, ...]) -> list[Chase]:
    """What stays open in the stack's faces."""
    found = along_turn_ins(scheme, made)
    apron, gutter = scheme.detail.apron, scheme.detail.gutter
    for side in (scheme,) if scheme.ridge is None else (scheme, _there(scheme)):
        bare: list[Chase] = []
        for chain in side.chains.under:
            if not (chain.kind is Kind.FRONT and apron.two_part):
                bare += without_turn_in(sheet_of(side, chain.kind), chain.points)
        if side.chains.back is not None and not gutter.two_part:
            bare += without_turn_in(back_sheet(side), side.chains.back.points)
        found += bare if side is scheme else [chase.turned(scheme.ridge or 0.0) for chase in bare]
    return found


def _there(scheme: Scheme) -> Scheme:
    return scheme_of(scheme.detail, turned=True)


def _beyond(scheme: Scheme) -> list[tuple[int, Piece]]:
    """The pieces of the slope beyond a ridge: made as the slope below has them, then turned round."""
    there = _there(scheme)
    made = [(there.layers[chain.kind], skirt(there, chain, None)) for chain in there.chains.under]
    return [(layer, _turned(scheme, one)) for layer, one in made + patches(there)]


def _turned(scheme: Scheme, made: Piece) -> Piece:
    """A piece turned half round about the middle of the ridge."""
    ridge = scheme.ridge
    assert ridge is not None
    points = made.facets.points * np.array([-1.0, -1.0, 1.0]) + np.array([0.0, 2 * ridge, 0.0])
    facets = Facets(points, made.facets.polygons, made.facets.names)
    name = BEYOND.get(made.name, f"rear {made.name}")
    return Piece(name, facets, made.stretch)
