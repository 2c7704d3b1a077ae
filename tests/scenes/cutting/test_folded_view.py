"""The folded piece beside its pattern: what is nearer is drawn over what is farther."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from scenes.cutting.cut_list import cut_list
from scenes.cutting.folded_view import ABOVE, FROM, folded_view
from scenes.scene import load


@pytest.mark.parametrize("name", ["profiled", "turned", "wide", "stepped"])
def test_the_last_one_drawn_is_the_nearest(name: str) -> None:
    """Two ways to the same picture: where two facets overlap the one that is painted last is the one that
    a line from the eye meets first, its distance solved in space from three of its corners."""
    seen = 0
    sheets = {one.piece: one.folded for one in cut_list(load(name)).patterns}
    for sheet in sheets.values():
        view = folded_view(sheet, (), 1.0)
        signs = next(key for key, words in FROM.items() if words == view.seen_from)
        way = np.array([*signs, ABOVE], dtype=float)
        way /= np.linalg.norm(way)
        right = np.cross([0.0, 0.0, 1.0], way)
        right /= np.linalg.norm(right)
        eye = np.array([right, np.cross(way, right)])
        flat = sheet.points @ eye.T
        low = flat.min(axis=0)
        scale = float(np.ptp(flat, axis=0).max())
        rows = [list(row) for row in sheet.polygons]
        shapes = [_shape((flat[row] - low) / scale) for row in rows]
        painted = [_shape(face.corners) for face in view.faces]
        for a, b in combinations(range(len(rows)), 2):
            both = shapes[a].intersection(shapes[b])
            if both.area < 1e-4:
                continue
            point = both.representative_point()
            at = np.array([point.x, point.y]) * scale + low
            near = sorted(
                (-_distance(sheet.points[row], at, eye, way), number)
                for number, row in enumerate(rows)
                if shapes[number].contains(point)
            )
            if near[1][0] - near[0][0] < 1e-4:
                continue
            seen += 1
            last = [number for number, shape in enumerate(painted) if shape.contains(point)][-1]
            expected = (flat[rows[near[0][1]]] - low) / scale
            assert np.abs(view.faces[last].corners - expected).max() < 1e-9
    assert seen > 5


def _shape(corners: np.ndarray) -> shapely.Geometry:
    return shapely.make_valid(shapely.Polygon(corners))


def _distance(corners: np.ndarray, at: np.ndarray, eye: np.ndarray, way: np.ndarray) -> float:
    """How far towards the eye the plane of three corners far apart lies on the line through a point of the
    picture."""
    first = corners[0]
    second = corners[np.linalg.norm(corners - first, axis=1).argmax()]
    off = np.linalg.norm(np.cross(corners - first, second - first), axis=1)
    third = corners[off.argmax()]
    base = at @ eye
    matrix = np.column_stack([second - first, third - first, -way])
    return float(np.linalg.solve(matrix, base - first)[2])
