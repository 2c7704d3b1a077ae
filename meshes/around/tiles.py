"""The covering round any plan: courses as closed bodies, cut to the stack, and what caps a ridge."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos

import numpy as np

from meshes.around.outline import Ring, cells, cut_into_triangles, grown
from meshes.around.scheme import Scheme
from meshes.around.soakers import lifted_over
from meshes.parts import Part, Role
from meshes.plan import Corner
from meshes.sheet import Point
from meshes.solid import Triangles

WING = 0.120  # [m] a ridge's capping reaches this far down each slope in plan: practice, no source
CAPPING = 0.012  # [m] its thickness square to the slope: practice, no source
LEAST = 0.001  # [m] less of a course below a ridge, or of its capping, is left out
STRAIGHT = 1e-9  # [1] a wave that bends less runs straight on
OFF_ENDS = 1e-5  # [m] no corner of a cut lies so near to a course's end, or two bodies would touch

Height = Callable[[float, float], float]


def covering(scheme: Scheme) -> Part:
    """Every course as a closed body; those that lie over no sheet behind the stack are cut round it.

    Beyond a ridge the same courses stand mirrored. Upper and lower side are parallel to the course,
    its wave upon both; all other sides are upright.
    """
    into = Triangles()
    courses, ridge = scheme.courses, scheme.ridge
    hole = _room(scheme)
    limit = np.inf if ridge is None else ridge - scheme.detail.gap / 2
    columns = _columns(scheme)
    wave: dict[float, float] = {}
    beyond = [(x, _mirror(ridge, y)) for x, y in reversed(hole)] if ridge is not None else None
    for index, course in enumerate(courses.courses):
        end = min(course.head_y, limit)
        if end - course.nose_y < LEAST:
            continue

        def top(x: float, y: float, index: int = index) -> float:
            if x not in wave:
                wave[x] = _wave(scheme, x)
            return courses.top_of(index, y) + wave[x]

        lines, depth = [course.nose_y, end], course.depth - lifted_over(scheme, index)
        cut = hole if index < courses.over_gutter else None
        _add_body(into, cells(columns, lines, cut), top, depth)
        if ridge is not None:
            _add_body(into, cells(columns, lines, beyond), top, depth, mirrored_at=ridge)
    return Part("covering", Role.COVERING, *into.arrays())


def ridge_capping(scheme: Scheme, clear_layers: int) -> Part | None:
    """A ridge's capping from each verge to the stack, in two bodies; None where there is no ridge, or no
    room for it between the clearance and both verges.

    clear_layers: sheets that lie on the covering beside the stack. Its underside is clear of the
    last by one bedding gap, over the noses and the crests of a wave.
    """
    ridge = scheme.ridge
    if ridge is None:
        return None
    into = Triangles()
    detail = scheme.detail
    thick = CAPPING / cos(detail.roof.pitch)
    lift = (clear_layers + 1) * detail.gap / cos(detail.roof.pitch) + thick
    lift += scheme.crest

    def top(x: float, y: float) -> float:
        return scheme.nose_plane(y) + lift

    hole = grown(scheme.plan, detail.roof.clearance)
    left, right = _width_at(hole, ridge)
    lines = [ridge - WING, ridge, ridge + WING]
    spans = [(scheme.x_span[0], left), (right, scheme.x_span[1])]
    spans = [(start, stop) for start, stop in spans if stop - start > LEAST]
    for span in spans:
        _add_body(into, cells(span, lines, hole), top, thick)
    if not spans:
        return None
    return Part("ridge capping", Role.COVERING, *into.arrays())


def _columns(scheme: Scheme) -> list[float]:
    """x [m] of the verges and of every bend of the wave between them."""
    left, right = scheme.x_span
    (xs, hs) = scheme.wave.T
    turns = np.abs(np.diff(np.diff(hs) / np.diff(xs))) > STRAIGHT
    bends = [float(x) for x in xs[1:-1][turns] if left + OFF_ENDS < x < right - OFF_ENDS]
    return [left, *bends, right]


def _wave(scheme: Scheme, x: float) -> float:
    return float(np.interp(x, scheme.wave[:, 0], scheme.wave[:, 1]))


def _mirror(ridge: float, y: float) -> float:
    return 2 * ridge - y


def _room(scheme: Scheme) -> tuple[Corner, ...]:
    """The plan grown by the clearance, and by hundredths of a millimetre more where one of its corners
    would otherwise lie on an end of a course: there two parts of its body would touch in a line."""
    ys = [y for course in scheme.courses.courses for y in (course.nose_y, course.head_y)]
    if scheme.ridge is not None:
        half = scheme.detail.gap / 2
        ys += [scheme.ridge - half] + [_mirror(scheme.ridge, y) for y in [*ys, scheme.ridge - half]]
    hole = grown(scheme.plan, scheme.detail.roof.clearance)
    for tries in range(1, 100):
        corners = np.array(hole)
        off_y = np.abs(corners[:, 1, None] - np.array(ys)).min()
        off_x = np.abs(corners[:, 0, None] - np.array(scheme.x_span)).min()
        if min(off_x, off_y) > OFF_ENDS:
            break
        hole = grown(scheme.plan, scheme.detail.roof.clearance + 2.5 * tries * OFF_ENDS)
    return hole


def _width_at(hole: Sequence[Corner], y: float) -> tuple[float, float]:
    """Least and greatest x [m] of a convex outline at y, which lies between its ends."""
    found = []
    for (x0, y0), (x1, y1) in zip(hole, [*hole[1:], hole[0]], strict=True):
        if min(y0, y1) <= y <= max(y0, y1):
            found += [x0, x1] if y0 == y1 else [x0 + (x1 - x0) * ((y - y0) / (y1 - y0))]
    return min(found), max(found)


def _add_body(
    into: Triangles,
    region: Sequence[Ring],
    top: Height,
    depth: float,
    *,
    mirrored_at: float | None = None,
) -> None:
    """Add what lies over a region of cells, from `depth` [m] below `top` to it."""
    high: dict[Corner, Point] = {}
    low: dict[Corner, Point] = {}
    for corner in {corner for ring in region for corner in ring}:
        x, y = corner
        z = top(x, y)
        at = y if mirrored_at is None else _mirror(mirrored_at, y)
        high[corner], low[corner] = (x, at, z), (x, at, z - depth)
    edges = {pair for ring in region for pair in zip(ring, [*ring[1:], ring[0]], strict=True)}
    faces = []
    for ring in region:
        for triangle in cut_into_triangles(ring):
            faces.append([high[corner] for corner in triangle])
            faces.append([low[corner] for corner in reversed(triangle)])
    for a, b in sorted(edges):
        if (b, a) not in edges:
            faces.append([low[a], low[b], high[b], high[a]])
    for face in faces:
        into.polygon(face if mirrored_at is None else face[::-1])
