"""Facets that lie in one plane beside each other, as one facet."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets, normal_of

SAME_WAY = 1e-7  # [1] normals that differ by less are one plane's, where their facets share an edge

Edge = tuple[int, int]


def in_one_plane(sheet: Facets) -> Facets:
    """The sheet with facets that share an edge and a plane joined, the first one's name on them; as they
    were where what is joined would have a hole, or touch itself."""
    normals = np.array([normal_of(sheet.points[list(row)]) for row in sheet.polygons])
    groups = _groups(sheet, normals)
    polygons, names = [], []
    for group in groups:
        ring = _ring(edge for facet in group for edge in _edges(sheet.polygons[facet]))
        if ring is None:
            polygons += [sheet.polygons[facet] for facet in group]
            names += [sheet.names[facet] for facet in group]
        else:
            polygons.append(ring)
            names.append(sheet.names[group[0]])
    return Facets(sheet.points, tuple(polygons), tuple(names))


def _edges(row: tuple[int, ...]) -> list[Edge]:
    return list(zip(row, row[1:] + row[:1], strict=True))


def _groups(sheet: Facets, normals: NDArray[np.float64]) -> list[list[int]]:
    """Facets by what they are joined with, each group in their order."""
    owner = {edge: facet for facet, row in enumerate(sheet.polygons) for edge in _edges(row)}
    group_of = {facet: [facet] for facet in range(len(sheet.polygons))}
    for (a, b), facet in owner.items():
        other = owner.get((b, a))
        if other is None or group_of[other] is group_of[facet]:
            continue
        if np.abs(normals[facet] - normals[other]).max() < SAME_WAY:
            group_of[facet] += group_of[other]
            group_of |= dict.fromkeys(group_of[other], group_of[facet])
    return [sorted(group) for facet, group in group_of.items() if facet == min(group)]


def _ring(edges: Iterable[Edge]) -> tuple[int, ...] | None:
    """Round what several facets take together, or None where that is not one plain ring."""
    left = dict.fromkeys(edges)
    outer = [edge for edge in left if edge[::-1] not in left]
    after = dict(outer)
    if len(after) < len(outer):
        return None
    ring = [outer[0][0]]
    while (point := after[ring[-1]]) != ring[0]:
        ring.append(point)
    return tuple(ring) if len(ring) == len(outer) else None
