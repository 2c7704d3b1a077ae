"""Which edges of the sheets are open to the weather, which lead behind, and what lies over what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from meshes.parts import Role
from sim.cast import RayCaster
from sim.laps_borders import EdgeKinds, Flags, Floats, HalfEdges, Ints, edge_kinds, pieces
from sim.laps_table import GAP, RESTING, SKY, TROUGH
from sim.openness import layers, sees_sky
from sim.surface import Surface

DEEPEST = 5  # sheets that may lie between a sheet and one that covers it: a welted joint has four
FACING = 0.5  # cosine: two sheets lap when they lie within 60 degrees of parallel
LIFT = 1e-6  # [m] how far off its own sheet a ray starts


@dataclass(frozen=True, slots=True, eq=False)
class Borders:
    """Open edges, the part (`over`) that they lie over and where they stand on it (`foot` (n, 3)
    [m]); hidden edges, the parts above and below them and how far off [m] (layers, n); folds and
    the parts (n, parts) that they turn away from; corners of returns, the parts above them (layers,
    n) and the way on beyond each (n, 3)."""

    outer: HalfEdges
    off_corners: Flags
    over: Ints
    foot: Floats
    upright: Flags
    hidden: HalfEdges
    above: Ints
    below: Ints
    up: Floats
    down: Floats
    folds: HalfEdges
    leaves: Flags
    corners: HalfEdges
    corners_above: Ints
    onward: Floats

    def under(self, upper: int, lower: int) -> tuple[HalfEdges, Floats]:
        """Borders of one part that lie under another, and the thickness (n,) [m] of what the upper
        part is folded round where it lies on both sides of the border, 0 elsewhere."""
        over = self.above == upper
        rows = np.flatnonzero((self.hidden.part == lower) & over.any(axis=0))
        over, behind = over[:, rows], self.below[:, rows] == upper
        up = np.where(over, self.up[:, rows], np.inf).min(axis=0)
        down = np.where(behind, self.down[:, rows], np.inf).min(axis=0)
        return self.hidden.rows(rows), np.where(np.isfinite(down), up + down, 0.0)

    def corners_under(self, upper: int, lower: int) -> tuple[HalfEdges, Floats]:
        """Corners of one part that lie under another, and the way on beyond each."""
        rows = np.flatnonzero(
            (self.corners.part == lower) & (self.corners_above == upper).any(axis=0)
        )
        return self.corners.rows(rows), self.onward[rows]


def look_round(surface: Surface, caster: RayCaster) -> Borders:
    """Cast rays from all edges that laps are measured between."""
    kinds = edge_kinds(surface)
    outer, off_corners, down = _open_pieces(surface, kinds)
    flashing = surface.parts_with(Role.FLASHING)
    hidden, whole = pieces(kinds.free.rows(np.isin(kinds.free.part, flashing)))
    hidden = hidden.rows(whole)
    corners, _ = pieces(kinds.corners)
    faces = np.flatnonzero(np.isin(surface.face_part, flashing) & surface.solid)
    faces, spots = _spots(surface, faces)
    back = -surface.normals[faces]
    looks = [
        (outer.inside, down),
        (outer.outside, down),
        (hidden.inside, hidden.normal),
        (hidden.inside, -hidden.normal),
        (corners.inside, corners.normal),
        (spots, back),
    ]
    points, ways = (np.concatenate(each) for each in zip(*looks, strict=True))
    cuts = np.cumsum([len(way) for _, way in looks])[:-1]
    distance, face = layers(caster, surface, points + LIFT * ways, ways, RESTING, DEEPEST)
    far, found = np.split(distance + LIFT, cuts, axis=1), np.split(face, cuts, axis=1)
    near = [_near(surface, d, f) for d, f in zip(far, found, strict=True)]
    over, under, drop = _first_other(surface, outer, down, far[0], found[0])
    # Where two edges lie flush nothing runs on the lower sheet to the upper's edge.
    over = np.where((near[1] == over).any(axis=0), over, -1)
    rows = np.flatnonzero(over >= 0)
    # Underlay never sees the sky: its edge is open to what runs on the sheet below.
    underlay = np.isin(outer.part[rows], surface.parts_with(Role.UNDERLAY))
    rows = rows[sees_sky(caster, surface, outer.outside[rows], SKY) | underlay]
    foot = _feet(surface, outer.middle[rows], down[rows], drop[rows], under[rows])
    upright = np.abs(surface.normals[under[rows], 2]) < FACING
    folds, leaves = _folds(surface, kinds, faces, far[5], found[5])
    return Borders(
        outer.rows(rows), off_corners[rows], over[rows], foot, upright, hidden, near[2], near[3],
        far[2], far[3], folds, leaves, corners, near[4], kinds.onward[corners.origin],
    )  # fmt: skip


def _open_pieces(surface: Surface, kinds: EdgeKinds) -> tuple[HalfEdges, Flags, Floats]:
    """Pieces of edge near a flashing, whether off a corner, and the way (n, 3) to the sheet below."""
    sheets, sheets_off = pieces(_near_flashings(surface, kinds.free))
    bodies, bodies_off = pieces(_near_flashings(surface, kinds.arrises))
    down = np.concatenate([-sheets.normal, bodies.normal])
    return sheets.joined(bodies), np.append(sheets_off, bodies_off), down


def _near_flashings(surface: Surface, edges: HalfEdges) -> HalfEdges:
    """Half-edges whose bounds come within `RESTING` of a flashing's bounds."""
    low, high = np.minimum(edges.start, edges.end), np.maximum(edges.start, edges.end)
    near = np.zeros(len(edges), dtype=bool)
    for part in surface.parts_with(Role.FLASHING):
        points = surface.vertices[surface.faces[surface.face_part == part]].reshape(-1, 3)
        least, most = points.min(axis=0) - RESTING, points.max(axis=0) + RESTING
        near |= ((high >= least) & (low <= most)).all(axis=1)
    return edges.rows(near)


