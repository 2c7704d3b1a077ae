"""Flat sheets beside the folded pieces that they are of: what several tests of the cut list share."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.linalg import expm
from scipy.spatial.transform import Rotation

from meshes.sheet import Facets
from scenes.cutting.lay_flat import Flat

ON_SHEET = 1e-9  # [m] what a way over the sheet may miss of its length


def on_folded(
    flat: Flat, sheet: Facets, a: NDArray[np.float64], b: NDArray[np.float64]
) -> tuple[float, float] | None:
    """The straight way from a to b on a flat sheet, as it runs over the folded piece: its length there,
    and the widest gap between a panel and the next [m]. None where it leaves the sheet.

    Each panel is led to its facet in space by the affine map of its corners, by least squares.
    """
    way = shapely.LineString([a, b])
    found = []
    for facet, panel in zip(flat.facets, flat.panels, strict=True):
        part = shapely.intersection(way, shapely.Polygon(panel))
        if part.length < ON_SHEET or part.geom_type != "LineString":
            continue
        ends = np.asarray(part.coords)[[0, -1]]
        if np.linalg.norm(ends[0] - a) > np.linalg.norm(ends[1] - a):
            ends = ends[::-1]
        solid = sheet.points[list(sheet.polygons[facet])]
        known = np.column_stack([panel, np.ones(len(panel))])
        matrix = np.linalg.lstsq(known, solid, rcond=None)[0]
        found.append((float(np.linalg.norm(ends[0] - a)), np.column_stack([ends, [1, 1]]) @ matrix))
    found.sort(key=lambda one: one[0])
    if not found:
        return None
    length = sum(float(np.linalg.norm(ends[1] - ends[0])) for _, ends in found)
    gaps = [float(np.linalg.norm(later[0] - ends[1])) for (_, ends), (_, later) in pairwise(found)]
    if abs(way.length - length) > 1e-6:
        return None
    return length, max(gaps, default=0.0)


def folded_area(sheet: Facets) -> float:
    """Area of a folded piece [m2], from its facets in space."""
    total = 0.0
    for row in sheet.polygons:
        corners = sheet.points[list(row)]
        turned = np.cross(corners - corners[0], np.roll(corners, -1, axis=0) - corners[0])
        total += float(np.linalg.norm(turned.sum(axis=0))) / 2
    return total


def folded_again(flat: Flat) -> dict[int, NDArray[np.float64]]:
    """The panels of a flat sheet folded along its bend lines by their angles, in space: corners (k, 3) by
    facet, the first panel lying wet side up. Knows bend lines, angles and which panels touch, no more."""
    panels = dict(zip(flat.facets, flat.panels, strict=True))
    rows = dict(zip(flat.facets, flat.points, strict=True))
    turned = {bend.panels: bend for bend in flat.bends}
    start = flat.facets[0]
    poses = {start: (np.eye(3), np.zeros(3))}
    waiting = [start]
    while waiting:
        known = waiting.pop()
        for other in panels:
            if other in poses:
                continue
            edge = _common(rows[known], panels[known], rows[other], panels[other])
            if edge is None:
                continue
            bend = turned.get((known, other)) or turned.get((other, known))
            turn, shift = poses[known]
            spin = np.eye(3)
            a, b = (turn @ np.array([*end, 0.0]) + shift for end in edge)
            if bend is not None:
                # To the left of the way a to b lies the known panel: up is a turn against the right hand.
                way = (b - a) / np.linalg.norm(b - a)
                spin = _about(way, -bend.angle)
            poses[other] = (spin @ turn, spin @ (shift - a) + a)
            waiting.append(other)
    return {
        facet: np.column_stack([panel, np.zeros(len(panel))]) @ poses[facet][0].T + poses[facet][1]
        for facet, panel in panels.items()
        if facet in poses
    }


def _common(
    row: tuple[int, ...],
    panel: NDArray[np.float64],
    other_row: tuple[int, ...],
    other: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """The edge that two panels share in the flat, in the first one's direction."""
    for k, (a, b) in enumerate(zip(row, row[1:] + row[:1], strict=True)):
        if a in other_row and b in other_row:
            mine = panel[k], panel[(k + 1) % len(row)]
            theirs = other[other_row.index(a)], other[other_row.index(b)]
            if max(np.abs(x - y).max() for x, y in zip(mine, theirs, strict=True)) < 1e-6:
                return mine
    return None


def _about(way: NDArray[np.float64], angle: float) -> NDArray[np.float64]:
    """The turn (3, 3) about a unit axis by the right hand [rad], by the exponential of its skew matrix."""
    x, y, z = way
    return np.asarray(expm(angle * np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])))


def off_when_laid_on(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    """How far points are off others [m] at most, once turned and moved onto them without mirroring."""
    first, second = one - one.mean(axis=0), other - other.mean(axis=0)
    turn, _ = Rotation.align_vectors(second, first)
    return float(np.linalg.norm(turn.apply(first) - second, axis=1).max())
