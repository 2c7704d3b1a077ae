"""Contacts: where faces of different parts touch or cut each other, both are split along the line.

After that a contact is an edge like any other: the rules for creases, rims and corners hold there
too, and nothing has to be looked for while drops run. Gaps narrower than CLOSED are closed: the
resting face is brought down onto the one it rests on.
"""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.contact_pairs import meetings
from sim.contact_slivers import Face, without_slivers
from sim.nearby import leaders, near_lines, pairs_within
from sim.surface import Surface
from sim.tolerances import CLOSED, ON_LINE, WELD
from sim.tree import tree_of

MOST_PIECES = 250_000
"""A box that stands in a slope of half a million triangles makes some thousand."""


def join_contacts(surface: Surface) -> Surface:
    """The same surface with its contacts made edges; itself, unchanged, where it has none.

    Faces that meet are replaced by smaller ones that lie in them, after the others; corners that
    lie on a contact are shared by the parts that meet there. Raises SceneError for surfaces so tangled
    that they would fall into more than MOST_PIECES pieces.
    """
    pair, line = meetings(surface, tree_of(surface))
    if len(pair) == 0:
        return surface
    if not surface.solid.all():
        surface = only_solid(surface)
        pair, line = meetings(surface, tree_of(surface))
    return split_along(surface, pair, line, reach=1.5 * CLOSED)


def only_solid(surface: Surface) -> Surface:
    """The surface without what it leaves out of everything: one of two faces on the same corners
    must not come back when only the other is split."""
    if surface.solid.all():
        return surface
    return Surface.from_arrays(
        surface.vertices, surface.centre, surface.faces[surface.solid],
        surface.face_part[surface.solid], surface.part_names, surface.part_roles, surface.corners,
    )  # fmt: skip


def split_along(
    surface: Surface, pair: NDArray[np.integer], line: NDArray[np.float64], *, reach: float
) -> Surface:
    """The same surface with its faces split along lines; itself, unchanged, with no line.

    pair (k, 2): the two faces that have a line in common, or the same face twice; line (k, 2, 3)
    [m]: its ends, recentred; reach [m]: points this near to each other or to an edge are drawn
    together. Raises as `join_contacts` does.
    """
    if len(pair) == 0:
        return surface
    from sim.contact_split import split  # brings shapely, which is seldom needed

    joined = _Joined(surface, pair, line, reach)
    pieces: list[Face] = []
    owners: list[int] = []
    replaced = np.zeros(len(surface.faces), dtype=bool)
    for face in joined.affected():
        replaced[face] = True
        ring, lines = joined.outline(face), joined.lines.get(face, ())
        triangles = split(joined.vertices, surface.normals[face], ring, lines, joined.add)
        pieces.extend(triangles)
        owners.extend([face] * len(triangles))
        rule = f"at most {MOST_PIECES:,}: they are tangled"
        few = len(pieces) <= MOST_PIECES
        require(few, "pieces of faces that cut each other", len(pieces), rule, SceneError)
    pieces, owners = without_slivers(joined.vertices, pieces, owners)
    faces = np.concatenate([joined.faces()[~replaced], np.array(pieces)])
    part = np.concatenate([surface.face_part[~replaced], surface.face_part[owners]])
    vertices, corners = np.array(joined.vertices), np.array(joined.corners)
    return Surface.from_arrays(
        vertices, surface.centre, faces, part, surface.part_names, surface.part_roles, corners
    )


