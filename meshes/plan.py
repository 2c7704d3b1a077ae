"""The plan of a stack: any convex polygon, and what each of its edges takes by its direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import atan2, cos, degrees, hypot, isfinite, pi, radians, sin, tan

from meshes.errors import require

Corner = tuple[float, float]

SHORTEST_EDGE = 0.010  # [m] a shorter edge can't be told from a rounded corner
LONG_EDGE, ALL_BUT = 0.1, 0.0001  # [m] such an edge that misses level by so little is level
LARGEST, SMALLEST = 6.0, 0.08  # [m] across
SHARPEST = radians(45)  # a stack's corner: past it sheets can't be turned in and round
SAME_DIRECTION = 1e-9  # [1] sine under which two edges run alike
FRONT_WITHIN = radians(45)  # a normal this near to straight down the slope makes an edge a front
SIDE_WITHIN = radians(0.5)  # a normal turned up the slope by less than this is still a side's


class Kind(StrEnum):
    """What an edge takes: an apron, a side flashing, or what catches water behind the stack."""

    FRONT = "front"
    LEFT = "left"
    RIGHT = "right"
    BACK = "back"


def kind_of(normal: Corner) -> Kind:
    """What an edge takes, by its outward unit normal (x to the right, y up the slope).

    Up the slope: back. Within 45 degrees of straight down the slope: front, but for the limit itself,
    which is a side's. Otherwise the side that it looks to.
    """
    x, y = normal
    if y > sin(SIDE_WITHIN):
        return Kind.BACK
    if -y > cos(FRONT_WITHIN) + 1e-9:
        return Kind.FRONT
    return Kind.RIGHT if x > 0 else Kind.LEFT


@dataclass(frozen=True, slots=True)
class Plan:
    """A convex polygon, anticlockwise seen from above [m]; x across the slope, y up it.

    Its lowest corner or edge lies on y = 0 and the middle between its left and right ends on x = 0.
    Raises PieceError when it is not convex, too small (80 mm), too large (6 m), has an edge shorter
    than 10 mm or a corner sharper than 45 degrees.
    """

    corners: tuple[Corner, ...]

    def __post_init__(self) -> None:
        require(
            len(self.corners) >= 3, "plan", f"{len(self.corners)} corners", "three or more corners"
        )
        finite = all(isfinite(value) for corner in self.corners for value in corner)
        require(finite, "plan", "NaN or infinity", "made of finite points")
        for number, edge in enumerate(self.edges):
            rule = f"{SHORTEST_EDGE * 1000:g} mm or longer"
            require(
                edge.length > SHORTEST_EDGE - 1e-9,
                "plan's edges",
                f"{edge.length * 1000:.1f} mm",
                rule,
            )
            after = self.edges[(number + 1) % len(self.corners)]
            turn = edge.along[0] * after.along[1] - edge.along[1] * after.along[0]
            where = f"a corner at {after.start[0] * 1000:.0f}, {after.start[1] * 1000:.0f} mm that is not"
            require(turn > SAME_DIRECTION, "plan", where, "convex, its corners anticlockwise")
        turns = sum(self.turn_at(number) for number in range(len(self.corners)))
        require(abs(turns - 2 * pi) < 1e-6, "plan", "edges that cross", "convex, once round")
        sharp = pi - max(self.turn_at(number) for number in range(len(self.corners)))
        rule = f"{degrees(SHARPEST):g} degrees or more"
        require(sharp > SHARPEST - 1e-9, "plan's corners", f"{degrees(sharp):.1f} degrees", rule)
        sizes = (self.right - self.left, self.back - self.front)
        rule = f"{SMALLEST * 1000:g} mm to {LARGEST:g} m across"
        for size in sizes:
            require(SMALLEST - 1e-9 <= size <= LARGEST + 1e-9, "plan", f"{size * 1000:g} mm", rule)

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Its edges, anticlockwise; the first starts at the first corner."""
        ends = (*self.corners[1:], self.corners[0])
        return tuple(Edge(a, b) for a, b in zip(self.corners, ends, strict=True))

    @property
    def left(self) -> float:
        """Least x [m]."""
        return min(x for x, _ in self.corners)

    @property
    def right(self) -> float:
        """Greatest x [m]."""
        return max(x for x, _ in self.corners)

    @property
    def front(self) -> float:
        """Least y [m]."""
        return min(y for _, y in self.corners)

    @property
    def back(self) -> float:
        """Greatest y [m]."""
        return max(y for _, y in self.corners)

    def turn_at(self, corner: int) -> float:
        """How far the outline turns at a corner [rad], 0 to pi."""
        before, after = self.edges[corner - 1].along, self.edges[corner].along
        return atan2(
            before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
        )

    @property
    def square_to_slope(self) -> bool:
        """Whether it is a rectangle with one pair of sides straight up the slope."""
        return len(self.corners) == 4 and all(
            min(abs(edge.along[0]), abs(edge.along[1])) < SAME_DIRECTION for edge in self.edges
        )


