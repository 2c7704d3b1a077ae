"""The stack: an upright body with a capping that sheds outward, and chases for the turn-ins."""

from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
from manifold3d import Manifold
from numpy.typing import NDArray

from meshes.apron import apron_height
from meshes.back_gutter import sole_front
from meshes.layout import Layout
from meshes.parts import Part, Role
from meshes.spec import Dressed
from meshes.turn_in import BELOW
from meshes.underlay import inside_height

WEATHERING = radians(15)  # slope of the capping's top: common practice, no source
ABOVE_LOFT = (
    0.010  # [m] the body ends this far above the plane in the loft, so that water drips there
)


def stack(layout: Layout) -> Part:
    """Body, capping and chases in one closed mesh.

    A pointed chase is filled on both sides of its turn-in, flush with the face: the body is whole
    there, and the sheet runs into it. A chase that no turn-in enters stays open.
    """
    body = _body(layout) + _capping(layout)
    if layout.detail.stack.chase_depth > 0:
        for name, chase in _chases(layout).items():
            if not (layout.detail.stack.pointed and _turn_in(layout, name) > 0):
                body -= chase
    mesh = body.to_mesh64()
    vertices = np.asarray(mesh.vert_properties)[:, :3]
    return Part("stack", Role.STACK, vertices, np.asarray(mesh.tri_verts))


def _body(layout: Layout) -> Manifold:
    measures = layout.detail.stack
    low = inside_height(layout) + ABOVE_LOFT
    # Into the capping, so that the union has no coinciding faces.
    high = measures.height + measures.capping_thickness / 2
    box = Manifold.cube([measures.width, measures.depth, high - low])
    return box.translate([-measures.width / 2, 0.0, low])


def _capping(layout: Layout) -> Manifold:
    measures = layout.detail.stack
    over, z = measures.capping_overhang, measures.height
    x0, x1 = -measures.width / 2 - over, measures.width / 2 + over
    y0, y1 = -over, measures.depth + over
    top = z + measures.capping_thickness
    edge = min(x1 - x0, y1 - y0) / 2
    peak = top + edge * tan(WEATHERING)
    points = [(x, y, h) for x in (x0, x1) for y in (y0, y1) for h in (z, top)]
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    # A hipped top: its ridge runs along the longer side.
    half_x, half_y = (x1 - x0) / 2 - edge, (y1 - y0) / 2 - edge
    points += [(middle_x - half_x, middle_y - half_y, peak)]
    points += [(middle_x + half_x, middle_y + half_y, peak)]
    return Manifold.hull_points(np.array(points))


def _chases(layout: Layout) -> dict[Dressed, Manifold]:
    """Front and back chases are level, those of the sides follow the pitch; all run out at the corners."""
    measures, half = layout.detail.stack, layout.half_stack
    deep, tall = measures.chase_depth, measures.chase_height
    width = measures.width + 0.2
    _, foot = sole_front(layout)
    front, back = apron_height(layout), foot + layout.detail.gutter.upstand
    level = Manifold.cube([width, deep + 0.1, tall])
    pitch = layout.detail.roof.pitch
    bar = Manifold.cube([deep + 0.1, (measures.depth + 0.4) / cos(pitch), tall])
    turned = _up_the_slope(layout, pitch)
    return {
        "apron": level.translate([-width / 2, -0.1, front - BELOW]),
        "gutter": level.translate([-width / 2, measures.depth - deep, back - BELOW]),
        "left": bar.translate([-half - 0.1, 0.0, -BELOW]).transform(turned),
        "right": bar.translate([half - deep, 0.0, -BELOW]).transform(turned),
    }


def _turn_in(layout: Layout, piece: Dressed) -> float:
    detail = layout.detail
    level = {"apron": detail.apron.turn_in, "gutter": detail.gutter.turn_in}
    return level.get(piece, detail.sides.turn_in)


def _up_the_slope(layout: Layout, pitch: float) -> NDArray[np.float64]:
    """Turn y into up-slope about x, and start below the stack's front on the water line."""
    start = -0.2
    return np.array(
        [
            [1.0, 0.0, 0.0, 0.0],
            [0.0, cos(pitch), -sin(pitch), start],
            [0.0, sin(pitch), cos(pitch), layout.water_line(start)],
        ]
    )
