"""The raised sole of a back gutter beside the stack: its outer edges, turned down over the covering."""

from __future__ import annotations

import shapely

from meshes.around.back_ends import BackEnd
from meshes.around.back_line import sole_drop
from meshes.around.lie import Lie, polygons_of
from meshes.around.rim import FAR
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.back_gutter import END_SLIT, LEAST_END
from meshes.piece import Named, upright
from meshes.plan import Kind

Section = list[tuple[float, float]]


def outer_end(scheme: Scheme, sheet: Sheet, end: BackEnd, x: float) -> list[Named]:
    """The sole's outer edge at x [m], turned down and cut to the courses: else wind drives rain in
    beneath the sole. Nothing where there is no sole, or none beside the stack.

    end: the end of the sheet on that side. The cut is as far off the covering as the sheet's own cover,
    whose layer it is in.
    """
    shape, lie = scheme.back, sheet.lie(end.corner)
    assert shape is not None
    if shape.level_face is None or not isinstance(lie, Lie):
        return []
    beside = end.free[0] - x if end.on else x - end.free[0]
    if beside < LEAST_END:
        return []
    # Beside the drop, not joined to it: no flat sheet has both.
    start, stop = sole_drop(scheme.detail, shape.level_face) + END_SLIT, shape.end_y
    courses = scheme.cover_lie(scheme.layers[Kind.BACK])
    sole, cut = (
        [(y, z) for _, y, z in line.foot((x, start), (x, stop))] for line in (lie, courses)
    )
    open_side = _below(sole).difference(_below(cut))
    return [("outer end", upright(x, part.exterior.coords[:-1])) for part in polygons_of(open_side)]


def _below(section: Section) -> shapely.Polygon:
    """All that lies below a section line (y, z)."""
    return shapely.Polygon([*section, (section[-1][0], -FAR), (section[0][0], -FAR)])
