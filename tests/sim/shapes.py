"""Small surfaces with known answers, and ways to turn them round."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role

Points = NDArray[np.float64]
DOWN = (0.0, 0.0, -1.0)


def sheet(
    height: Callable[[Points, Points], Points],
    x: Sequence[float],
    y: Sequence[float],
    *,
    name: str = "roof",
    role: Role = Role.COVERING,
    without: tuple[tuple[int, int], ...] = (),
) -> Part:
    """z = height(x, y) over a grid, wet side up; cells (i, j) in `without` are left open."""
    xs, ys = np.meshgrid(np.asarray(x, float), np.asarray(y, float))
    vertices = np.column_stack([xs.ravel(), ys.ravel(), np.asarray(height(xs, ys)).ravel()])
    faces = []
    for j in range(len(y) - 1):
        for i in range(len(x) - 1):
            if (i, j) not in without:
                a, c = j * len(x) + i, (j + 1) * len(x) + i
                faces += [(a, a + 1, c + 1), (a, c + 1, c)]
    return Part(name, role, vertices, np.array(faces))


def pitched(pitch_deg: float) -> Callable[[Points, Points], Points]:
    """Height of a plane through the origin that rises along y."""
    rise = np.tan(np.radians(pitch_deg))
    return lambda x, y: rise * y + 0 * x


def strip(points: Sequence[Sequence[float]], *, along: float, name: str, role: Role) -> Part:
    """A folded sheet: a line of (y, z) points drawn out in x from -along to along. Wet side is the left
    of the line as seen from +x, which is up when y falls."""
    line = np.asarray(points, float)
    n = len(line)
    vertices = np.concatenate(
        [np.column_stack([np.full(n, x), line[:, 0], line[:, 1]]) for x in (-along, along)]
    )
    faces = []
    for k in range(n - 1):
        faces += [(k, k + 1, n + k + 1), (k, n + k + 1, n + k)]
    return Part(name, role, vertices, np.array(faces))


def box(
    low: Sequence[float], high: Sequence[float], *, turn: float = 0.0, name: str = "box"
) -> Part:
    """A closed box, faces outward, turned about z by `turn` [rad]."""
    corners = np.array([[(low, high)[k >> i & 1][i] for i in range(3)] for k in range(8)], float)
    quads = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    faces = [t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]
    return Part(name, Role.STACK, turned(corners, turn), np.array(faces))


def regular(sides: int, half: float, first: float = 0.0) -> Points:
    """Corners (sides, 2) of a regular polygon round a circle, `half` from the middle to each face; the
    first corner at that angle from +x [rad]."""
    turn = first + 2 * np.pi * np.arange(sides) / sides
    reach = half / np.cos(np.pi / sides)
    return np.asarray(reach * np.column_stack([np.cos(turn), np.sin(turn)]))


def prism(plan: Points, low: float, high: float, *, name: str = "stack") -> Part:
    """A closed upright prism over a convex plan (k, 2), anticlockwise; faces outward."""
    count = len(plan)
    ends = [np.column_stack([plan, np.full(count, z)]) for z in (low, high)]
    faces = []
    for k in range(count):
        after = (k + 1) % count
        faces += [(k, after, count + after), (k, count + after, count + k)]
    for k in range(1, count - 1):
        faces += [(0, k + 1, k), (count, count + k, count + k + 1)]
    return Part(name, Role.STACK, np.vstack(ends), np.array(faces))


def turned(points: Points, angle: float) -> Points:
    """Points (n, 3) or one (3,) turned about z [rad]."""
    c, s = np.cos(angle), np.sin(angle)
    return np.asarray(points) @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])


def mapped(
    assembly: Assembly, change: Callable[[Points], Points], *, flip: bool = False
) -> Assembly:
    """Every part with its points changed; `flip` keeps the wet side where a mirror turns it over."""
    return Assembly(
        tuple(
            Part(p.name, p.role, change(p.vertices), p.faces[:, ::-1] if flip else p.faces)
            for p in assembly
        )
    )


def in_four(assembly: Assembly) -> Assembly:
    """Every triangle split in four at the middles of its edges; equal corners share no vertex."""
    parts = []
    for p in assembly:
        a, b, c = (p.vertices[p.faces[:, k]] for k in range(3))
        ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
        soup = np.stack([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], axis=1).reshape(-1, 3)
        parts.append(Part(p.name, p.role, soup, np.arange(len(soup)).reshape(-1, 3)))
    return Assembly(tuple(parts))
