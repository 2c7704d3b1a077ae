"""A small picture of one step of the dressing: roof, stack, what is fitted so far, and the new piece.

Surfaces that lie behind others are taken away exactly: of two flat facets that overlap on the picture the one
that is nearer where they do hides the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import tan
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.sheet import Facets, normal_of
from meshes.spec import Detail
from scenes.cutting.folded_view import FROM
from scenes.paper.marks import Mark, Stroke

What = Literal["stack", "fitted", "new"]
LOOK: Final[dict[What, tuple[str, float]]] = {
    "stack": ("#eeeeee", 0.18),
    "fitted": ("#ffffff", 0.12),
    "new": ("#b9c9dc", 0.3),
}
"""Fill, and width of the line [mm]: the new piece has the heavier lines, to stand out in grey too."""
ROOF, COURSES = "#fafafa", "#cfcfcf"
MARGIN, OVER = 0.12, 0.22  # [m] of roof round the pieces, and of stack over them
EDGE_ON = 1e-3  # [1] cosine to the view under which a facet is seen from its edge
SPECK = 2e-6  # [m2] less of a facet is not seen
ON_GRID = 1e-7  # [m] corners are put on a grid so fine where parts are joined
NEARER = 1e-7  # [m] sheets lie at least a bedding gap apart

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Face:
    """A flat facet: corners (k, 3) [m], and what it is of."""

    corners: Floats
    what: What


@dataclass(frozen=True, slots=True, eq=False)
class _Eye:
    """From where it is seen: unit vectors to the right and up on the picture, and towards the eye."""

    right: Floats
    up: Floats
    way: Floats

    @staticmethod
    def of(signs: tuple[int, int], above: float) -> _Eye:
        """From the front or back, the left or right, so far from above [1]."""
        way = np.array([signs[0], signs[1], above], dtype=float)
        way /= np.linalg.norm(way)
        right = np.cross([0.0, 0.0, 1.0], way)
        right /= np.linalg.norm(right)
        return _Eye(right, np.cross(way, right), way)

    def flat(self, points: Floats) -> Floats:
        """Points (n, 3) on the picture: (n, 2) [m], y upwards."""
        return points @ np.column_stack([self.right, self.up])


def dressing_view(
    detail: Detail, fitted: Sequence[Facets], new: Facets, later: Sequence[Facets], width: float,
    height: float,
) -> tuple[list[Mark], str]:  # fmt: skip
    """The marks of a step, within (0, 0) to (width, height) [mm], y down; and from where it is seen.

    later: pieces not fitted yet, which only take room, so that all steps have one scale a side.
    """
    signs = _from(new)
    eye = _Eye.of(signs, 0.75 + max(0.0, signs[1] * 2.0 * tan(detail.roof.pitch)))
    points = np.vstack([one.points for one in (*fitted, new, *later)])
    low, high = points.min(axis=0), points.max(axis=0)
    roof = _roof(detail, low, high)
    stack = _stack(detail, float(high[2]) + OVER)
    faces = [_Face(corners, "stack") for corners in stack]
    faces += [face for one in fitted for face in _faces(one, "fitted")]
    faces += _faces(new, "new")
    held = eye.flat(np.vstack([*roof, *stack]))
    corner, far = held.min(axis=0), held.max(axis=0)
    scale = min(width / (far[0] - corner[0]), height / (far[1] - corner[1]))
    left = (width - scale * (far[0] - corner[0])) / 2

    def on_page(flat: Floats) -> tuple[tuple[float, float], ...]:
        x = left + scale * (flat[:, 0] - corner[0])
        return tuple(zip(x.tolist(), (scale * (far[1] - flat[:, 1])).tolist(), strict=True))

    marks: list[Mark] = [
        Stroke(
            points=on_page(eye.flat(slope)), width=0.15, closed=True, fill=ROOF, colour="#888888"
        )
        for slope in roof
    ]
    marks += [
        Stroke(points=on_page(eye.flat(course)), width=0.1, colour=COURSES)
        for course in _courses(detail, roof)
    ]
    seen = _seen(faces, eye)
    for what, (fill, _) in LOOK.items():
        marks += [
            Stroke(points=on_page(ring), colour=None, closed=True, fill=fill)
            for face, region in seen if face.what == what
            for ring in _rings_without_holes(region)
        ]  # fmt: skip
    for what, (_, thick) in LOOK.items():
        marks += [
            Stroke(points=on_page(shapely.get_coordinates(ring)), width=thick, closed=True)
            for face, region in seen if face.what == what
            for ring in (region.exterior, *region.interiors)
        ]  # fmt: skip
    return marks, f"seen from {FROM[signs]} and above"


def _from(sheet: Facets) -> tuple[int, int]:
    """From where most of a piece's wet side is seen."""
    ways = np.zeros((len(sheet.polygons), 3))
    for row, polygon in enumerate(sheet.polygons):
        corners = sheet.points[list(polygon)] - sheet.points[polygon[0]]
        ways[row] = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0) / 2
    return max(
        FROM, key=lambda one: round(float(np.maximum(ways @ [one[0], one[1], 0.5], 0).sum()), 9)
    )