def _first_other(
    surface: Surface, edges: HalfEdges, down: Floats, distance: Floats, face: Ints
) -> tuple[Ints, Ints, Floats]:
    """Part and face (n,) that a piece of edge lies over, and how far [m]: the first of another
    part, when it shows its wet side and the rule book can have a rule for the two; -1 otherwise.

    A sheet that is folded round another lies over it, but its bend is no edge that water gets
    under: where a sheet is doubled back, the first below it must be itself.
    """
    part = _parts(surface, face)
    other = (part >= 0) & (part != edges.part)
    layer = np.where(other.any(axis=0), other.argmax(axis=0), 0)
    rows = np.arange(len(edges))
    bend_over_another = edges.doubled & (layer == 0)
    part, face, distance = part[layer, rows], face[layer, rows], distance[layer, rows]
    flashing = np.isin(edges.part, surface.parts_with(Role.FLASHING))
    on_covering = np.isin(part, surface.parts_with(Role.COVERING)) & flashing
    on_flashing = np.isin(part, surface.parts_with(Role.FLASHING))
    near = distance <= np.where(on_covering, RESTING, GAP)
    wet = (surface.normals[face] * down).sum(axis=1) < -FACING
    ok = other.any(axis=0) & near & wet & (on_covering | on_flashing) & ~bend_over_another
    return np.where(ok, part, -1), face, distance


def _feet(surface: Surface, middle: Floats, down: Floats, drop: Floats, under: Ints) -> Floats:
    """Where edges stand on the sheets below (n, 3) [m]: straight below on a lying sheet, as a nose
    does, and squarely behind on an upright one."""
    square = middle + down * drop[:, None]
    normal = surface.normals[under]
    lies = normal[:, 2] > FACING
    fall = ((middle - square) * normal).sum(axis=1) / np.where(lies, normal[:, 2], 1.0)
    below = middle - fall[:, None] * np.array([0.0, 0.0, 1.0])
    return np.where(lies[:, None], below, square)


def _folds(
    surface: Surface, kinds: EdgeKinds, faces: Ints, distance: Floats, below: Ints
) -> tuple[HalfEdges, Flags]:
    """Folds of flashings, as the lying face has them, and which parts (n, parts) they turn from:
    those that the cover on this side lies on and the panel beyond does not.

    distance, below (layers, k): what lies behind a spot on each of the `faces` (k,). What stands
    behind the stack's face is of no account: a sheet that lies on it lies on nothing within it.
    """
    stack = np.isin(_parts(surface, below), surface.parts_with(Role.STACK))
    part = np.where(np.logical_or.accumulate(stack, axis=0), -1, _near(surface, distance, below))
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


def _near(surface: Surface, distance: Floats, face: Ints) -> Ints:
    """Parts of the faces met: within the gap, or a little farther off for a covering; -1 for none."""
    part = _parts(surface, face)
    covering = np.isin(part, surface.parts_with(Role.COVERING))
    return np.where((distance <= GAP) | covering, part, -1)


def _parts(surface: Surface, face: Ints) -> Ints:
    return np.where(face >= 0, surface.face_part[face], -1)
