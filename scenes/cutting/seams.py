"""Where edges of flat sheets must be joined once they are folded, numbered alike on both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.spec import Detail
from scenes.cutting.lay_flat import Flat, Joint

LEAST = 0.010  # [m] shorter ones are dressed, and not worth a number
NARROWEST = (
    0.010  # [m] a flat sheet narrower on the mean is an edge dressed over, not cut by itself
)
BY_MATERIAL = {"zinc": "soldered", "copper": "soldered", "self-adhesive": "patched"}
"""How edges are joined that no sheet has in one piece: common practice, no source. Others are welded."""


@dataclass(frozen=True, slots=True)
class Seam:
    """Edges that meet along one line. number: 1 and on within a piece; sheets: in which flat sheets;
    joints: the piece's edges; length: of all [m]."""

    number: int
    sheets: tuple[int, int]
    joints: tuple[Joint, ...]
    length: float

    def lines(self, sheet: int, flat: Flat) -> tuple[NDArray[np.float64], ...]:
        """Where its edges lie in one flat sheet, each (2, 2) [m]: both edges of a slit, one of a rim."""
        return tuple(
            _edge_of(flat, facet, joint)
            for joint in self.joints
            for facet in joint.panels
            if sheet in self.sheets and facet in flat.facets
        )


def is_cut(flat: Flat) -> bool:
    """Whether a flat sheet is cut by itself: not one that is narrow all along."""
    ring = flat.outlines[0]
    around = float(np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1).sum())
    return 2 * flat.area > NARROWEST * around


def how_joined(detail: Detail) -> str:
    """Soldered, welded, bossed or patched, by the scene's material, and where its corners are bossed.

    Patches over slit corners are pieces of their own: no edges of one piece are joined by them.
    """
    if detail.joint == "bossed":
        return "bossed"
    return BY_MATERIAL.get(detail.material, "welded")


def seams_of(flats: Sequence[Flat], joints: Sequence[Joint]) -> tuple[Seam, ...]:
    """Joints that follow on each other between the same two flat sheets, together; longest first.

    Those of a sheet that is not cut by itself are there where it joins two that are.
    """
    sheet_of = {facet: at for at, flat in enumerate(flats) for facet in flat.facets}
    groups: list[tuple[tuple[int, int], set[int], list[Joint]]] = []
    for joint in joints:
        first, second = sorted(sheet_of[facet] for facet in joint.panels)
        sheets, points, own = (first, second), set(joint.edge), [joint]
        for other in [one for one in groups if one[0] == sheets and one[1] & points]:
            groups.remove(other)
            points |= other[1]
            own += other[2]
        groups.append((sheets, points, own))
    cut = {at for at, flat in enumerate(flats) if is_cut(flat)}
    reached: dict[int, set[int]] = {}
    for sheets, _, _ in groups:
        for at in sheets:
            reached.setdefault(at, set()).update(cut & set(sheets))
    found = []
    for sheets, _, own in groups:
        length = sum(joint.length for joint in own)
        if length >= LEAST and all(at in cut or len(reached[at]) > 1 for at in sheets):
            found.append((length, sheets, sorted(own, key=lambda one: one.edge)))
    found.sort(key=lambda one: (-round(one[0], 9), one[1], one[2][0].edge))
    return tuple(
        Seam(number, sheets, tuple(own), length)
        for number, (length, sheets, own) in enumerate(found, start=1)
    )


def _edge_of(flat: Flat, facet: int, joint: Joint) -> NDArray[np.float64]:
    at = flat.facets.index(facet)
    row = flat.points[at]
    return flat.panels[at][[row.index(point) for point in joint.edge]]