def _faces(sheet: Facets, what: What) -> list[_Face]:
    return [_Face(sheet.points[list(row)], what) for row in sheet.polygons]


def _height(detail: Detail, y: float) -> float:
    """Of the covering over y [m]."""
    ridge = detail.roof.ridge
    run = y if ridge is None or y <= ridge else 2 * ridge - y
    return run * tan(detail.roof.pitch)


def _roof(detail: Detail, low: Floats, high: Floats) -> list[Floats]:
    """The slopes under the pieces, the farther one first."""
    ridge = detail.roof.ridge
    ends = [float(low[1]) - MARGIN, float(high[1]) + MARGIN]
    if ridge is not None and ends[0] < ridge < ends[1]:
        ends.insert(1, ridge)
    left, right = float(low[0]) - MARGIN, float(high[0]) + MARGIN
    slopes = []
    for y0, y1 in pairwise(ends):
        z0, z1 = _height(detail, y0), _height(detail, y1)
        slopes.append(np.array([[left, y0, z0], [right, y0, z0], [right, y1, z1], [left, y1, z1]]))
    return slopes[::-1]


def _courses(detail: Detail, roof: Sequence[Floats]) -> list[Floats]:
    """Lines (2, 3) across the slopes, three courses apart."""
    found = []
    for slope in roof:
        long = float(np.linalg.norm(slope[3] - slope[0]))
        steps = np.arange(1, int(long / (3 * detail.roof.gauge)) + 1) * 3 * detail.roof.gauge / long
        found += [
            slope[:2] + share * (slope[[3, 2]] - slope[:2]) for share in steps.tolist() if share < 1
        ]
    return found


def _stack(detail: Detail, top: float) -> list[Floats]:
    """The stack's faces from the covering to so high, and the cut across it."""
    corners = detail.stack.outline().corners
    ridge = detail.roof.ridge
    found = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        foot = [(x0, y0), (x1, y1)]
        if ridge is not None and min(y0, y1) < ridge < max(y0, y1):
            foot.insert(1, (x0 + (x1 - x0) * (ridge - y0) / (y1 - y0), ridge))
        lower = [(x, y, _height(detail, y)) for x, y in foot]
        found.append(np.array([*lower, (x1, y1, top), (x0, y0, top)]))
    found.append(np.array([(x, y, top) for x, y in corners]))
    return found


def _seen(faces: Iterable[_Face], eye: _Eye) -> list[tuple[_Face, shapely.Polygon]]:
    """What is seen of each face, in parts."""
    shown, shapes, planes = [], [], []
    for face in faces:
        normal = normal_of(face.corners)
        if abs(normal @ eye.way) < EDGE_ON:
            continue
        shape = shapely.make_valid(shapely.Polygon(eye.flat(face.corners)))
        if shape.area < SPECK:
            continue
        shown.append(face)
        shapes.append(shape)
        far = float(normal @ face.corners[0])
        planes.append(np.array([far, -normal @ eye.right, -normal @ eye.up]) / (normal @ eye.way))
    tree = shapely.STRtree(shapes)
    found = []
    for at, (face, shape) in enumerate(zip(shown, shapes, strict=True)):
        over = []
        for other in tree.query(shape, predicate="intersects").tolist():
            both = shape.intersection(shapes[other])
            if other == at or both.area < SPECK:
                continue
            point = both.representative_point()
            here = np.array([1.0, point.x, point.y])
            if (planes[other] - planes[at]) @ here > NEARER:
                over.append(shapes[other])
        left = shape.difference(shapely.union_all(over)) if over else shape
        found += [
            (face, part) for part in shapely.get_parts(left)
            if part.geom_type == "Polygon" and part.area > SPECK
        ]  # fmt: skip
    return _planes_whole(found)


def _planes_whole(
    parts: Sequence[tuple[_Face, shapely.Polygon]],
) -> list[tuple[_Face, shapely.Polygon]]:
    """Facets of one kind that lie in one plane, as one: no line is drawn where nothing is bent."""
    groups: dict[tuple[object, ...], list[tuple[_Face, shapely.Polygon]]] = {}
    for face, part in parts:
        normal = normal_of(face.corners)
        plane = np.round([*normal, normal @ face.corners[0]], 5) + 0.0
        groups.setdefault((face.what, *plane.tolist()), []).append((face, part))
    return [
        (some[0][0], part) for some in groups.values()
        for part in shapely.get_parts(
            shapely.union_all([part for _, part in some], grid_size=ON_GRID)
        )
        if part.geom_type == "Polygon" and part.area > SPECK
    ]  # fmt: skip


def _rings_without_holes(region: shapely.Polygon) -> list[Floats]:
    """Rings that fill a region, which is parted through its holes."""
    if not region.interiors:
        return [shapely.get_coordinates(region.exterior)[:-1]]
    x = region.interiors[0].centroid.x
    low_x, low_y, high_x, high_y = region.bounds
    halves = (shapely.box(low_x, low_y, x, high_y), shapely.box(x, low_y, high_x, high_y))
    return [
        ring for half in halves for part in shapely.get_parts(region.intersection(half))
        if part.geom_type == "Polygon" for ring in _rings_without_holes(part)
    ]  # fmt: skip
