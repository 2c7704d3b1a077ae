"""A sheet that is dressed into the waves of a profiled covering, as it is before that: over the crests."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets, normal_of
from scenes.cutting.in_one_plane import in_one_plane

OVER_CRESTS = (
    "cut before it is dressed: what goes up the slope lies straight over the crests of the covering, and"
    " is dressed down into its troughs once it is fitted, which stretches it by {:.0f} %"
)
LEVEL = 1e-6  # [m] points so near to one height, or to one line up the slope, are on it
WAVE = 0.002  # [m] an upper edge that rises and falls by less has no waves
LEG = 0.010  # [m] facets that reach less down the slope from the upper edge are its welt's
BENT = 1e-8  # [m] a corner so far off its facet's plane would bend it

Floats = NDArray[np.float64]


def over_crests(sheet: Facets) -> tuple[Facets, float] | None:
    """A sheet whose upper edge runs in waves, with all that is drawn along these straight over the crests,
    and the share by which dressing it down into the troughs lengthens it there.

    None where the upper edge has no waves, or where more than a leg up the slope and the way from a level
    edge to it runs in them. x is across the slope, y up it, z up.
    """
    points = sheet.points
    edge = points[points[:, 1] > points[:, 1].max() - LEVEL]
    edge = edge[np.argsort(edge[:, 0])]
    if not _waves(edge[:, 2]):
        return None
    low = [_lowest(points, row) for row in sheet.polygons if _reaches(points, row, edge[0, 1])]
    if not low or max(low) - min(low) > LEVEL:
        return None
    foot = min(low)
    leg = {at for row in sheet.polygons if _lowest(points, row) > foot - LEVEL for at in row}
    raised = _raised(sheet, leg, edge, foot)
    if raised is None:
        return None
    moved = replace(sheet, points=raised)
    if any(_off_plane(raised[list(row)]) > BENT for row in sheet.polygons):
        return None
    return in_one_plane(moved), _stretch(edge, points[sorted(leg)], foot)


def _stretch(edge: Floats, leg: Floats, foot: float) -> float:
    """How much longer the waves are than they are wide, square to the way up the slope, as a share."""
    start = leg[np.abs(leg[:, 1] - foot) < LEVEL]
    way = edge[0] - start[np.abs(start[:, 0] - edge[0, 0]).argmin()]
    way /= np.linalg.norm(way)
    steps = np.diff(edge, axis=0)
    across = steps - np.outer(steps @ way, way)
    return float(np.linalg.norm(across, axis=1).sum() / np.ptp(edge[:, 0])) - 1


def _waves(heights: Floats) -> bool:
    """Whether heights from left to right go up and down again, or down and up."""
    steps = np.diff(heights)
    ways = np.sign(steps[np.abs(steps) > WAVE])
    return bool((ways[1:] != ways[:-1]).any())


def _lowest(points: Floats, row: tuple[int, ...]) -> float:
    return float(points[list(row), 1].min())


def _reaches(points: Floats, row: tuple[int, ...], top: float) -> bool:
    """Whether a facet lies along the upper edge and reaches down the slope from there."""
    on_top = (points[list(row), 1] > top - LEVEL).sum() > 1
    return bool(on_top) and _lowest(points, row) < top - LEG


def _raised(sheet: Facets, leg: set[int], edge: Floats, foot: float) -> Floats | None:
    """All points, those of the leg raised to its crests, those on the way to it to the plane up to them."""
    points = sheet.points.copy()
    own = sorted(leg)
    crest = float(edge[:, 2].max())
    points[own, 2] += crest - np.interp(points[own, 0], edge[:, 0], edge[:, 2])
    on_foot = [at for at in own if abs(points[at, 1] - foot) < LEVEL]
    high = points[on_foot, 2]
    way = {
        at for row in sheet.polygons if leg & set(row) and not leg.issuperset(row) for at in row
    } - leg
    if not way:
        return points
    between = sorted(way)
    start = float(points[between, 1].min())
    below = [at for at in between if points[at, 1] < start + LEVEL]
    if np.ptp(high) > LEVEL or np.ptp(points[below, 2]) > LEVEL:
        return None
    share = (points[between, 1] - start) / (foot - start)
    level = float(points[below, 2].mean())
    points[between, 2] = level + share * (float(high.mean()) - level)
    return points


def _off_plane(corners: Floats) -> float:
    return float(np.abs((corners - corners[0]) @ normal_of(corners)).max())
