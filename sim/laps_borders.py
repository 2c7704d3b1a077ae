"""Borders and folds of sheets, cut into short pieces that laps are measured between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.compiled import compiled
from sim.laps_table import (
    ARRIS,
    CORNER,
    CORNER_SHARE,
    FOLD,
    GAP,
    HAIRPIN,
    INSIDE_EDGE,
    OUTSIDE_EDGE,
    RUN_TURN,
    STEP,
    STEP_UP,
)
from sim.nearby import groups
from sim.surface import Surface

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

NOT_STEEP = 0.6  # [1] a way inward over a wave's side rises no more (common practice, no source)
FAR_OFF = 1e9  # [m] where the corners of a border without corners stand


@dataclass(frozen=True, slots=True, eq=False)
class HalfEdges:
    """Half-edges: edges as one of their faces has them. All rows (n, ...), metres.

    face (n,) and part (n,); ends (n, 2) corners; start and end (n, 3) along the face's own turn;
    inward (n, 3) unit, in the face, square to the edge; normal (n, 3) of the face; run (n,): number
    of the straight run of border, -1 until `pieces` numbers them; doubled (n,): the sheet goes on
    across the edge, folded back on itself; origin (n,): row of the half-edge that a piece is cut
    from.
    """

    face: Ints
    part: Ints
    ends: Ints
    start: Floats
    end: Floats
    inward: Floats
    normal: Floats
    run: Ints
    doubled: Flags
    origin: Ints

    def rows(self, rows: Ints | Flags) -> HalfEdges:
        """Some of the half-edges."""
        if rows.dtype == np.bool_:
            rows = np.flatnonzero(rows)
        # `take` goes through whole rows several times faster than an index does.
        return HalfEdges(*(getattr(self, name).take(rows, axis=0) for name in self.__slots__))

    def joined(self, other: HalfEdges) -> HalfEdges:
        """These and then the others."""
        names = self.__slots__
        return HalfEdges(
            *(np.concatenate([getattr(self, name), getattr(other, name)]) for name in names)
        )

    def __len__(self) -> int:
        return len(self.face)

    @property
    def middle(self) -> Floats:
        """Middles (n, 3) [m]."""
        return (self.start + self.end) / 2

    @property
    def inside(self) -> Floats:
        """Points (n, 3) [m] just inside the sheet from the middles."""
        return self.middle + INSIDE_EDGE * self.inward

    @property
    def outside(self) -> Floats:
        """Points (n, 3) [m] just outside the sheet from the middles."""
        return self.middle - OUTSIDE_EDGE * self.inward

    @property
    def length(self) -> Floats:
        """Lengths (n,) [m]."""
        return np.linalg.norm(self.end - self.start, axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class EdgeKinds:
    """What the edges of a surface are to a lap.

    free: rims of sheets (flashing, underlay, open covering), also where a sheet is folded back on
    itself (a welt, a hem); arrises: convex rims of a covering that has a body; folds: bends that
    close a sheet's wet side by more than 45 degrees, and `across` the face beyond each; corners:
    bends that open it by as much, as a return has, and `onward` (n, 3) the way on beyond each, in
    the next face; cover (m,): number of the cover of each face: faces that hang together with no bend
    above 45 degrees, or over the low step where a cover is dressed down over a nose.
    """

    free: HalfEdges
    arrises: HalfEdges
    folds: HalfEdges
    across: Ints
    corners: HalfEdges
    onward: Floats
    cover: Ints


def edge_kinds(surface: Surface) -> EdgeKinds:
    """Sort a surface's half-edges by what they are to a lap: of covering, flashing and underlay."""
    wanted = surface.of_role(surface.face_part, Role.FLASHING, Role.COVERING, Role.UNDERLAY)
    faces = np.flatnonzero(surface.solid & wanted)
    edges = _half_edges(surface, faces)
    mate = _mates(edges, len(surface.vertices))
    single, pair = np.flatnonzero(mate == -1), np.flatnonzero(mate >= 0)
    mine, other = edges.rows(pair), edges.rows(mate[pair])
    turn = np.arccos(np.clip((mine.normal * other.normal).sum(axis=1), -1, 1))
    convex = (mine.normal * other.inward).sum(axis=1) < 0
    covering = surface.of_role(mine.part, Role.COVERING)
    flat = turn <= FOLD
    panel = _panels(len(surface.faces), mine.face[flat], other.face[flat])
    doubled = ~flat & ~covering
    doubled[doubled] = _doubled_back(surface, mine.rows(doubled), other.rows(doubled), panel)
    edges.doubled[pair[doubled]] = True
    bend = ~flat & ~doubled & ~covering
    fold, corner = bend & ~convex, bend & convex
    cover = _covers(surface, mine.rows(bend), other.rows(bend), panel)
    return EdgeKinds(
        free=edges.rows(np.sort(np.concatenate([single, pair[doubled]]))),
        arrises=edges.rows(pair[(turn > ARRIS) & convex & covering]),
        folds=edges.rows(pair[fold]),
        across=other.face[fold],
        corners=edges.rows(pair[corner]),
        onward=other.inward[corner],
        cover=cover,
    )


