"""Every part of a detail round any plan, in dressing order."""

from __future__ import annotations

import numpy as np

from meshes.around.back import back_piece, back_sheet, x_span
from meshes.around.loft import inside, underlay, upper_underlay
from meshes.around.scheme import Scheme, scheme_of
from meshes.around.shaft import shaft
from meshes.around.skirt import skirt
from meshes.around.tiles import covering, ridge_capping
from meshes.parts import Assembly, Part
from meshes.piece import Piece
from meshes.sheet import Facets
from meshes.spec import Detail

BEYOND = {
    "front apron": "rear apron",
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
    parts: list[Part] = [shaft(scheme), underlay(scheme)]
    parts += [piece.part() for piece in made]
    if (upper := upper_underlay(scheme, x_span(scheme))) is not None:
        before = detail.order.index("underlay") < detail.order.index("gutter")
        parts.insert(len(parts) - 1 if before else len(parts), upper)
    parts.append(covering(scheme))
    if (capping := ridge_capping(scheme, scheme.top_layer)) is not None:
        parts.append(capping)
    return Assembly((*parts, inside(scheme)))


def _pieces(scheme: Scheme) -> tuple[Piece, ...]:
    behind = back_sheet(scheme) if scheme.back is not None else None
    made = [(scheme.layers[chain.kind], skirt(scheme, chain, behind)) for chain in scheme.chains.under]
    if scheme.ridge is not None:
        made += _beyond(scheme)
    if behind is not None and scheme.chains.back is not None:
        made.append((scheme.layers[scheme.chains.back.kind], back_piece(scheme, behind)))
    return tuple(piece for _, piece in sorted(made, key=lambda row: row[0]))


def _beyond(scheme: Scheme) -> list[tuple[int, Piece]]:
    """The pieces of the slope beyond a ridge: made as the slope below has them, then turned round."""
    there = scheme_of(scheme.detail, turned=True)
    ridge = scheme.ridge
    assert ridge is not None
    found = []
    for chain in there.chains.under:
        made = skirt(there, chain, None)
        points = made.facets.points * np.array([-1.0, -1.0, 1.0]) + np.array([0.0, 2 * ridge, 0.0])
        facets = Facets(points, made.facets.polygons, made.facets.names)
        found.append((there.layers[chain.kind], Piece(BEYOND[made.name], facets, made.stretch)))
    return found
