"""A small picture of the folded piece, to check a fold against: facets from the farthest to the nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets, normal_of

ABOVE = 0.75  # [1] how far the view comes from above, beside 1 across and 1 along the slope
FROM = {
    (1, -1): "the front right",
    (-1, -1): "the front left",
    (1, 1): "the back right",
    (-1, 1): "the back left",
}
"""From where the folded piece is seen, by the signs of x and y."""


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A facet as it is seen: corners (k, 2), y upwards; wet: whether its wet side is seen; own: whether it
    is of the pattern that the picture stands beside."""

    corners: NDArray[np.float64]
    wet: bool
    own: bool


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """faces: farthest first, within (0, 0) to `size`; seen_from: in words."""

    faces: tuple[Face, ...]
    size: tuple[float, float]
    seen_from: str


def folded_view(sheet: Facets, own: Sequence[int], largest: float) -> View:
    """A folded piece from above and aside, on the side from which most of its wet side is seen.

    own: facets of the pattern; largest: of its width and height.
    """
    normals = np.array([normal_of(sheet.points[list(row)]) for row in sheet.polygons])
    areas = np.array([_area(sheet.points[list(row)]) for row in sheet.polygons])
    signs = max(
        FROM, key=lambda one: round(float((areas * np.maximum(normals @ _way(one), 0)).sum()), 9)
    )
    way = _way(signs)
    right = np.cross([0.0, 0.0, 1.0], way)
    right = right / np.linalg.norm(right)
    flat = sheet.points @ np.column_stack([right, np.cross(way, right)])
    low, high = flat.min(axis=0), flat.max(axis=0)
    scale = largest / float((high - low).max())
    flat = (flat - low) * scale
    depth = [float((sheet.points[list(row)] @ way).mean()) for row in sheet.polygons]
    order = sorted(range(len(depth)), key=lambda facet: (round(depth[facet], 9), facet))
    mine = set(own)
    faces = tuple(
        Face(flat[list(sheet.polygons[facet])], bool(normals[facet] @ way > 0), facet in mine)
        for facet in order
    )
    width, height = ((high - low) * scale).tolist()
    return View(faces, (width, height), FROM[signs])


def _way(signs: tuple[int, int]) -> NDArray[np.float64]:
    """Unit (3,) towards the eye."""
    way = np.array([signs[0], signs[1], ABOVE], dtype=float)
    return way / np.linalg.norm(way)


def _area(corners: NDArray[np.float64]) -> float:
    after = np.roll(corners, -1, axis=0)
    total = np.cross(corners - corners[0], after - corners[0]).sum(axis=0)
    return float(np.linalg.norm(total) / 2)
