"""A folded piece laid flat: as few flat sheets as possible, none of which lies over itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from meshes.blank import Bend
from meshes.sheet import Facets, in_plane, normal_of
from scenes.cutting.apart import may_overlap

OVERLAP = 1e-8  # [m2] panels that share less lie beside each other
SLIVER = 1e-5  # [m2] less than this is trimmed off a panel's edge, more can't come out of one sheet
NECK = 0.010  # [m] a shorter common edge is no hold for a panel
ON_GRID = 1e-9  # [m] for sure overlays corners are put on a grid so fine
SAME_PLACE = 1e-7  # [m] edges of two panels so near to each other are one edge
FLAT_ANGLE = 1e-6  # [rad] panels that turn by less are one plane
AT_ONCE = 4  # [1] pairs of panels looked at together: one that lies deep in another settles it
LIP = 0.008  # [m] a narrower panel is a lip, an edge dressed to what lies below
SHORT_LIP = 2e-4  # [m2] and never parts wider ones where it is no larger

Edge = tuple[int, int]
Panels = dict[int, NDArray[np.float64]]


@dataclass(frozen=True, slots=True, eq=False)
class Flat:
    """Panels of one piece that come out of one sheet, seen from the wet side.

    facets: the piece's facet that each panel is; points: that facet's points; panels: corners (k, 2)
    [m] in their order; bends: between facets, as `meshes.blank.Bend` has them, the first panel to the
    left of the line, those of no angle left out; outlines: rings of corners [m], anticlockwise outside,
    clockwise round a hole; trimmed: area [m2] of slivers that two of its panels would both need, and that
    the outlines have once.
    """

    facets: tuple[int, ...]
    names: tuple[str, ...]
    points: tuple[tuple[int, ...], ...]
    panels: tuple[NDArray[np.float64], ...]
    bends: tuple[Bend, ...]
    outlines: tuple[NDArray[np.float64], ...]
    trimmed: float

    @property
    def area(self) -> float:
        """Area of all panels [m2]."""
        return float(sum(signed_area(panel) for panel in self.panels))


@dataclass(frozen=True, slots=True)
class Joint:
    """An edge of two panels that lie together on the folded piece and apart in the flat: no sheet has
    them joined. panels: facets of the piece; edge: two of its points; length [m]; apart: whether in
    two flat sheets."""

    panels: Edge
    edge: Edge
    length: float
    apart: bool


def lay_flat(sheet: Facets) -> tuple[tuple[Flat, ...], tuple[Joint, ...]]:
    """Flat sheets of a folded piece, largest first, and the joints that must be worked.

    Panels stay together across their longest common edges; where that would lay one over another they
    are parted. Every panel keeps its shape, so that areas and lengths are those of the folded piece.
    """
    shared = _shared(sheet)
    group_of, held = _grouped(sheet, shared)
    groups: dict[int, Panels] = {}
    for group in group_of.values():
        groups.setdefault(min(group), group)
    closed = {
        pair for pair in shared
        if pair not in held and group_of[pair[0]] is group_of[pair[1]]
        and any(_meet(sheet, group_of[pair[0]], pair, edge) for edge in shared[pair])
    }  # fmt: skip
    joined = held | closed
    flats = [_flat(sheet, group, shared, joined) for group in groups.values()]
    joints = []
    for pair, edges in shared.items():
        together = group_of[pair[0]] is group_of[pair[1]]
        joints += [
            Joint(pair, edge, _length(sheet, edge), not together)
            for edge in edges
            if not (together and pair in joined and _meet(sheet, group_of[pair[0]], pair, edge))
        ]
    return tuple(sorted(flats, key=lambda flat: (-round(flat.area, 9), flat.facets))), tuple(joints)


def _grouped(sheet: Facets, shared: dict[Edge, list[Edge]]) -> tuple[dict[int, Panels], set[Edge]]:
    """The flat sheet in which each facet lies, and the pairs of facets that hold those together."""
    group_of: dict[int, Panels] = {
        facet: {facet: in_plane(sheet.points[list(row)])}
        for facet, row in enumerate(sheet.polygons)
    }
    lips = {facet for facet, own in group_of.items() if _is_lip(own[facet])}
    held: set[Edge] = set()
    for pair in _longest_first(shared, sheet, lips):
        still, other = group_of[pair[0]], group_of[pair[1]]
        if still is other:
            continue
        if len(still) < len(other):
            still, other = other, still
        lip = bool(lips & set(pair))
        if not lip and sum(_length(sheet, edge) for edge in shared[pair]) < NECK:
            continue
        moved = _brought(sheet, still, other, pair, shared[pair][0])
        if _lie_over(still, moved, OVERLAP if lip else SLIVER):
            continue
        still |= moved
        group_of |= dict.fromkeys(moved, still)
        held.add(pair)
    return group_of, held


def signed_area(corners: NDArray[np.float64]) -> float:
    """Area [m2] within a ring of corners (k, 2), below nought where it runs clockwise."""
    x, y = (corners[1:] - corners[0]).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)


def _shared(sheet: Facets) -> dict[Edge, list[Edge]]:
    """Edges (two points each) that two facets share, longest first, by the two facets."""
    owners: dict[Edge, list[int]] = {}
    for facet, row in enumerate(sheet.polygons):
        for a, b in zip(row, row[1:] + row[:1], strict=True):
            owners.setdefault((min(a, b), max(a, b)), []).append(facet)
    found: dict[Edge, list[Edge]] = {}
    for edge, facets in sorted(owners.items()):
        if len(facets) == 2 and facets[0] != facets[1]:
            found.setdefault((min(facets), max(facets)), []).append(edge)
    for edges in found.values():
        edges.sort(key=lambda edge: (-round(_length(sheet, edge), 9), edge))
    return found


def _longest_first(shared: dict[Edge, list[Edge]], sheet: Facets, lips: set[int]) -> list[Edge]:
    """Pairs of facets, those with a lip after those without, then those with most edge in common."""

    def order(pair: Edge) -> tuple[bool, float, Edge]:
        length = sum(_length(sheet, edge) for edge in shared[pair])
        return bool(lips & set(pair)), -round(length, 9), pair

    return sorted(shared, key=order)


def _is_lip(panel: NDArray[np.float64]) -> bool:
    longest = np.linalg.norm(np.roll(panel, -1, axis=0) - panel, axis=1).max()
    area = abs(signed_area(panel))
    return bool(area < LIP * longest and area < SHORT_LIP)


def _length(sheet: Facets, edge: Edge) -> float:
    return float(np.linalg.norm(sheet.points[edge[1]] - sheet.points[edge[0]]))


def _place(sheet: Facets, group: Panels, facet: int, edge: Edge) -> NDArray[np.float64]:
    """Where an edge of a facet lies in the flat: (2, 2) [m]."""
    row = sheet.polygons[facet]
    return group[facet][[row.index(edge[0]), row.index(edge[1])]]


def _brought(
    sheet: Facets,
    still: Panels,
    other: Panels,
    pair: Edge,
    edge: Edge,
) -> Panels:
    """A group of panels turned and shifted so that an edge of one lies on the same edge of another's."""
    if pair[0] not in still:
        pair = pair[::-1]
    (a, b), (c, d) = (
        _place(sheet, group, facet, edge) for group, facet in zip((still, other), pair, strict=True)
    )
    turn = complex(*(b - a)) / complex(*(d - c))
    turn /= abs(turn)
    matrix = np.array([[turn.real, turn.imag], [-turn.imag, turn.real]])
    middle = (a + b) / 2
    return {facet: (panel - (c + d) / 2) @ matrix + middle for facet, panel in other.items()}


