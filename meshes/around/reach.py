"""How far covers reach in plan: cover widths square to each edge on the slope, and the roof's edges."""

from __future__ import annotations

from math import cos, hypot
from typing import TYPE_CHECKING

import shapely

from meshes.around.rim import FAR
from meshes.plan import Corner, Kind

if TYPE_CHECKING:
    from meshes.around.scheme import Scheme

BLUNT = 1.25  # covers: past a sharp corner a cover ends this far down the slope, cut straight
SPARE = (
    0.002  # [m] covers along slanting edges are so much wider than asked: courses cost some of it
)
OFF_EDGE = 0.002  # [m] a cover that would run out over a verge or the eaves stops this far short
STRAIGHT = 0.0087  # [1] sine of half a degree: an edge that runs down the fall line


def reach(scheme: Scheme) -> shapely.Polygon:
    """Everything in plan that covers below and beside the stack lie over, and up the slope without end.

    Its borders face down the slope or sideways, never up it. It stops at the roof's edges.
    """
    return wished(scheme).intersection(_roof(scheme))


def wished(scheme: Scheme) -> shapely.Polygon:
    """The same on a roof without edges."""
    detail, pitch = scheme.detail, scheme.detail.roof.pitch
    shape = shapely.box(scheme.outer[0], -FAR, scheme.outer[1], FAR)
    deepest = max(detail.apron.cover, detail.sides.cover)
    low = scheme.plan.front - BLUNT * deepest * cos(pitch)
    shape = shape.intersection(shapely.box(-FAR, low, FAR, FAR))
    for chain in scheme.chains.under:
        cover = detail.apron.cover if chain.kind is Kind.FRONT else detail.sides.cover
        stand = scheme.stand_off(scheme.layers[chain.kind])
        for a, b in zip(chain.points, chain.points[1:], strict=False):
            if scheme.ridge is not None and (a[1] + b[1]) / 2 > scheme.ridge:
                continue
            shape = shape.intersection(_beside(a, b, cover + stand / cos(pitch) + SPARE, pitch))
    return shape


def _roof(scheme: Scheme) -> shapely.Polygon:
    (left, right), (low, high) = scheme.x_span, scheme.y_span
    return shapely.box(left + OFF_EDGE, low + OFF_EDGE, right - OFF_EDGE, high + FAR)


def _beside(a: Corner, b: Corner, cover: float, pitch: float) -> shapely.Geometry:
    """The half of the plan that lies on the stack's side of a line `cover` off an edge, on the slope."""
    flat = cos(pitch)
    dx, ds = b[0] - a[0], (b[1] - a[1]) / flat
    length = hypot(dx, ds)
    if abs(dx) / length < STRAIGHT:
        return shapely.box(-FAR, -FAR, FAR, FAR)
    along, out = (dx / length, ds / length), (ds / length, -dx / length)
    start = (a[0] + out[0] * cover, a[1] / flat + out[1] * cover)
    far = 4 * FAR
    rows = [
        (
            start[0] + along[0] * far * s - out[0] * far * t,
            start[1] + along[1] * far * s - out[1] * far * t,
        )
        for s, t in ((-1, 0), (1, 0), (1, 1), (-1, 1))
    ]
    return shapely.Polygon([(x, s * flat) for x, s in rows])