@dataclass(frozen=True, slots=True)
class Edge:
    """One edge of a plan, from start to end [m]; the stack lies on its left."""

    start: Corner
    end: Corner

    @property
    def length(self) -> float:
        """[m]"""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    @property
    def along(self) -> Corner:
        """Unit vector from start to end."""
        return (
            (self.end[0] - self.start[0]) / self.length,
            (self.end[1] - self.start[1]) / self.length,
        )

    @property
    def normal(self) -> Corner:
        """Outward unit normal."""
        return (self.along[1], -self.along[0])

    @property
    def kind(self) -> Kind:
        """What it takes."""
        return kind_of(self.normal)


def plan_of(points: Sequence[Corner], turn: float = 0.0) -> Plan:
    """A plan from points in any order of going round, turned about the upright by `turn` [rad]
    (anticlockwise seen from above), and shifted to its place. Raises PieceError."""
    rows = [(float(x), float(y)) for x, y in points]
    area = sum(x * v - u * y for (x, y), (u, v) in zip(rows, [*rows[1:], *rows[:1]], strict=True))
    if area < 0:
        rows.reverse()
    c, s = cos(turn), sin(turn)
    turned = _straightened([(c * x - s * y, s * x + c * y) for x, y in rows])
    middle = (min(x for x, _ in turned) + max(x for x, _ in turned)) / 2
    low = min(y for _, y in turned)
    # Rounded to a picometre, so that a quarter turn leaves level edges level.
    return Plan(tuple((round(x - middle, 12) + 0.0, round(y - low, 12) + 0.0) for x, y in turned))


def _straightened(corners: list[Corner]) -> list[Corner]:
    """Corners with long edges that all but run level, or down the fall line, made to do so: no stack is
    measured to a tenth of a millimetre, and no sheet can be cut to less."""
    found = [list(corner) for corner in corners]
    for at in range(len(found)):
        a, b = found[at - 1], found[at]
        long = hypot(b[0] - a[0], b[1] - a[1]) > LONG_EDGE
        for axis in (0, 1):
            if long and abs(a[axis] - b[axis]) < ALL_BUT:
                b[axis] = a[axis]
    return [(x, y) for x, y in found]


def rectangle(width: float, depth: float, turn: float = 0.0) -> Plan:
    """A rectangle, `width` across the slope and `depth` up it before it is turned [m, rad]."""
    return plan_of([(0, 0), (width, 0), (width, depth), (0, depth)], turn)


def regular(sides: int, across: float, turn: float = 0.0) -> Plan:
    """A regular polygon, `across` from flat to flat [m], one flat down the slope before it is turned.

    sides: 3 to 64. For an odd number `across` is twice the distance from the middle to a flat.
    """
    require(3 <= sides <= 64, "sides", sides, "3 to 64")
    radius = across / 2 / cos(pi / sides)
    angles = [-pi / 2 + pi / sides + 2 * pi * k / sides for k in range(sides)]
    return plan_of([(radius * cos(a), radius * sin(a)) for a in angles], turn)


def round_(diameter: float, facets: int, turn: float = 0.0) -> Plan:
    """A round stack as a polygon of the same area [m], a corner straight up the slope; facets: even,
    8 to 64."""
    require(8 <= facets <= 64 and facets % 2 == 0, "facets", facets, "an even number, 8 to 64")
    across = diameter * (pi / facets / tan(pi / facets)) ** 0.5
    return regular(facets, across, turn + pi / facets)