def pieces(edges: HalfEdges) -> tuple[HalfEdges, Flags]:
    """Cut half-edges into short pieces (`STEP`); the flag says which lie off the ends of their run.

    An odd number of pieces, so that one lies in the middle of the shortest run.
    """
    if not len(edges):
        return edges, np.zeros(0, dtype=bool)
    count = np.ceil(edges.length / STEP - 1e-9).astype(int) // 2 * 2 + 1
    row = np.repeat(np.arange(len(edges)), count)
    at = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
    along = (edges.end - edges.start)[row]
    low, high = (at / count[row])[:, None], ((at + 1) / count[row])[:, None]
    cut = edges.rows(row)
    run, corner, margin = _run_ends(edges)
    made = HalfEdges(
        cut.face, cut.part, cut.ends, cut.start + low * along, cut.start + high * along,
        cut.inward, cut.normal, run[row], cut.doubled, row,
    )  # fmt: skip
    away = np.full(len(row), np.inf)
    for side in range(2):
        gap = np.linalg.norm(made.middle - corner[run[row], side], axis=1)
        away = np.minimum(away, gap - margin[run[row]])
    return made, away >= 0


def _run_ends(edges: HalfEdges) -> tuple[Ints, Floats, Floats]:
    """Run of each half-edge (n,), the corners (k, 2, 3) in which runs end (far off for a ring), and
    the length (k,) [m] to leave out there."""
    run = _run_numbers(edges)
    count = int(run.max()) + 1
    margin = np.minimum(CORNER, CORNER_SHARE * np.bincount(run, edges.length, count))
    points = np.concatenate([edges.start, edges.end])
    key = np.concatenate([edges.ends[:, 0], edges.ends[:, 1]])
    both = np.tile(run, 2)
    order = np.lexsort((key, both))
    same = (key[order][1:] == key[order][:-1]) & (both[order][1:] == both[order][:-1])
    alone = order[~(np.append(False, same) | np.append(same, False))]
    corner = np.full((count, 2, 3), FAR_OFF)
    first = np.append(True, both[alone][1:] != both[alone][:-1])[: len(alone)]
    corner[both[alone[first]], 0] = points[alone[first]]
    corner[both[alone[~first]], 1] = points[alone[~first]]
    return run, corner, margin


def _half_edges(surface: Surface, faces: Ints) -> HalfEdges:
    face = np.repeat(faces, 3)
    place = np.tile(np.arange(3), len(faces))
    here, there = surface.faces[face, place], surface.faces[face, (place + 1) % 3]
    start, end = surface.vertices[here], surface.vertices[there]
    normal = surface.normals[face]
    inward = np.cross(normal, end - start)
    inward /= np.linalg.norm(inward, axis=1)[:, None]
    ends = np.column_stack([surface.corners[here], surface.corners[there]]).astype(np.int64)
    part = surface.face_part[face].astype(np.int64)
    unnumbered, plain = np.full(len(face), -1, dtype=np.int64), np.zeros(len(face), dtype=bool)
    return HalfEdges(
        face, part, ends, start, end, inward, normal, unnumbered, plain, np.arange(len(face))
    )


def _panels(count: int, first: Ints, second: Ints) -> Ints:
    return groups(count, np.column_stack([first, second]))


def _doubled_back(surface: Surface, mine: HalfEdges, other: HalfEdges, panel: Ints) -> Flags:
    """Whether a sheet turns back on itself across each bend: at once, or over one narrow strip."""
    back = np.cos(HAIRPIN)
    found = (mine.normal * other.normal).sum(axis=1) < back
    for rows in _strips(surface, other, panel, GAP, beside=True):
        found[rows] |= (mine.normal[rows] @ mine.normal[rows].T < back).any(axis=1)
    return found


def _mates(edges: HalfEdges, vertices: int) -> Ints:
    """The half-edge on the edge's other side, -1 for a rim, -2 where more than two faces meet."""
    low, high = edges.ends.min(axis=1), edges.ends.max(axis=1)
    _, edge, size = np.unique(low * vertices + high, return_inverse=True, return_counts=True)
    order = np.argsort(edge, kind="stable")
    mate = np.where(size[edge] == 1, -1, -2)
    first = np.flatnonzero(size[edge[order[:-1]]] == 2) if len(order) else np.zeros(0, int)
    first = first[edge[order[first]] == edge[order[first + 1]]]
    mate[order[first]] = order[first + 1]
    mate[order[first + 1]] = order[first]
    return mate.astype(np.int64)


