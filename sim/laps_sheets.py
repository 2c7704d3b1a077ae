"""Which edges of the sheets are open to the weather, which lead behind, and what lies over what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from meshes.parts import Role
from sim.cast import Caster
from sim.laps_borders import EdgeKinds, Flags, Floats, HalfEdges, Ints, edge_kinds, pieces
from sim.laps_layers import (
    FACING,
    feet,
    first_other,
    interleaved,
    near_parts,
    through_a_course,
    within_stack,
)
from sim.laps_table import RESTING, SKY, TROUGH
from sim.looks import layers
from sim.openness import sees_sky
from sim.surface import Surface

DEEPEST = 5  # sheets that may lie between a sheet and one that covers it: a welted joint has four
LIFT = 1e-6  # [m] how far off its own sheet a ray starts


@dataclass(frozen=True, slots=True, eq=False)
class Borders:
    """Open edges, the part (`over`) that they lie over and where they stand on it (`foot` (n, 3)
    [m]), whether that face is upright and whether a course lies between (n,); hidden edges, the
    parts above and below them, how far off [m], and the parts behind just beyond them (layers, n);
    folds and the parts (n, parts) that they turn away from; corners of returns, the parts above them
    (layers, n) and the way on beyond each (n, 3); flashing (parts,): which parts are."""

    outer: HalfEdges
    off_corners: Flags
    over: Ints
    foot: Floats
    upright: Flags
    between: Flags
    hidden: HalfEdges
    above: Ints
    below: Ints
    beyond: Ints
    up: Floats
    down: Floats
    folds: HalfEdges
    leaves: Flags
    corners: HalfEdges
    corners_above: Ints
    onward: Floats
    flashing: Flags

    def under(self, upper: int, lower: int) -> tuple[HalfEdges, Floats]:
        """Borders of one part that lie under another and lead behind, and the thickness (n,) [m] of
        what the upper part is folded round where it lies on both sides of the border, 0 elsewhere.

        Past a border on an upright face that a third flashing lies behind water is on that one, and
        runs down in front of it: there the third one's borders count that lie under the upper part
        and not under the lower, for to those it would have to turn back, through that lap. Courses lie
        on both sides of what is between them, but they are not folded round it.
        """
        third = self._behind(upper, lower)
        covered = (self.above == upper).any(axis=0)
        mine = (self.hidden.part == lower) & covered
        onto = np.unique(third[:, mine])
        theirs = np.isin(self.hidden.part, onto[onto >= 0]) & covered
        theirs &= (self.above != lower).all(axis=0)
        rows = np.flatnonzero((mine | theirs) & (third < 0).all(axis=0))
        over, behind = self.above[:, rows] == upper, self.below[:, rows] == upper
        behind &= self.flashing[upper]
        up = np.where(over, self.up[:, rows], np.inf).min(axis=0)
        down = np.where(behind, self.down[:, rows], np.inf).min(axis=0)
        return self.hidden.rows(rows), np.where(np.isfinite(down), up + down, 0.0)

    def _behind(self, upper: int, lower: int) -> Ints:
        """Flashings (layers, n) just behind hidden edges of upright faces, -1 for none or for one of the
        two or its own."""
        mine = np.isin(self.beyond, (upper, lower)) | (self.beyond == self.hidden.part)
        known = (self.beyond >= 0) & self.flashing[self.beyond]
        upright = np.abs(self.hidden.normal[:, 2]) < FACING
        return np.where(known & ~mine & upright, self.beyond, -1)

    def corners_under(self, upper: int, lower: int) -> tuple[HalfEdges, Floats]:
        """Corners of one part that lie under another, and the way on beyond each."""
        rows = np.flatnonzero(
            (self.corners.part == lower) & (self.corners_above == upper).any(axis=0)
        )
        return self.corners.rows(rows), self.onward[rows]


def look_round(surface: Surface, caster: Caster) -> Borders:
    """Cast rays from all edges that laps are measured between."""
    kinds = edge_kinds(surface)
    outer, off_corners, down = _open_pieces(surface, kinds)
    hidden, whole = pieces(kinds.free.rows(surface.of_role(kinds.free.part, Role.FLASHING)))
    hidden = hidden.rows(whole)
    corners, _ = pieces(kinds.corners)
    faces = np.flatnonzero(surface.of_role(surface.face_part, Role.FLASHING) & surface.solid)
    faces, spots = _spots(surface, faces)
    back = -surface.normals[faces]
    looks = [
        (outer.inside, down),
        (hidden.inside, hidden.normal),
        (hidden.inside, -hidden.normal),
        (corners.inside, corners.normal),
        (spots, back),
        (hidden.outside, -hidden.normal),
    ]
    points, ways = (np.concatenate(each) for each in zip(*looks, strict=True))
    cuts = np.cumsum([len(way) for _, way in looks])[:-1]
    distance, face = layers(caster, points + LIFT * ways, ways, RESTING, DEEPEST)
    far, found = np.split(distance + LIFT, cuts, axis=1), np.split(face, cuts, axis=1)
    near = [near_parts(surface, d, f) for d, f in zip(far[1:], found[1:], strict=True)]
    over, under, drop = first_other(surface, outer, down, far[0], found[0])
    course = through_a_course(surface, far[0], found[0])
    next_one, its_face, its_drop = interleaved(surface, outer, down, course, far[0], found[0])
    rows = np.flatnonzero((over >= 0) | (next_one >= 0))
    # Where two edges lie flush nothing runs on the lower sheet to the upper's edge.
    beside = outer.outside[rows] + LIFT * down[rows]
    away, face = layers(caster, beside, down[rows], RESTING, DEEPEST)
    met = near_parts(surface, away + LIFT, face)
    over[rows] = np.where((met == over[rows]).any(axis=0), over[rows], -1)
    met = through_a_course(surface, away + LIFT, face)
    next_one[rows] = np.where((met == next_one[rows]).any(axis=0), next_one[rows], -1)
    rows = rows[(over[rows] >= 0) | (next_one[rows] >= 0)]
    seen = sees_sky(caster, outer.outside[rows], SKY)
    between = ~seen & (next_one[rows] >= 0)
    over[rows] = np.where(between, next_one[rows], over[rows])
    under[rows] = np.where(between, its_face[rows], under[rows])
    drop[rows] = np.where(between, its_drop[rows], drop[rows])
    # Underlay never sees the sky: its edge is open to what runs on the sheet below. So is that of a
    # sheet between two courses.
    underlay = surface.of_role(outer.part[rows], Role.UNDERLAY)
    open_ = (over[rows] >= 0) & (seen | underlay | between)
    rows, between = rows[open_], between[open_]
    foot = feet(surface, outer.middle[rows], down[rows], drop[rows], under[rows])
    upright = np.abs(surface.normals[under[rows], 2]) < FACING
    folds, leaves = _folds(surface, kinds, faces, far[4], found[4])
    above = np.where(near[0] >= 0, near[0], through_a_course(surface, far[1], found[1]))
    beyond = np.where(within_stack(surface, found[5]), -1, near[4])
    return Borders(
        outer.rows(rows), off_corners[rows], over[rows], foot, upright, between, hidden, above,
        near[1], beyond, far[1], far[2], folds, leaves, corners, near[2], kinds.onward[corners.origin],
        surface.of_role(np.arange(len(surface.part_names)), Role.FLASHING),
    )  # fmt: skip


def _open_pieces(surface: Surface, kinds: EdgeKinds) -> tuple[HalfEdges, Flags, Floats]:
    """Pieces of edge near a flashing, whether off a corner, and the way (n, 3) to the sheet below."""
    free, arrises = (
        edges.rows(_near_flashings(surface, edges)) for edges in (kinds.free, kinds.arrises)
    )
    (sheets, sheets_off), (bodies, bodies_off) = pieces(free), pieces(arrises)
    down = np.concatenate([-sheets.normal, bodies.normal])
    every, off = sheets.joined(bodies), np.append(sheets_off, bodies_off)
    near = _near_flashings(surface, every)
    return every.rows(near), off[near], down[near]


def _near_flashings(surface: Surface, edges: HalfEdges) -> Flags:
    """Which half-edges (n,) have bounds that come within `RESTING` of a flashing's bounds."""
    bounds = np.array([_bounds(surface, part) for part in surface.parts_with(Role.FLASHING)])
    near = np.zeros(len(edges), dtype=bool)
    if not len(bounds):
        return near
    low, high = np.minimum(edges.start, edges.end), np.maximum(edges.start, edges.end)
    least, most = bounds[:, 0].min(axis=0), bounds[:, 1].max(axis=0)
    some = np.flatnonzero(((high >= least) & (low <= most)).all(axis=1))
    low, high = low[some], high[some]
    for least, most in bounds:
        near[some] |= ((high >= least) & (low <= most)).all(axis=1)
    return near