def _lie_over(one: Panels, two: Panels, most: float) -> bool:
    """Whether panels of one group share more area [m2] than that with those of another."""
    first, second = list(one.values()), list(two.values())
    pairs = list(zip(*may_overlap(first, second), strict=True))
    total = 0.0
    while pairs and total <= most:
        some, pairs = pairs[:AT_ONCE], pairs[AT_ONCE:]
        a, b = _polygons([first[k] for k, _ in some]), _polygons([second[k] for _, k in some])
        doubtful = shapely.area(shapely.intersection(a, b)) > OVERLAP
        if doubtful.any():
            # Edges that lie on each other upset the overlay at times: on a grid they don't, but that is slow.
            sure = shapely.intersection(a[doubtful], b[doubtful], grid_size=ON_GRID)
            total += float(shapely.area(sure).sum())
    return total > most


def _polygons(panels: Sequence[NDArray[np.float64]]) -> NDArray[np.object_]:
    sizes = [len(panel) for panel in panels]
    owner = np.repeat(np.arange(len(sizes)), sizes)
    rings = shapely.linearrings(np.vstack(panels), indices=owner)
    return np.asarray(shapely.polygons(rings))


def _meet(sheet: Facets, group: Panels, pair: Edge, edge: Edge) -> bool:
    first, second = (_place(sheet, group, facet, edge) for facet in pair)
    return bool(np.abs(first - second).max() < SAME_PLACE)


