"""What no folding can do: the surplus or the want of sheet round the points of a folded sheet.

At a point that lies inside a sheet the facets' angles make a full circle as long as the sheet is only
folded. What they fall short of it is surplus, pleated away (into an ear) or cut out; what they exceed
it by is wanting: there the sheet is slit and patched, or stretched (bossed).
"""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets, in_plane

Corner = tuple[
    int, int, float
]  # the next point and the one before it along a facet, its angle [rad]


def corner_surplus(sheet: Facets) -> dict[int, float]:
    """Surplus of sheet [rad] by interior point (row of `sheet.points`): 2 pi less its angles' sum.

    Zero where the sheet is only folded; above zero (below 2 pi): surplus to pleat away; below zero: the
    sheet must be slit or stretched there. Interior: its facets close one full circle; points on the
    border, which a sheet can have at any angle, are left out.
    Source: the angle defect of Descartes, the curvature at a point of a polyhedral surface (Bloch,
    Discrete Comput. Geom. 43 (2010), doi 10.1007/s00454-008-9084-8; abstract and introduction seen).
    """
    return {
        point: 2 * pi - _sum_of_angles(corners)
        for point, corners in sorted(_corners(sheet).items())
        if _one_circle(corners)
    }


def gauss_bonnet_sum(sheet: Facets) -> float:
    """Total [rad] of interior points' surplus and border points' turning, pi less their angles' sum.

    It is 2 pi times the Euler characteristic (points less edges plus facets): 2 pi for a sheet without
    holes, nothing for a ring. At a border point that several fans of facets share, each takes a pi.
    Source: the polyhedral theorem of Descartes, Gauss and Bonnet (Bloch, as above, seen), with a border
    as in texts on discrete differential geometry (lecture notes, seen).
    """
    return sum(
        (2 - _open_fans(corners)) * pi - _sum_of_angles(corners)
        for corners in _corners(sheet).values()
    )


def _corners(sheet: Facets) -> dict[int, list[Corner]]:
    found: dict[int, list[Corner]] = {}
    for row in sheet.polygons:
        angles = _angles(in_plane(sheet.points[list(row)]))
        for at, point in enumerate(row):
            corner = (row[(at + 1) % len(row)], row[at - 1], float(angles[at]))
            found.setdefault(point, []).append(corner)
    return found


def _angles(flat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Angles (k,) [rad] inside an anticlockwise polygon (k, 2), over pi where it is hollow."""
    ahead = np.roll(flat, -1, axis=0) - flat
    back = np.roll(flat, 1, axis=0) - flat
    across = ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]
    return np.arctan2(across, (ahead * back).sum(axis=1)) % (2 * pi)


def _one_circle(corners: list[Corner]) -> bool:
    """Whether the facets round a point follow one another, edge by edge, back to the first."""
    following = {after: before for after, before, _ in corners}
    start = point = corners[0][0]
    for _ in corners[1:]:
        point = following.get(point, start)
        if point == start:
            return False
    return following.get(point) == start


def _open_fans(corners: list[Corner]) -> int:
    """How many fans of facets end at the border here: at how many edges no other facet follows."""
    starts = {after for after, _, _ in corners}
    return sum(before not in starts for _, before, _ in corners)


def _sum_of_angles(corners: list[Corner]) -> float:
    return sum(angle for _, _, angle in corners)