def _bounds(surface: Surface, part: int) -> Floats:
    """Least and most (2, 3) [m] of a part, let out by `RESTING`."""
    points = surface.vertices[surface.faces[surface.face_part == part]].reshape(-1, 3)
    return np.stack([points.min(axis=0) - RESTING, points.max(axis=0) + RESTING])


def _folds(
    surface: Surface, kinds: EdgeKinds, faces: Ints, distance: Floats, below: Ints
) -> tuple[HalfEdges, Flags]:
    """Folds of flashings, as the lying face has them, and which parts (n, parts) they turn from:
    those that the cover on this side lies on and the panel beyond does not.

    distance, below (layers, k): what lies behind a spot on each of the `faces` (k,). What stands
    behind the stack's face is of no account: a sheet that lies on it lies on nothing within it.
    """
    part = np.where(within_stack(surface, below), -1, near_parts(surface, distance, below))
    lies = np.zeros((len(surface.faces), len(surface.part_names)), dtype=bool)
    layer, row = np.nonzero(part >= 0)
    lies[kinds.cover[faces[row]], part[layer, row]] = True
    leaves = lies[kinds.cover[kinds.folds.face]] & ~lies[kinds.cover[kinds.across]]
    some = np.flatnonzero(leaves.any(axis=1))
    cut, _ = pieces(kinds.folds.rows(some))
    return cut, leaves[some][cut.origin]


def _spots(surface: Surface, faces: Ints) -> tuple[Ints, Floats]:
    """Spots (k, 3) [m] on faces, and the face of each (k,): the middle of upright and of small ones, ten
    spread over larger ones, which may lie on crests with troughs between."""
    ends = surface.vertices[surface.faces[faces]]
    longest = np.linalg.norm(ends - np.roll(ends, 1, axis=1), axis=2).max(axis=1)
    share = np.array([(i, j, 3 - i - j) for i in range(4) for j in range(4 - i)])
    large = (longest > TROUGH) & (surface.normals[faces, 2] > FACING)
    spread = np.einsum("sk,nkx->nsx", (share + 1 / 3) / 4, ends[large]).reshape(-1, 3)
    every = np.concatenate([faces[~large], np.repeat(faces[large], len(share))])
    return every, np.concatenate([ends[~large].mean(axis=1), spread])
