"""How far one part's surface lies from another's, and which of its triangles lie elsewhere."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ELSEWHERE = 1e-4
"""Surfaces that lie no farther apart than this are one [m]: a tenth of a bedding gap."""


def distance_to(triangles: Floats, points: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """Distance (n,) [m] from points (n, 3) to the nearest of triangles (m, 3, 3), m >= 1, and which
    of them that is (n,)."""
    from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
    from vtkmodules.vtkCommonCore import reference, vtkPoints
    from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData, vtkStaticCellLocator

    corners = vtkPoints()
    corners.SetData(numpy_to_vtk(np.ascontiguousarray(triangles.reshape(-1, 3)), deep=True))
    rows = np.arange(3 * len(triangles), dtype=np.int64).reshape(-1, 3)
    cells = vtkCellArray()
    starts = 3 * np.arange(len(triangles) + 1, dtype=np.int64)
    cells.SetData(
        numpy_to_vtkIdTypeArray(starts, deep=True), numpy_to_vtkIdTypeArray(rows.ravel(), deep=True)
    )
    mesh = vtkPolyData()
    mesh.SetPoints(corners)
    mesh.SetPolys(cells)
    locator: Any = vtkStaticCellLocator()  # its types know nothing of `reference`
    locator.SetDataSet(mesh)
    locator.BuildLocator()
    cell: Any = reference(0)
    part: Any = reference(0)
    squared: Any = reference(0.0)
    nearest = [0.0, 0.0, 0.0]
    found = np.empty((len(points), 2))
    for row, point in enumerate(points.tolist()):
        locator.FindClosestPoint(point, nearest, cell, part, squared)
        found[row] = squared.get(), cell.get()
    return np.sqrt(found[:, 0]), found[:, 1].astype(np.int64)


def apart(first: Floats, second: Floats) -> float:
    """The greatest distance [m] from a corner of either to the other's surface; triangles (n, 3, 3)
    and (m, 3, 3), at least one each (the Hausdorff distance of the two, taken at their corners)."""
    one = distance_to(second, np.unique(first.reshape(-1, 3), axis=0))[0].max()
    two = distance_to(first, np.unique(second.reshape(-1, 3), axis=0))[0].max()
    return float(max(one, two))


def turned_over(first: Floats, second: Floats) -> bool:
    """Whether most of the first surface looks the other way than the second where that is nearest."""
    middles = first.mean(axis=1)
    square = _square(first)
    facing = np.einsum("nk,nk->n", square, _square(second)[distance_to(second, middles)[1]])
    size = np.linalg.norm(square, axis=1)
    return bool(size[facing < 0].sum() > size.sum() / 2)


def elsewhere(first: Floats, second: Floats, far: float) -> Floats:
    """Those of the first triangles (k, 3, 3) with a corner, the middle of an edge or their own middle
    farther than `far` [m] from the second surface."""
    edges = (first + np.roll(first, -1, axis=1)) / 2
    spots = np.concatenate([first, edges, first.mean(axis=1)[:, None]], axis=1)
    away = distance_to(second, spots.reshape(-1, 3))[0].reshape(len(first), -1)
    return first[away.max(axis=1) > far]


def area(triangles: Floats) -> float:
    """Of triangles (n, 3, 3) [m2]."""
    return float(np.linalg.norm(_square(triangles), axis=1).sum() / 2)


def _square(triangles: Floats) -> Floats:
    a, b, c = triangles.transpose(1, 0, 2)
    return np.cross(b - a, c - a)
