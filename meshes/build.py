"""From measurements to an assembly: every part of the standard detail, in dressing order."""

from __future__ import annotations

from meshes.apron import apron
from meshes.back_gutter import back_gutter
from meshes.covering import covering
from meshes.debris import debris
from meshes.layout import Layout, layout_of
from meshes.parts import Assembly, Part
from meshes.piece import Piece
from meshes.side import side_flashing
from meshes.spec import Detail, Dressed
from meshes.stack import stack
from meshes.underlay import inside, tilt_fillet, underlay, upper_underlay


def pieces(detail: Detail) -> dict[Dressed, Piece]:
    """The folded pieces by what they are called in the dressing order. Raises PieceError."""
    return _pieces(layout_of(detail))


def build(detail: Detail) -> Assembly:
    """Roof, stack, folded pieces and debris as frozen triangle meshes; the same bytes each time.

    Raises PieceError when the measurements can't be flashed so.
    """
    layout = layout_of(detail)
    dressed: dict[Dressed, Part] = {name: made.part() for name, made in _pieces(layout).items()}
    dressed["underlay"] = upper_underlay(layout)
    parts = [stack(layout), underlay(layout), tilt_fillet(layout)]
    parts += [dressed[name] for name in detail.order]
    return Assembly((*parts, covering(layout), *debris(layout), inside(layout)))


def _pieces(layout: Layout) -> dict[Dressed, Piece]:
    return {
        "apron": apron(layout),
        "left": side_flashing(layout, "left"),
        "right": side_flashing(layout, "right"),
        "gutter": back_gutter(layout),
    }
