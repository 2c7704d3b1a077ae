"""A small picture of the folded piece, to check a fold against: facets from the farthest to the nearest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.sheet import Facets, normal_of

ABOVE = 0.75  # [1] how far the view comes from above, beside 1 across and 1 along the slope
EDGE_ON = 1e-3  # [1] cosine to the view under which a facet is seen from its edge
SPECK = 1e-6  # [m2] facets that share less of the picture are drawn in any order
NEARER = 1e-7  # [m] and so are those that lie no further apart there
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
    eye = np.array([right, np.cross(way, right), way])
    order = _farthest_first(sheet, normals, eye)
    flat = sheet.points @ eye[:2].T
    low, high = flat.min(axis=0), flat.max(axis=0)
    scale = largest / float((high - low).max())
    flat = (flat - low) * scale
    mine = set(own)
    faces = tuple(
        Face(flat[list(sheet.polygons[facet])], bool(normals[facet] @ way > 0), facet in mine)
        for facet in order
    )
    width, height = ((high - low) * scale).tolist()
    return View(faces, (width, height), FROM[signs])


def _farthest_first(
    sheet: Facets, normals: NDArray[np.float64], eye: NDArray[np.float64]
) -> list[int]:
    """Facets in an order in which each may be drawn over those before it: of two that overlap on the picture
    the one that is nearer where they do comes later; others, and those that go round, by their middles.

    eye: (3, 3) to the right and up on the picture, and towards the eye.
    """
    seen = [sheet.points[list(row)] @ eye.T for row in sheet.polygons]
    far = [(round(float(corners[:, 2].mean()), 9), facet) for facet, corners in enumerate(seen)]
    slopes = normals @ eye.T
    shown = [facet for facet in range(len(seen)) if abs(slopes[facet, 2]) > EDGE_ON]
    shapes = [shapely.make_valid(shapely.Polygon(seen[facet][:, :2])) for facet in shown]
    nearer: dict[int, set[int]] = {facet: set() for facet in range(len(seen))}
    tree = shapely.STRtree(shapes)
    for a, b in zip(*tree.query(shapes, predicate="intersects").tolist(), strict=True):
        both = shapes[a].intersection(shapes[b]) if a < b else None
        if both is None or both.area < SPECK:
            continue
        point = both.representative_point()
        one, two = shown[a], shown[b]
        depths = [_depth(seen[facet], slopes[facet], point) for facet in (one, two)]
        if abs(depths[0] - depths[1]) > NEARER:
            first, second = (one, two) if depths[0] < depths[1] else (two, one)
            nearer[first].add(second)
    waits = dict.fromkeys(nearer, 0)
    for some in nearer.values():
        for facet in some:
            waits[facet] += 1
    order: list[int] = []
    left = sorted(far)
    while left:
        pick = next((one for one in left if waits[one[1]] == 0), left[0])
        left.remove(pick)
        order.append(pick[1])
        for facet in nearer[pick[1]]:
            waits[facet] -= 1
    return order


def _depth(corners: NDArray[np.float64], slope: NDArray[np.float64], point: shapely.Point) -> float:
    """How near to the eye a facet's plane is at a point of the picture."""
    off = np.array([point.x, point.y]) - corners[0, :2]
    return float(corners[0, 2] - off @ slope[:2] / slope[2])


def _way(signs: tuple[int, int]) -> NDArray[np.float64]:
    """Unit (3,) towards the eye."""
    way = np.array([signs[0], signs[1], ABOVE], dtype=float)
    return way / np.linalg.norm(way)


def _area(corners: NDArray[np.float64]) -> float:
    after = np.roll(corners, -1, axis=0)
    total = np.cross(corners - corners[0], after - corners[0]).sum(axis=0)
    return float(np.linalg.norm(total) / 2)
