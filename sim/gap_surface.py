"""A surface made ready for storms: split along the outlines of its laps, and fine enough there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from meshes.parts import Assembly, Role
from sim.cast import Caster
from sim.contacts import join_contacts, only_solid, split_along
from sim.gap_grading import Graded
from sim.gap_knots import knotted
from sim.gap_lines import SNAP, outline_lines, snapped
from sim.laps_table import GAP
from sim.nearby import groups
from sim.refine import refine
from sim.refine_flips import diagonals
from sim.surface import Surface
from sim.tolerances import STANDOFF, WELD

OPEN_SIZE = 0.18
"""Longest edge of a face out in the weather [m]: film and exposure vary over a stack's width."""
ACROSS = 2.5
"""Edges that must stand side by side across a lap of two flashings, so that a narrow one (a return, a
folded edge) has a gradient."""
FINEST = 0.012
NARROW = 0.015
"""Laps narrower than this [m] are steps where folded sheets end a bedding gap apart: not worth finer
triangles than others."""
MOST = 60_000
"""Faces that may be made in laps, and as many in the open: on larger roofs they are larger."""
SHUT_IN = 0.1
"""A face that has others within this in front of both its sides has no weather of its own [m]."""
WEATHERED = (Role.COVERING, Role.FLASHING, Role.STACK, Role.DEBRIS)


def storm_surface(assembly: Assembly | Surface, *, size: float = 0.035) -> Surface:
    """A surface on which wind can be told from place to place.

    Contacts are edges; faces are split along the outlines of the sheets that lap them; no edge is
    longer than `size` [m] in a lap with a flashing (in a narrow one of two: than part of its breadth),
    than OPEN_SIZE in other laps and on what lies in the open; in other laps they grow to that with the
    way from the flashings, for pressure changes fastest beside these. What is shut in and out of laps stays
    coarse, and so does the underlay.
    Raises SceneError for a size outside 1 mm to 1 m, and what `Surface.of` raises.
    """
    ok = bool(np.isfinite(size)) and 1e-3 <= size <= 1.0
    require(ok, "size of the triangles in laps", size, "1 mm to 1 m", SceneError)
    surface = assembly if isinstance(assembly, Surface) else Surface.of(assembly)
    surface = only_solid(join_contacts(surface))
    host, line = outline_lines(surface, Caster.of(surface))
    host, line = knotted(host, surface.face_part[host], surface.normals[host], line, SNAP)
    line, crosses = snapped(surface, host, line)
    host, line = host[crosses], line[crosses]
    surface = split_along(surface, np.stack([host, host], axis=1), line, reach=WELD)
    return refine(surface, *_limits(surface, size))


def _limits(surface: Surface, size: float) -> tuple[NDArray[np.float64], NDArray[np.int64], Graded]:
    """Longest edge (m,) [m] that each face may have; its kind (m,): what faces either side; and the
    limits by place."""
    caster = Caster.of(surface)
    middle = surface.vertices[surface.faces].mean(axis=1) + surface.centre
    flashing = surface.of_role(surface.face_part, Role.FLASHING)
    weathered = surface.of_role(surface.face_part, *WEATHERED)
    near, sheets, lapped, open_side = np.zeros((4, len(flashing)), dtype=bool)
    kind = np.zeros(len(flashing), dtype=np.int64)
    for side in (1.0, -1.0):
        way = side * surface.normals
        away, hit = caster.first_hit(middle + STANDOFF / 2 * way, way, SHUT_IN)
        open_side |= hit < 0
        hit = np.where(away <= GAP, hit, -1)
        lapped |= (hit >= 0) & weathered[hit]
        near |= (hit >= 0) & (flashing | flashing[hit]) & weathered[hit]
        sheets |= (hit >= 0) & flashing & flashing[hit]
        faced = np.where(hit >= 0, surface.face_part[hit] + 1, 0)
        kind = kind * (len(surface.part_names) + 1) + faced
    ends = surface.vertices[surface.faces]
    area = np.linalg.norm(np.cross(ends[:, 1] - ends[:, 0], ends[:, 2] - ends[:, 0]), axis=1) / 2
    near &= weathered
    out = weathered & (open_side | lapped)
    # A triangle whose edges are no longer than h has some 0.35 h^2.
    size = max(size, float(np.sqrt(area[near].sum() / (0.35 * MOST))))
    broad = max(OPEN_SIZE, float(np.sqrt(area[out].sum() / (0.35 * MOST))))
    kind = np.unique([surface.face_part, kind], axis=1, return_inverse=True)[1].ravel()
    fine = np.where(
        sheets, np.clip(_breadth(surface, kind) / ACROSS, min(FINEST, size), size), size
    )
    longest = np.where(near, fine, np.where(out, max(broad, size), np.inf))
    return longest, kind, Graded.of(ends, near, weathered & lapped & ~near, size)


def _breadth(surface: Surface, kind: NDArray[np.int64]) -> NDArray[np.float64]:
    """Breadth (m,) [m] of the flat patch of one kind that each face lies in: twice its area over its
    girth, which is a strip's breadth; boundless under NARROW."""
    points, faces = surface.vertices, surface.corners[surface.faces].astype(np.int64)
    one, other = diagonals(points, faces, kind, surface.normals)
    patch = groups(len(faces), np.stack([one // 3, other // 3], axis=1))
    ends = points[faces]
    sides = np.roll(ends, -2, axis=1) - np.roll(ends, -1, axis=1)
    girth = np.linalg.norm(sides, axis=2)
    area = np.linalg.norm(np.cross(sides[:, 0], sides[:, 1]), axis=1) / 2
    girth.ravel()[np.concatenate([one, other])] = 0.0
    breadth = 2 * np.bincount(patch, area) / np.bincount(patch, girth.sum(axis=1))
    return np.asarray(np.where(breadth > NARROW, breadth, np.inf)[patch])
