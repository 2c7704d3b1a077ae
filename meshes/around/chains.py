"""Runs of a plan's edges that take one piece, told by the edges' directions alone."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby, pairwise

from meshes.errors import require
from meshes.plan import Corner, Kind, Plan, kind_of

LEVEL = 0.0087  # [1] an edge that rises less than half a degree is level
NO_SLIVER = 0.020  # [m] a run is not cut nearer than this to a corner up the slope

NAMES = {
    Kind.FRONT: "front apron",
    Kind.LEFT: "left side flashing",
    Kind.RIGHT: "right side flashing",
    Kind.BACK: "back gutter",
}


@dataclass(frozen=True, slots=True)
class Chain:
    """A run of the outline, anticlockwise seen from above, that takes one piece."""

    kind: Kind
    points: tuple[Corner, ...]

    @property
    def name(self) -> str:
        """As the piece is called."""
        return NAMES[self.kind]

    @property
    def start(self) -> Corner:
        """Its end on the left, seen from below the stack; of the run behind it, on the right."""
        return self.points[0]

    @property
    def end(self) -> Corner:
        """Its other end."""
        return self.points[-1]


@dataclass(frozen=True, slots=True)
class Chains:
    """under: those that shed water down the slope, from left to right; back: what catches it."""

    under: tuple[Chain, ...]
    back: Chain | None

    def neighbours(self) -> tuple[tuple[Chain, Chain], ...]:
        """Pairs of runs that meet at a corner, in the order of going round."""
        pairs = list(zip(self.under, self.under[1:], strict=False))
        if self.back is not None:
            pairs += [(self.under[-1], self.back), (self.back, self.under[0])]
        return tuple(pairs)


def level_edge(chain: Chain) -> tuple[Corner, Corner] | None:
    """The longest edge of a run that rises by less than half a degree, None where none does."""
    level = [
        (a, b) for a, b in pairwise(chain.points) if abs(b[1] - a[1]) < LEVEL * abs(b[0] - a[0])
    ]
    return max(level, key=lambda edge: abs(edge[0][0] - edge[1][0]), default=None)


def chains_of(plan: Plan, ridge: float | None = None, over: float = 0.0) -> Chains:
    """The runs of a plan; with a ridge at y = ridge those of its part below, and `over` past it [m].

    Raises PieceError when water would run towards the stack below that ridge.
    """
    edges = [(edge.start, edge.end, edge.kind) for edge in plan.edges]
    if ridge is not None:
        _check_widest(edges, ridge)
        far = _past_ridge(plan, ridge, over)
        edges = _cut_at(_cut_at(edges, _near_a_corner(plan, ridge)), far)
        edges = [
            (a, b, _beside_ridge(plan, a, b, kind, ridge))
            for a, b, kind in edges
            if (a[1] + b[1]) / 2 < far - 1e-9
        ]
    starts = {a: number for number, (a, _, _) in enumerate(edges)}
    first = next(
        number
        for number, (a, _, kind) in enumerate(edges)
        if kind is not Kind.BACK and _before(edges, a, kind)
    )
    assert len(starts) == len(edges)
    turned = edges[first:] + edges[:first]
    runs = []
    for kind, group in groupby(turned, key=lambda edge: edge[2]):
        row = list(group)
        runs.append(Chain(kind, (row[0][0], *(edge[1] for edge in row))))
    under = tuple(run for run in runs if run.kind is not Kind.BACK)
    back = next((run for run in runs if run.kind is Kind.BACK), None)
    return Chains(under, back)


Sided = tuple[Corner, Corner, Kind]


def _before(edges: list[Sided], start: Corner, kind: Kind) -> bool:
    """Whether the first run begins here: what ends at this corner is behind the stack, or nothing."""
    ends = [other for _, end, other in edges if end == start]
    return not ends or (ends[0] is Kind.BACK and kind is not Kind.BACK)


def _cut_at(edges: list[Sided], y: float) -> list[Sided]:
    """The edges with a point where one passes a level line."""
    found: list[Sided] = []
    for a, b, kind in edges:
        if (a[1] - y) * (b[1] - y) < -1e-18:
            t = (y - a[1]) / (b[1] - a[1])
            middle = (a[0] + (b[0] - a[0]) * t, y)
            found += [(a, middle, kind), (middle, b, kind)]
        else:
            found.append((a, b, kind))
    return found


def _near_a_corner(plan: Plan, y: float) -> float:
    """A level to cut at: that of a corner that is so near that a sheet's end there would be a sliver."""
    nearest = min((corner[1] for corner in plan.corners), key=lambda corner: abs(corner - y))
    return nearest if abs(nearest - y) < NO_SLIVER else y


def _past_ridge(plan: Plan, ridge: float, over: float) -> float:
    """y up to which runs go on past a ridge: short of the edges that take the apron beyond it."""
    if over == 0:
        return _near_a_corner(plan, ridge)
    beyond = [
        edge for edge in plan.edges if kind_of((edge.normal[0], -edge.normal[1])) is Kind.FRONT
    ]
    apron = min((min(edge.start[1], edge.end[1]) for edge in beyond), default=plan.back)
    got = f"{ridge * 1000:.0f} mm from the front"
    rule = f"{2000 * NO_SLIVER:.0f} mm or more before the apron beyond it ({apron * 1000:.0f} mm)"
    require(apron - ridge > 2 * NO_SLIVER - 1e-9, "ridge", got, rule)
    return min(_near_a_corner(plan, ridge + over), apron - NO_SLIVER)


def _beside_ridge(plan: Plan, a: Corner, b: Corner, kind: Kind, ridge: float) -> Kind:
    """Past the ridge an edge goes with the side that it continues."""
    if (a[1] + b[1]) / 2 < ridge:
        return kind
    return Kind.RIGHT if a[0] + b[0] > plan.left + plan.right else Kind.LEFT


def _check_widest(edges: list[Sided], ridge: float) -> None:
    behind = [min(a[1], b[1]) for a, b, kind in edges if kind is Kind.BACK]
    got = f"{ridge * 1000:.0f} mm from the front"
    rule = f"at most {min(behind) * 1000:.0f} mm from it, where the stack is widest"
    require(ridge < min(behind) + 1e-6, "ridge", got, rule)
