"""What lies below an edge or behind it, layer by layer: which sheet it laps, and where it stands on it."""

from __future__ import annotations

import numpy as np

from meshes.parts import Role
from sim.laps_borders import Flags, Floats, HalfEdges, Ints
from sim.laps_table import GAP, RESTING
from sim.surface import Surface

FACING = 0.5  # cosine: two sheets lap when they lie within 60 degrees of parallel


def first_other(
    surface: Surface, edges: HalfEdges, down: Floats, distance: Floats, face: Ints
) -> tuple[Ints, Ints, Floats]:
    """Part and face (n,) that a piece of edge lies over, and how far [m]: the first of another
    part, when it shows its wet side and the rule book can have a rule for the two; -1 otherwise.

    A sheet that is folded round another lies over it, but its bend is no edge that water gets
    under: where a sheet is doubled back, the first below it must be itself.
    """
    part = parts_met(surface, face)
    other = (part >= 0) & (part != edges.part)
    layer = np.where(other.any(axis=0), other.argmax(axis=0), 0)
    rows = np.arange(len(edges))
    bend_over_another = edges.doubled & (layer == 0)
    part, face, distance = part[layer, rows], face[layer, rows], distance[layer, rows]
    flashing = surface.of_role(edges.part, Role.FLASHING)
    on_covering = surface.of_role(part, Role.COVERING) & flashing
    on_flashing = surface.of_role(part, Role.FLASHING)
    near = distance <= np.where(on_covering, RESTING, GAP)
    wet = (surface.normals[face] * down).sum(axis=1) < -FACING
    ok = other.any(axis=0) & near & wet & (on_covering | on_flashing) & ~bend_over_another
    return np.where(ok, part, -1), face, distance


def interleaved(
    surface: Surface, edges: HalfEdges, down: Floats, course: Ints, distance: Floats, face: Ints
) -> tuple[Ints, Ints, Floats]:
    """Flashing and face (n,) whose wet side an edge of a flashing lies over with a course between, and
    how far [m]; -1 for none. course: `through_a_course` of what lies below the edge."""
    other = (course >= 0) & (course != edges.part)
    layer = np.where(other.any(axis=0), other.argmax(axis=0), 0)
    rows = np.arange(len(edges))
    flashing = surface.of_role(edges.part, Role.FLASHING)
    part, face, distance = course[layer, rows], face[layer, rows], distance[layer, rows]
    wet = (surface.normals[face] * down).sum(axis=1) < -FACING
    return np.where(other.any(axis=0) & flashing & wet, part, -1), face, distance


def through_a_course(surface: Surface, distance: Floats, face: Ints) -> Ints:
    """Flashings met (layers, n) right behind covering, with nothing but covering before; -1 for others."""
    part = parts_met(surface, face)
    covering = surface.of_role(part, Role.COVERING)
    only = np.logical_and.accumulate(covering, axis=0)[:-1]
    close = distance[1:] <= np.where(only, distance[:-1], 0.0) + GAP
    found = np.full_like(part, -1)
    flashing = surface.of_role(part[1:], Role.FLASHING)
    found[1:] = np.where(only & close & flashing, part[1:], -1)
    return found


def feet(surface: Surface, middle: Floats, down: Floats, drop: Floats, under: Ints) -> Floats:
    """Where edges stand on the sheets below (n, 3) [m]: straight below on a lying sheet, as a nose
    does, and squarely behind on an upright one."""
    square = middle + down * drop[:, None]
    normal = surface.normals[under]
    lies = normal[:, 2] > FACING
    fall = ((middle - square) * normal).sum(axis=1) / np.where(lies, normal[:, 2], 1.0)
    below = middle - fall[:, None] * np.array([0.0, 0.0, 1.0])
    return np.where(lies[:, None], below, square)


def within_stack(surface: Surface, face: Ints) -> Flags:
    """Whether faces met (layers, n) are the stack's or lie behind one of its faces."""
    stack = surface.of_role(parts_met(surface, face), Role.STACK)
    return np.logical_or.accumulate(stack, axis=0)


def near_parts(surface: Surface, distance: Floats, face: Ints) -> Ints:
    """Parts of the faces met: within the gap, or a little farther off for a covering; -1 for none."""
    part = parts_met(surface, face)
    covering = surface.of_role(part, Role.COVERING)
    return np.where((distance <= GAP) | covering, part, -1)


def parts_met(surface: Surface, face: Ints) -> Ints:
    """Parts of the faces met (layers, n), -1 for none."""
    return np.where(face >= 0, surface.face_part[face], -1)