def _flat(
    sheet: Facets,
    group: Panels,
    shared: dict[Edge, list[Edge]],
    joined: set[Edge],
) -> Flat:
    bends, inner = [], set()
    for pair in sorted(joined):
        if pair[0] not in group:
            continue
        for edge in shared[pair]:
            if not _meet(sheet, group, pair, edge):
                continue
            inner.add(edge)
            along = _along(sheet.polygons[pair[0]], edge)
            angle = _turn(sheet, pair, along)
            if abs(angle) > FLAT_ANGLE:
                bends.append(Bend(pair, _place(sheet, group, pair[0], along), angle))
    facets = tuple(sorted(group))
    rings = _rings(sheet, group, inner)
    area = sum(signed_area(panel) for panel in group.values())
    trimmed = 0.0
    if not shapely.Polygon(rings[0], rings[1:]).is_valid:
        once = _trimmed(sheet, group)
        trimmed = area - sum(signed_area(ring) for ring in once)
        rings = once if trimmed > OVERLAP else rings
    return Flat(
        facets,
        tuple(sheet.names[facet] for facet in facets),
        tuple(sheet.polygons[facet] for facet in facets),
        tuple(group[facet] for facet in facets),
        tuple(bends),
        rings,
        trimmed if trimmed > OVERLAP else 0.0,
    )


def _trimmed(sheet: Facets, group: Panels) -> tuple[NDArray[np.float64], ...]:
    """Rings round the panels, what two of them share counted once."""
    whole = shapely.union_all(
        _polygons(list(_one_place_each(sheet, group).values())), grid_size=ON_GRID
    )
    found = []
    for one in shapely.get_parts(whole):
        turned = shapely.geometry.polygon.orient(one)
        rings = [np.asarray(ring.coords)[:-1] for ring in (turned.exterior, *turned.interiors)]
        found += [_without_straights(ring) for ring in rings if abs(signed_area(ring)) > OVERLAP]
    return tuple(sorted(found, key=lambda ring: -abs(signed_area(ring))))


def _one_place_each(sheet: Facets, group: Panels) -> Panels:
    """The panels with points that are one put in exactly one place, or rounding would part them."""
    places: dict[int, list[NDArray[np.float64]]] = {}
    found: Panels = {}
    for facet, panel in group.items():
        corners = []
        for point, corner in zip(sheet.polygons[facet], panel, strict=True):
            known = places.setdefault(point, [])
            near = [one for one in known if np.abs(one - corner).max() < SAME_PLACE]
            if not near:
                known.append(corner)
            corners.append(near[0] if near else corner)
        found[facet] = np.array(corners)
    return found


def _along(row: tuple[int, ...], edge: Edge) -> Edge:
    """An edge in the direction in which a facet's ring runs along it."""
    return edge if row[(row.index(edge[0]) + 1) % len(row)] == edge[1] else edge[::-1]


def _turn(sheet: Facets, pair: Edge, edge: Edge) -> float:
    """Turn from flat over an edge, along the first facet's ring [rad], above nought where the wet side
    closes."""
    axis = sheet.points[edge[1]] - sheet.points[edge[0]]
    first, second = (normal_of(sheet.points[list(sheet.polygons[facet])]) for facet in pair)
    return -float(np.arctan2(np.cross(first, second) @ axis / np.linalg.norm(axis), first @ second))


def _rings(sheet: Facets, group: Panels, inner: set[Edge]) -> tuple[NDArray[np.float64], ...]:
    """Rings along the edges that no bend joins: from edge to edge round each corner of the sheet."""
    after: dict[tuple[int, Edge], tuple[int, Edge]] = {}
    place: dict[tuple[int, Edge], NDArray[np.float64]] = {}
    owner: dict[Edge, int] = {}
    for facet in sorted(group):
        row = sheet.polygons[facet]
        edges = list(zip(row, row[1:] + row[:1], strict=True))
        for at, edge in enumerate(edges):
            after[facet, edge] = (facet, edges[(at + 1) % len(edges)])
            place[facet, edge] = group[facet][at]
            owner[edge] = facet
    outer = [one for one in after if (min(one[1]), max(one[1])) not in inner]
    left, rings = dict.fromkeys(outer), []
    while left:
        start = now = next(iter(left))
        ring = []
        while True:
            left.pop(now)
            ring.append(place[now])
            now = after[now]
            while (min(now[1]), max(now[1])) in inner:
                back = now[1][::-1]
                now = after[owner[back], back]
            if now == start:
                break
        rings.append(_without_straights(np.array(ring)))
    return tuple(sorted(rings, key=lambda ring: -abs(signed_area(ring))))


def _without_straights(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    """A ring without the corners at which it goes straight on."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    ahead = (before * after).sum(axis=1) > 0
    size = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
    return ring[~(ahead & (np.abs(cross) < SAME_PLACE * size))]
