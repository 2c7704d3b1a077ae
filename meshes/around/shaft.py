"""The stack on any plan: an upright body, a capping that sheds outward on all sides, open chases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import hypot, tan

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from meshes.around.loft import inside_height
from meshes.around.outline import grown
from meshes.around.scheme import Scheme
from meshes.errors import PieceError, require
from meshes.parts import Part, Role
from meshes.plan import Corner, Plan
from meshes.sheet import Point, normal_of
from meshes.stack import ABOVE_LOFT, WEATHERING
from meshes.turn_in import BELOW

Floats = NDArray[np.float64]

OUT_OF_FACE = 0.05  # [m] a chase is cut from so far outside its face
PAST_MITRE = (
    0.002  # [m] and so far past the mitre at a corner of the stack, where the next one begins
)
AT_CORNER = 0.001  # [m] a chase that ends so near to a corner of the plan runs out there
SQUARE = 1e-6  # [1] sine under which a direction counts as square to a face
SAME_NODE = 1e-6  # [m] nodes of a roof nearer than this are one


@dataclass(frozen=True, slots=True)
class Chase:
    """A slot in a face along the bend of a turn-in, from start to end [m], level or sloping.

    inward: unit vector in plan, square to the face, into the stack. The ends may lie off the face.
    Raises PieceError where they don't run along it.
    """

    start: Point
    end: Point
    inward: Corner

    def __post_init__(self) -> None:
        way = (self.end[0] - self.start[0], self.end[1] - self.start[1])
        ix, iy = self.inward
        off = abs(way[0] * ix + way[1] * iy)
        along = abs(hypot(ix, iy) - 1) < SQUARE and off <= SQUARE * hypot(*way)
        got = f"from {self.start} to {self.end} with {self.inward} inward"
        require(along and hypot(*way) > AT_CORNER, "chase", got, "along a face")

    def turned(self, ridge: float) -> Chase:
        """The same turned half round about the middle of a ridge at y = ridge [m]."""
        (x0, y0, z0), (x1, y1, z1) = self.start, self.end
        inward = (-self.inward[0], -self.inward[1])
        return Chase((-x0, 2 * ridge - y0, z0), (-x1, 2 * ridge - y1, z1), inward)


def shaft(scheme: Scheme, chases: Sequence[Chase] = (), webs: Sequence[Floats] = ()) -> Part:
    """Body, capping and the chases that stay open, in one closed mesh.

    webs: upright panels (k, 3) [m] within the stack that join turn-ins of unlike slopes at a corner;
    there the chase is as tall as they are.
    """
    measures = scheme.detail.stack
    plan, high = scheme.plan, measures.height
    low, top = inside_height(scheme) + ABOVE_LOFT, high + measures.capping_thickness
    eaves = grown(plan, measures.capping_overhang)
    capping = [(x, y, z) for x, y in eaves for z in (high, top)] + _roof_nodes(eaves, top)
    if measures.capping_overhang > 0:
        # Into the capping, so that the union has no coinciding faces.
        into = (high + top) / 2
        body = _hull([(x, y, z) for x, y in plan.corners for z in (low, into)]) + _hull(capping)
    else:
        body = _hull([(x, y, low) for x, y in plan.corners] + capping)
    for chase in chases if measures.chase_depth > 0 else ():
        body -= _slot(chase, plan, measures.chase_depth, measures.chase_height)
    for web in webs if measures.chase_depth > 0 else ():
        body -= _round_a_web(web)
    mesh = body.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    return Part("stack", Role.STACK, vertices, np.asarray(mesh.tri_verts))


def _hull(points: Sequence[Point]) -> Manifold:
    return Manifold.hull_points(np.array(points))


def _roof_nodes(eaves: Sequence[Corner], top: float) -> list[Point]:
    """Where three or more planes of a roof of one pitch meet over convex eaves at height `top` [m].

    The eaves move inward at one pace; each that shrinks to a point is a node of the roof, and leaves
    its neighbours to meet. Nodes nearer than a micrometre are one.
    """
    points = np.array(eaves)
    way = np.roll(points, -1, axis=0) - points
    normals = np.column_stack([way[:, 1], -way[:, 0]]) / np.linalg.norm(way, axis=1)[:, None]
    # n . p + t = d: the eaves' line after moving t inward.
    planes = np.column_stack([normals, np.ones(len(points))])
    ends = (normals * points).sum(axis=1)
    left = np.arange(len(points))
    nodes: list[np.ndarray] = []
    moved = 0.0
    while len(left) > 2:
        three = np.column_stack([np.roll(left, 1), left, np.roll(left, -1)])
        meets = np.linalg.solve(planes[three], ends[three][:, :, None])[:, :, 0]
        when = np.where(meets[:, 2] > moved - SAME_NODE, meets[:, 2], np.inf)
        gone = int(when.argmin())
        moved = float(when[gone])
        if all(np.abs(meets[gone] - node).max() > SAME_NODE for node in nodes):
            nodes.append(meets[gone])
        left = np.delete(left, gone)
    return [(float(x), float(y), top + float(t) * tan(WEATHERING)) for x, y, t in nodes]


def _slot(chase: Chase, plan: Plan, deep: float, tall: float) -> Manifold:
    """What a chase takes: from 3 mm below its line, square to it; mitred at corners of the plan."""
    number = _face(plan, chase.inward)
    edge, (ix, iy) = plan.edges[number], chase.inward
    (ux, uy), (x, y) = edge.along, edge.start
    ends = sorted((ux * (px - x) + uy * (py - y), z) for px, py, z in (chase.start, chase.end))
    (s0, z0), (s1, z1) = ends
    rise = (z1 - z0) / (s1 - s0)
    mitres = [
        tan(plan.turn_at(number) / 2) if s0 < AT_CORNER else None,
        tan(plan.turn_at((number + 1) % len(plan.corners)) / 2)
        if s1 > edge.length - AT_CORNER
        else None,
    ]
    first, last = max(s0, 0.0), min(s1, edge.length)
    deep = min(deep, (last - first) / max(sum(mitre or 0.0 for mitre in mitres), 1e-9))
    upright = hypot(1.0, rise)
    found: list[Point] = []
    for at, sign, mitre in ((first, -1, mitres[0]), (last, 1, mitres[1])):
        for depth in (-OUT_OF_FACE, deep):
            s = at if mitre is None else at + sign * (PAST_MITRE - depth * mitre)
            spot = (x + ux * s + ix * depth, y + uy * s + iy * depth)
            line = z0 + rise * (s - s0)
            found += [(*spot, line + up * upright) for up in (-BELOW, tall - BELOW)]
    return _hull(found)


def _round_a_web(web: Floats) -> Manifold:
    """A slot that leaves an upright panel free by 3 mm above and below, 2 mm beside and beyond it."""
    across = normal_of(web)
    along = np.cross(across, [0.0, 0.0, 1.0])
    ways = product((-PAST_MITRE, PAST_MITRE), (-PAST_MITRE, PAST_MITRE), (-BELOW, BELOW))
    moved = [web + beside * across + on * along + [0.0, 0.0, up] for beside, on, up in ways]
    return Manifold.hull_points(np.vstack(moved))


def _face(plan: Plan, inward: Corner) -> int:
    """Number of the plan's edge that a chase is cut into. Raises PieceError."""
    for number, edge in enumerate(plan.edges):
        if hypot(edge.normal[0] + inward[0], edge.normal[1] + inward[1]) < SQUARE:
            return number
    raise PieceError(f"chase must be in a face of the stack. Got chase = one with {inward} inward")