def _run_numbers(edges: HalfEdges) -> Ints:
    """Number of the straight run (n,) each half-edge lies in: linked where ends meet and go on."""
    count = len(edges)
    at = np.concatenate([edges.ends[:, 0], edges.ends[:, 1]])
    row = np.tile(np.arange(count), 2)
    order = np.lexsort((row, at))
    at, row = at[order], row[order]
    links_a, links_b = [], []
    for reach in (1, 2, 3):
        a, b = row[:-reach], row[reach:]
        close = (at[:-reach] == at[reach:]) & (edges.part[a] == edges.part[b])
        close &= go_on(edges.inward[a], edges.inward[b])
        links_a.append(a[close])
        links_b.append(b[close])
    return groups(count, np.column_stack([np.concatenate(links_a), np.concatenate(links_b)]))


def go_on(one: Floats, other: Floats) -> Flags:
    """Whether borders with these unit ways inward (n, 3) go on from each other (n,): alike in space, or
    in plan where neither is steep, as where a cover in waves steps over a nose."""
    alike = (one * other).sum(axis=1) > np.cos(RUN_TURN)
    plan, other_plan = one[:, :2], other[:, :2]
    size, other_size = np.linalg.norm(plan, axis=1), np.linalg.norm(other_plan, axis=1)
    flat = (np.abs(one[:, 2]) < NOT_STEEP) & (np.abs(other[:, 2]) < NOT_STEEP)
    return alike | (flat & ((plan * other_plan).sum(axis=1) > np.cos(RUN_TURN) * size * other_size))


def _strips(
    surface: Surface, other: HalfEdges, panel: Ints, widest: float, *, beside: bool
) -> list[list[int]]:
    """Rows of bends, given as the faces across them have them, for each panel across that is a narrow
    strip of at most `widest` [m], measured from the bend's line; beside: from the bend, beside it only."""
    tip = surface.vertices[surface.faces[other.face]] - other.start[:, None]
    breadth = np.abs(np.einsum("ijk,ik->ij", tip, other.inward)).max(axis=1)
    order = np.argsort(panel, kind="stable")
    first = np.searchsorted(panel[order], panel[other.face])
    last = np.searchsorted(panel[order], panel[other.face], side="right")
    rows = np.flatnonzero(breadth <= widest)
    narrow = np.zeros(len(rows), np.bool_)
    _are_narrow(
        surface.vertices, surface.faces, order, first[rows], last[rows],
        other.start[rows], other.end[rows], other.inward[rows], widest, beside, narrow,
    )  # fmt: skip
    strips: dict[int, list[int]] = {}
    for row in rows[narrow].tolist():
        strips.setdefault(int(panel[other.face[row]]), []).append(row)
    return list(strips.values())


@compiled
def _are_narrow(vertices, faces, order, first, last, start, end, inward, widest, beside, narrow):  # type: ignore[no-untyped-def]
    """Whether the faces order[first:last] of each row lie within `widest` of its line; beside: only as far
    as they lie beside its edge. A hem in waves is narrow beside each of its edges, and no line goes
    along all of it."""
    at, off = np.empty(3), np.empty(3)
    for i in range(len(first)):
        narrow[i] = True
        along = end[i] - start[i]
        size = along[0] ** 2 + along[1] ** 2 + along[2] ** 2
        for k in range(first[i], last[i]):
            for corner in range(3):
                at[corner], off[corner] = 0.0, 0.0
                for c in range(3):
                    way = vertices[faces[order[k], corner], c] - start[i, c]
                    at[corner] += way * along[c] / size
                    off[corner] += way * inward[i, c]
            for p in range(3):
                q = (p + 1) % 3
                if abs(off[p]) > widest and (not beside or 0.0 <= at[p] <= 1.0):
                    narrow[i] = False
                for stop in (0.0, 1.0):
                    if beside and (at[p] - stop) * (at[q] - stop) < 0:
                        share = (stop - at[p]) / (at[q] - at[p])
                        if abs(off[p] + share * (off[q] - off[p])) > widest:
                            narrow[i] = False
            if not narrow[i]:
                break


def _covers(surface: Surface, mine: HalfEdges, other: HalfEdges, panel: Ints) -> Ints:
    """Panels (m,) joined over the strips where a cover steps down from one lying panel to the next."""
    first, second = [], []
    for rows in _strips(surface, other, panel, STEP_UP, beside=False):
        rows = [row for row in rows if mine.normal[row, 2] > other.normal[row, 2]]
        alike = mine.normal[rows] @ mine.normal[rows].T > np.cos(RUN_TURN)
        for row, others in zip(rows, alike, strict=True):
            if np.ptp(panel[mine.face[np.array(rows)[others]]]) > 0:
                first.append(panel[mine.face[row]])
                second.append(panel[other.face[row]])
    count = int(panel.max()) + 1
    return _panels(count, np.array(first, dtype=np.int64), np.array(second, dtype=np.int64))[panel]
