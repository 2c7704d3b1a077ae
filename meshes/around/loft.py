"""What lies under the covering round any plan: underlay turned up at the stack, and the loft."""

from __future__ import annotations

from math import cos

import numpy as np
import shapely

from meshes.around.back import top_edge
from meshes.around.lie import Lie
from meshes.around.outline import cells, edge_under, grown
from meshes.around.scheme import Scheme
from meshes.parts import Part, Role
from meshes.piece import Named
from meshes.plan import Edge, Kind, kind_of
from meshes.rules import underlay_lap
from meshes.sheet import Point, facets, triangles
from meshes.underlay import SHORT_OF_ENDS, SIDE_MARGIN, eased_line

LOFT_BESIDE = (
    0.3  # [m] the plane in the loft reaches this far past the stack at its front and sides
)
LOFT_BEHIND = 0.6  # [m] and this far behind it, where what gets in runs down from
SPARE = 0.003  # [m] it laps by so much more than asked, as it lies flatter than the roof
BELOW_ALL = 0.05  # [m] it lies this far below the underlay's lowest point over it
WITHIN_UNDERLAY = 0.005  # [m] and ends this far within the underlay's edges


def underlay(scheme: Scheme) -> Part:
    """The lower sheet over the whole roof, turned up along every edge of its hole round the stack."""
    (left, right), (low, high) = scheme.x_span, scheme.y_span
    xs, ys = [left + SIDE_MARGIN, right - SIDE_MARGIN], [low + SIDE_MARGIN, high - SIDE_MARGIN]
    if scheme.ridge is not None:
        ys.insert(1, scheme.ridge)
    hole = grown(scheme.plan, scheme.detail.gap)

    def at(x: float, y: float, up: float = 0.0) -> Point:
        return (x, y, scheme.nose_plane(y) - scheme.underlay_depth + up)

    region = cells(xs, ys, hole)
    named: list[Named] = [("sheet", [at(x, y) for x, y in ring]) for ring in region]
    edges = {pair for ring in region for pair in zip(ring, [*ring[1:], ring[0]], strict=True)}
    for a, b in sorted(edges):
        number = edge_under(a, b, hole)
        if (b, a) in edges or number is None:
            continue
        up = _upturn(scheme, scheme.plan.edges[number], (a[1] + b[1]) / 2)
        named.append(("upturn", [at(*a), at(*b), at(*b, up), at(*a, up)]))
    sheet = facets(named, wet=(0.0, 0.0, 1.0))
    return Part("underlay", Role.UNDERLAY, sheet.points, triangles(sheet))


def upper_underlay(scheme: Scheme, ends: tuple[float, float]) -> Part | None:
    """The sheet that laps over the top edge of the sheet behind the stack, and runs on up the roof.

    ends: x [m] of that sheet's left and right ends; this one stops just within them. It lies in the
    covering's wave as far as that sheet does, and runs out of it down to the underlay. None where a
    ridge leaves no sheet behind the stack.
    """
    if scheme.back is None:
        return None
    roof = scheme.detail.roof
    line = eased_line(
        roof,
        scheme.courses,
        scheme.detail.gap,
        edge_y=top_edge(scheme),
        lap=(roof.underlay_lap or underlay_lap(roof.pitch)) + SPARE,
        gaps=underlay_gaps(scheme),
        depth=scheme.underlay_depth,
    )
    shares = np.zeros(len(line))
    shares[:2] = 1.0
    left = max(ends[0] + SHORT_OF_ENDS, scheme.x_span[0] + SIDE_MARGIN)
    right = min(ends[1] - SHORT_OF_ENDS, scheme.x_span[1] - SIDE_MARGIN)
    region = shapely.box(left, line[0, 0], right, line[-1, 0])
    sheet = facets(Lie(line, scheme.wave, shares).drape("sheet", region), wet=(0.0, 0.0, 1.0))
    return Part("upper underlay", Role.UNDERLAY, sheet.points, triangles(sheet))


def underlay_gaps(scheme: Scheme) -> int:
    """Bedding gaps from the course below to the sheet that laps over what is behind the stack."""
    order = scheme.detail.order
    if order.index("underlay") < order.index("gutter"):
        return 1
    return 2 + (1 if scheme.detail.gutter.welt > 0 else 0)


def inside(scheme: Scheme) -> Part:
    """A level plane in the loft below the stack's opening, no further than the underlay reaches."""
    x0, y0, x1, y1 = _loft(scheme)
    z = inside_height(scheme)
    corners = [(x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z)]
    return Part("inside", Role.INSIDE, np.array(corners), np.array([(0, 1, 2), (0, 2, 3)]))


def inside_height(scheme: Scheme) -> float:
    """Height z [m] of the plane in the loft."""
    _, y0, _, y1 = _loft(scheme)
    lowest = min(scheme.nose_plane(y0), scheme.nose_plane(y1))
    return lowest - scheme.underlay_depth - BELOW_ALL


def _loft(scheme: Scheme) -> tuple[float, float, float, float]:
    """Left, front, right and back end [m] of the plane in the loft."""
    plan, short = scheme.plan, SIDE_MARGIN + WITHIN_UNDERLAY
    return (
        max(plan.left - LOFT_BESIDE, scheme.x_span[0] + short),
        max(plan.front - LOFT_BESIDE, scheme.y_span[0] + short),
        min(plan.right + LOFT_BESIDE, scheme.x_span[1] - short),
        min(plan.back + LOFT_BEHIND, scheme.y_span[1] - short),
    )


def _upturn(scheme: Scheme, edge: Edge, y: float) -> float:
    """Height [m] of the upturn along a plan's edge at y: beyond a ridge down-slope is the other way."""
    roof = scheme.detail.roof
    x, up = edge.normal
    beyond = scheme.ridge is not None and y > scheme.ridge
    front = kind_of((x, -up if beyond else up)) is Kind.FRONT
    return roof.underlay_front if front else roof.underlay_sides / cos(roof.pitch)
