"""From measurements to an assembly: every part of a detail, in dressing order."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from shapely.errors import GEOSException

from meshes.apron import apron
from meshes.around.build import build_around, pieces_around
from meshes.back_gutter import back_gutter
from meshes.covering import covering
from meshes.debris import debris
from meshes.errors import PieceError, require
from meshes.layout import Layout, layout_of
from meshes.parts import Assembly, Part
from meshes.piece import Piece
from meshes.rules import saddle_needed
from meshes.side import side_flashing
from meshes.spec import Detail, Dressed
from meshes.stack import stack
from meshes.underlay import inside, tilt_fillet, underlay, upper_underlay


def pieces(detail: Detail) -> dict[str, Piece]:
    """The folded pieces: by what they are called in the dressing order where the stack is square to
    the slope, else by their names. Raises PieceError."""
    with _outlines_whole():
        if square_to_slope(detail):
            return {str(key): made for key, made in _pieces(layout_of(detail)).items()}
        _check_around(detail)
        return {made.name: made for made in pieces_around(detail)}


def build(detail: Detail) -> Assembly:
    """Roof, stack, folded pieces and debris as frozen triangle meshes; the same bytes each time.

    Raises PieceError when the measurements can't be flashed so.
    """
    with _outlines_whole():
        return _built(detail)


@contextmanager
def _outlines_whole() -> Iterator[None]:
    """Measures that lie far from any that are used can have a piece's outline cross itself: no flat
    facet has such a one."""
    try:
        yield
    except GEOSException as error:
        raise PieceError(
            "the measures together must leave every piece an outline that does not cross itself. Got "
            "one that does: bring those nearer the usual that lie farthest from it"
        ) from error


def _built(detail: Detail) -> Assembly:
    if not square_to_slope(detail):
        _check_around(detail)
        return build_around(detail)
    layout = layout_of(detail)
    dressed: dict[Dressed, Part] = {name: made.part() for name, made in _pieces(layout).items()}
    dressed["underlay"] = upper_underlay(layout)
    parts = [stack(layout), underlay(layout), tilt_fillet(layout)]
    parts += [dressed[name] for name in detail.order]
    return Assembly((*parts, covering(layout), *debris(layout), inside(layout)))


def square_to_slope(detail: Detail) -> bool:
    """Whether it is a rectangle square to one slope, with a level gutter behind it, covers in one
    piece and corners of sheet alone: the detail whose corners can be fins, and hold leaves or snow.

    Everything else is flashed by the rule of an edge's direction, round any plan (`around`).
    """
    roof, stack_, gutter, sides = detail.roof, detail.stack, detail.gutter, detail.sides
    room = sides.cover + 0.1 < roof.beside and roof.left is None and roof.right is None
    plain = stack_.plan == "rectangle" and stack_.turn == 0 and roof.ridge is None
    by_rule = gutter.behind == "by rule"
    level = gutter.behind == "gutter" or (
        plain and by_rule and not saddle_needed(stack_.width, False)
    )
    one_part = sides.way == "cover" and not detail.apron.two_part and not gutter.two_part
    faces_down = detail.facing == "down-slope" or detail.joint == "fin"
    folded = detail.joint in ("return", "fin") and faces_down
    return plain and room and level and one_part and folded and roof.covering != "profiled"


def _check_around(detail: Detail) -> None:
    others = "return, slit and patch or bossed round such a stack: a fin stands on a square corner"
    require(detail.joint != "fin", "joint", detail.joint, others)
    rule = "none round such a stack: they lie in a level gutter behind a square one"
    require(detail.debris.leaves == "none", "leaves", detail.debris.leaves, rule)
    snow = f"{detail.debris.snow * 1000:g} mm"
    require(detail.debris.snow == 0, "snow", snow, rule.replace("none", "0"))


def _pieces(layout: Layout) -> dict[Dressed, Piece]:
    return {
        "apron": apron(layout),
        "left": side_flashing(layout, "left"),
        "right": side_flashing(layout, "right"),
        "gutter": back_gutter(layout),
    }
