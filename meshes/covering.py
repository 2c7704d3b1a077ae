"""The covering in real courses, cut out where the stack and its back gutter need room."""

from __future__ import annotations

import numpy as np

from meshes.courses import Course
from meshes.layout import Layout
from meshes.parts import Part, Role
from meshes.solid import Section, Triangles, add_row_of_cells, split_at


def covering(layout: Layout) -> Part:
    """Every course as a closed body; those below the gutter are cut round the stack and behind it."""
    into = Triangles()
    half = layout.half_stack + layout.detail.roof.clearance
    wide = layout.half_stack + layout.detail.roof.beside
    xs = [-wide, -half, half, wide]
    front = -layout.detail.roof.clearance
    for index, course in enumerate(layout.courses.courses):
        section = _section(course, layout.courses.slope)
        if index >= layout.courses.over_gutter:
            add_row_of_cells(into, [section], [-wide, wide], np.ones((1, 1), bool))
            continue
        below, above = split_at(section, front)
        parts = [part for part in (below, above) if part is not None]
        middle = [part is below for part in parts]
        filled = np.array([[True, kept, True] for kept in middle])
        add_row_of_cells(into, parts, xs, filled)
    return Part("covering", Role.COVERING, *into.arrays())


def _section(course: Course, slope: float) -> Section:
    """Upright nose and head, parallel top and underside, anticlockwise in (y, z)."""
    head_z = course.nose_z + (course.head_y - course.nose_y) * slope
    return np.array(
        [
            (course.nose_y, course.nose_z - course.depth),
            (course.head_y, head_z - course.depth),
            (course.head_y, head_z),
            (course.nose_y, course.nose_z),
        ]
    )
