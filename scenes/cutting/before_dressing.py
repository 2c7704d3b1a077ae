"""Pieces as they are before their covers are dressed over the courses: straight, and cut so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from meshes.build import pieces
from meshes.errors import PieceError
from meshes.piece import Piece
from meshes.sheet import Facets, normal_of
from meshes.spec import Detail

STRAIGHT = (
    "cut before it is dressed: its cover lies straight over the noses of the courses, and is dressed"
    " down to them once it is fitted"
)
LEVEL = 1e-6  # [m] points so near to the highest are on the upper edge
BENT = 1e-8  # [m] a corner so far off its facet's plane would bend it


def before_dressing(detail: Detail, made_so: Mapping[str, Piece]) -> dict[str, Piece]:
    """The pieces with their covers straight over the noses, as long as they are made; none where covers
    can't be laid so. made_so: the pieces as they are made, by the same keys."""
    if detail.cover_fit == "resting":
        return {}
    try:
        found = pieces(replace(detail, cover_fit="resting"))
    except PieceError:
        return {}
    pitch = detail.roof.pitch
    slope = np.array([0.0, cos(pitch), sin(pitch)])
    return {
        key: _as_long_as(made_so[key], _facing_as(made_so[key], one), slope)
        for key, one in found.items()
        if key in made_so
    }


def _as_long_as(made: Piece, straight: Piece, slope: NDArray[np.float64]) -> Piece:
    """A straight piece with its upper edge moved along the slope to where the piece's is: under a gutter a
    straight cover has room for less. As it was where it has no level upper edge."""
    points = straight.facets.points
    high = float(points[:, 1].max())
    upper = points[:, 1] > high - LEVEL
    further = (float(made.facets.points[:, 1].max()) - high) / slope[1]
    if upper.sum() < 2 or abs(further) < LEVEL:
        return straight
    moved = points + np.outer(upper, slope * further)
    if any(_off_plane(moved[list(row)]) > BENT for row in straight.facets.polygons):
        return straight
    return replace(straight, facets=replace(straight.facets, points=moved))


def _off_plane(corners: NDArray[np.float64]) -> float:
    return float(np.abs((corners - corners[0]) @ normal_of(corners)).max())


def _facing_as(made: Piece, other: Piece) -> Piece:
    """A piece with its wet side on the side on which another of its kind has it."""
    if float(_area_and_way(made.facets) @ _area_and_way(other.facets)) >= 0:
        return other
    turned = tuple(row[::-1] for row in other.facets.polygons)
    return replace(other, facets=replace(other.facets, polygons=turned))


def _area_and_way(sheet: Facets) -> NDArray[np.float64]:
    """Twice the area [m2] of all facets, each along its normal, added up: (3,)."""
    starts = [at for row in sheet.polygons for at in row]
    ends = [at for row in sheet.polygons for at in row[1:] + row[:1]]
    points = sheet.points - sheet.points[0]
    return np.cross(points[starts], points[ends]).sum(axis=0)
