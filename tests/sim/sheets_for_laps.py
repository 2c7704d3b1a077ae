"""Plain sheets for the tests of laps and leaks: strips along a section, and a few ways to move them."""

from __future__ import annotations

from math import cos, sin

import numpy as np

from meshes.parts import Part, Role


def along(line, left, right, *, name, role=Role.FLASHING):
    """A sheet through a section line of (y, z) points [m], from x = left to right, wet side up."""
    points = [(x, y, z) for y, z in line for x in (left, right)]
    faces = []
    for row in range(len(line) - 1):
        a, b, c, d = 2 * row, 2 * row + 1, 2 * row + 3, 2 * row + 2
        faces += [(a, b, c), (a, c, d)]
    return Part(name, role, np.array(points), np.array(faces))


def on_slope(pitch, low, high, lift=0.0):
    """Section of a flat sheet on a slope through the origin, from `low` to `high` up it [m]."""
    up = np.array([cos(pitch), sin(pitch)])
    off = np.array([-sin(pitch), cos(pitch)]) * lift
    return [tuple(up * low + off), tuple(up * high + off)]


def moved(part, turn=0.0, shift=(0.0, 0.0, 0.0)):
    """The part turned about z [rad] and shifted [m]."""
    spin = np.array([[cos(turn), -sin(turn), 0], [sin(turn), cos(turn), 0], [0, 0, 1]])
    return Part(part.name, part.role, part.vertices @ spin.T + np.array(shift), part.faces)


def split(part):
    """The part with every triangle cut in four at the middles of its edges."""
    a, b, c = (part.vertices[part.faces[:, i]] for i in range(3))
    ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
    soup = np.stack([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], axis=1).reshape(-1, 3)
    return Part(part.name, part.role, soup, np.arange(len(soup)).reshape(-1, 3))


def mirrored(part):
    """The part with left and right changed over, its wet side kept."""
    return Part(part.name, part.role, part.vertices * [-1, 1, 1], part.faces[:, ::-1])