class _Joined:
    """Points of contacts, each one vertex, and what they change on each face."""

    def __init__(
        self,
        surface: Surface,
        pair: NDArray[np.integer],
        line: NDArray[np.float64],
        reach: float,
    ) -> None:
        self.surface, self.reach = surface, reach
        own = np.unique(surface.corners[surface.faces[np.unique(pair)]])
        spots = np.concatenate([surface.vertices[own], line.reshape(-1, 3)])
        host_corner = np.isin(own, surface.corners[surface.faces[np.unique(pair[:, 1])]])
        near = pairs_within(spots, reach)
        # Corners of the model are never drawn together, only contact points to them and to each other.
        root = leaders(len(spots), near[near[:, 1] >= len(own)])

        self.vertices: list[NDArray[np.float64]] = list(surface.vertices)
        self.corners: list[int] = [int(c) for c in surface.corners]
        self.moved: dict[int, int] = {}
        self.made: dict[tuple[int, ...], int] = {}
        spot_id = np.empty(len(spots), dtype=np.int64)
        for group in np.split(np.argsort(root, kind="stable"), np.flatnonzero(
            np.diff(np.sort(root))) + 1):  # fmt: skip
            points = group[group >= len(own)]
            if len(points) == 0:
                spot_id[group] = own[group]
                continue
            # A corner of a host keeps its place; else the contact's place, on the host, counts.
            hosts = [k for k in group if k < len(own) and host_corner[k]]
            place = spots[hosts[0]] if hosts else spots[points[0]]
            fresh = self.add(place)
            spot_id[group] = fresh
            for k in group[group < len(own)]:
                self.moved[int(own[k])] = fresh
        ends = spot_id[len(own) :].reshape(-1, 2)

        self.lines: dict[int, set[tuple[int, int]]] = {}
        self.on_edge: dict[tuple[int, int], set[int]] = {}
        for faces, chain in zip(pair, self._chains(ends), strict=True):
            for face in faces:
                for p, q in pairwise(chain):
                    if p != q:
                        self.lines.setdefault(int(face), set()).add((min(p, q), max(p, q)))
                self._find_on_edges(int(face), chain)

    def _chains(self, ends: NDArray[np.integer]) -> list[tuple[int, ...]]:
        """The points along each line (k, 2): its ends, and between them other lines' ends that lie on it.

        Where the edge of one sheet stands on the line in which two others meet, all three must have that
        point, or those two would be cut at places of their own beside it.
        """
        points = np.unique(ends)
        places = np.array([self.vertices[point] for point in points])
        start, stop = (np.array([self.vertices[point] for point in row]) for row in ends.T)
        way = stop - start
        size = np.linalg.norm(way, axis=1)
        line, point = near_lines(places, start, stop, min(self.reach, ON_LINE))
        # Lines whose ends were drawn together have no middle.
        long = size[line] > 0
        line, point = line[long], point[long]
        along = ((places[point] - start[line]) * way[line]).sum(axis=1) / size[line]
        within = (along > self.reach) & (along < size[line] - self.reach)
        between: dict[int, list[tuple[float, int]]] = {}
        for row, far, own in zip(line[within], along[within], points[point[within]], strict=True):
            between.setdefault(int(row), []).append((float(far), int(own)))
        return [
            (int(p), *(own for _, own in sorted(between.get(row, []))), int(q))
            for row, (p, q) in enumerate(ends)
        ]

    def add(self, place: NDArray[np.float64]) -> int:
        """A vertex, and corner, at a place (3,) [m]: the one made there before, if there is one.

        Where three faces meet in a point, each of them finds it as a crossing of its own lines.
        """
        x, y, z = np.round(np.asarray(place) / WELD).astype(np.int64).tolist()
        for near in product((x - 1, x, x + 1), (y - 1, y, y + 1), (z - 1, z, z + 1)):
            made = self.made.get(near)
            if made is not None and np.linalg.norm(self.vertices[made] - place) < WELD:
                return made
        self.made[x, y, z] = len(self.vertices)
        self.vertices.append(np.asarray(place))
        self.corners.append(len(self.corners))
        return len(self.corners) - 1

    def corner(self, vertex: int) -> int:
        """What a vertex of the old surface has become."""
        corner = int(self.surface.corners[vertex])
        return self.moved.get(corner, corner)

    def faces(self) -> NDArray[np.int32]:
        """The old faces (m, 3) by their corners, those that moved replaced."""
        onto = np.arange(len(self.surface.vertices))
        onto[list(self.moved)] = list(self.moved.values())
        return onto[self.surface.corners[self.surface.faces]].astype(np.int32)

    def _find_on_edges(self, face: int, points: tuple[int, ...]) -> None:
        ends = [self.corner(v) for v in self.surface.faces[face].tolist()]
        others = [point for point in points if point not in ends]
        # Two or three points and three edges: plain numbers are many times quicker than arrays of them.
        places = [self.vertices[point].tolist() for point in others]
        corners = [self.vertices[end].tolist() for end in ends]
        for i in range(3):
            (x, y, z), (bx, by, bz) = corners[i], corners[(i + 1) % 3]
            u, v, w = bx - x, by - y, bz - z
            size = u * u + v * v + w * w
            if size == 0:
                continue
            for point, (px, py, pz) in zip(others, places, strict=True):
                off = (px - x, py - y, pz - z)
                share = (off[0] * u + off[1] * v + off[2] * w) / size
                away = (
                    (off[0] - share * u) ** 2
                    + (off[1] - share * v) ** 2
                    + (off[2] - share * w) ** 2
                )
                if 0 < share < 1 and away < self.reach**2:
                    a, b = ends[i], ends[(i + 1) % 3]
                    self.on_edge.setdefault((min(a, b), max(a, b)), set()).add(point)

    def affected(self) -> list[int]:
        """Faces with a line of contact, or with a point of one on their border, in order."""
        faces, total = self.faces().astype(np.int64), len(self.vertices)
        after = np.roll(faces, -1, axis=1)
        keys = np.minimum(faces, after) * total + np.maximum(faces, after)
        hit = np.zeros(len(faces), dtype=bool)
        for side in keys.T:
            hit |= np.isin(side, [a * total + b for a, b in self.on_edge])
        hit[list(self.lines)] = True
        return [int(face) for face in np.flatnonzero(hit & self.surface.solid)]

    def outline(self, face: int) -> list[int]:
        """Corners and contact points round a face, in its own order."""
        ends = [self.corner(v) for v in self.surface.faces[face].tolist()]
        ring: list[int] = []
        for i in range(3):
            a, b = ends[i], ends[(i + 1) % 3]
            between = self.on_edge.get((min(a, b), max(a, b)), ())
            if not between:
                ring.append(a)
                continue
            start, way = self.vertices[a], self.vertices[b] - self.vertices[a]
            shares = sorted((float((self.vertices[p] - start) @ way), p) for p in between)
            ring += [a, *(p for _, p in shares)]
        return ring
