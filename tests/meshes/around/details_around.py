"""Details round any plan that several tests build, the rain on them, and plans drawn at random."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, radians
from typing import Any

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from meshes.around.build import build_around
from meshes.parts import Assembly, Part, Role
from meshes.spec import BackGutter, Detail, Roof, Stack
from sim.charts import Charts
from sim.fates import Fate
from sim.ground import GRAVITY, Ground
from sim.ponds import Ponds
from sim.rain import Drops, place
from sim.spills import Spills
from sim.trace import Trace, trace
from tests.meshes.details import INTERLOCKING, ONE_PLANE, PLAIN_TILES

SLATES: dict[str, Any] = {"gauge": 0.200, "thickness": 0.008, "head_lap": 0.100}
PROFILED: dict[str, Any] = {
    "covering": "profiled",
    "gauge": 0.330,
    "thickness": 0.020,
    "head_lap": 0.075,
    "double_lap": False,
    "gutter_open": 0.100,
}
COVERINGS: dict[str, dict[str, Any]] = {
    "plain tiles": PLAIN_TILES,
    "interlocking": INTERLOCKING,
    "slates": SLATES,
    "one plane": ONE_PLANE,
    "profiled": PROFILED,
}
LEAST_ANGLE = radians(60)  # random plans have no sharper corner: stacks of brick or block


def around(
    pitch_deg: float = 40, covering: str = "plain tiles", *, roof: Any = None, **changes: Any
) -> Detail:
    """A 590 x 440 mm stack on the covering named, with the changes given; roof: its further keys."""
    told = Roof(pitch=radians(pitch_deg), **(COVERINGS[covering] | (roof or {})))
    settings: dict[str, Any] = {"roof": told, "stack": Stack(width=0.59, depth=0.44, height=1.4)}
    return Detail(**(settings | changes))


TURNED = Stack(width=0.6, depth=0.6, turn=radians(45), height=1.6)
SADDLE = BackGutter(behind="saddle")
DETAILS: dict[str, Detail] = {
    "square": around(),
    "diamond": around(stack=TURNED),
    "turned by 10": around(stack=Stack(width=0.6, depth=0.44, turn=radians(10), height=1.6)),
    "turned by 30": around(
        30, "interlocking", stack=Stack(width=0.6, depth=0.44, turn=radians(30), height=1.6)
    ),
    "flue": around(stack=Stack(plan="round", diameter=0.3, facets=16, height=1.4)),
    "octagon": around(stack=Stack(plan="regular", sides=8, across=0.6, height=1.6)),
    "wide": around(
        stack=Stack(width=1.5, depth=0.5, height=1.9), gutter=SADDLE, roof={"above": 2.2}
    ),
    "through the ridge": around(stack=Stack(width=0.6, depth=0.6, height=1.4), roof={"ridge": 0.3}),
    "profiled": around(30, "profiled"),
}


@dataclass(frozen=True, slots=True, eq=False)
class Wet:
    """An assembly on which drops can be let fall in still air, with its hollows."""

    assembly: Assembly
    charts: Charts
    ponds: Ponds

    @staticmethod
    def of(assembly: Assembly) -> Wet:
        """Its charts, on which what stands in a hollow spills over."""
        ground = Ground.of(assembly, GRAVITY)
        bare = Charts.on(ground)
        ponds = Ponds.of(bare)
        return Wet(assembly, bare.going_on(Spills(ponds)), ponds)

    def fall(self, points: NDArray[np.float64]) -> tuple[Drops, Trace]:
        """Drops let go at points (n, 3) [m], falling straight down."""
        drops = place(self.charts, points, (0.0, 0.0, -1.0))
        return drops, trace(self.charts, drops)


def built(name: str) -> Assembly:
    """A detail of the table, by the general builder even where the stack is square to the slope."""
    return build_around(DETAILS[name])


def beside(detail: Detail, count: int, seed: int = 0) -> NDArray[np.float64]:
    """Points (about count, 3) [m] from 8 mm to 0.15 m off the stack's outline all round, with as many
    close to its corners as along its edges, just below its capping."""
    plan = detail.stack.outline()
    random = np.random.default_rng(seed)
    each = count // (2 * len(plan.corners)) + 1
    found = []
    for edge in plan.edges:
        along, off = random.uniform(0, 1, each)[:, None], random.uniform(0.008, 0.15, each)[:, None]
        start, end, out = np.array(edge.start), np.array(edge.end), np.array(edge.normal)
        found.append(start + along * (end - start) + off * out)
        turns = random.uniform(0, 2 * pi, each)
        around_corner = np.column_stack([np.cos(turns), np.sin(turns)])
        far = random.uniform(0.008, 0.05, each)[:, None]
        found.append(start + far * around_corner)
    points = np.vstack(found)
    inside = np.ones(len(points), bool)
    for edge in plan.edges:
        inside &= (points - edge.start) @ np.array(edge.normal) < 0.006
    points = points[~inside]
    return np.column_stack([points, np.full(len(points), detail.stack.height - 0.05)])


def sheets(assembly: Assembly) -> Assembly:
    """Sheets and covering, without the stack, into which turn-ins run, and the loft; of the covering
    and the underlay only what is near the folded pieces, which is all that can be cut."""
    folded = np.vstack([part.vertices for part in assembly if part.role is Role.FLASHING])
    low, high = folded.min(axis=0) - 1e-6, folded.max(axis=0) + 1e-6
    found = []
    for part in assembly:
        corners = part.vertices[part.faces]
        near = (corners.min(axis=1) <= high) & (corners.max(axis=1) >= low)
        if part.role not in (Role.STACK, Role.INSIDE):
            found.append(Part(part.name, part.role, part.vertices, part.faces[near.all(axis=1)]))
    return Assembly(tuple(found))


def not_shed(ended: Trace) -> dict[str, int]:
    """How many drops ended otherwise than over a rim of the roof, by fate."""
    fates, counts = np.unique(ended.fate, return_counts=True)
    return {
        Fate(fate).name: int(count)
        for fate, count in zip(fates, counts, strict=True)
        if fate != Fate.SHED
    }


@st.composite
def polygons(draw: st.DrawFn) -> tuple[tuple[float, float], ...]:
    """Corners of a convex polygon: the hull of points on a stretched circle, or scattered in a box."""
    number = draw(st.integers(3, 10))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    size = random.uniform(0.3, 1.2, 2)
    if draw(st.booleans()):
        turns = np.sort(random.uniform(0, 2 * pi, number))
        points = np.column_stack([np.cos(turns), np.sin(turns)]) * size / 2
    else:
        points = random.uniform(-0.5, 0.5, (number, 2)) * size
    hull = points[ConvexHull(points).vertices]
    way = np.roll(hull, -1, axis=0) - hull
    length = np.linalg.norm(way, axis=1)
    unit = way / length[:, None]
    turn = np.arccos(np.clip((unit * np.roll(unit, 1, axis=0)).sum(axis=1), -1, 1))
    assume(length.min() > 0.03 and np.ptp(hull, axis=0).min() > 0.15)
    assume(turn.max() < pi - LEAST_ANGLE)
    return tuple((round(float(x), 4), round(float(y), 4)) for x, y in hull)


@st.composite
def stacks(draw: st.DrawFn) -> Stack:
    """Stacks of every kind of plan at any turn, tall enough for any pitch."""
    turn = draw(st.floats(0, 2 * pi))
    plan = draw(st.sampled_from(["points", "points", "rectangle", "regular", "round"]))
    if plan == "points":
        return Stack(plan="points", points=draw(polygons()), height=5.9)
    if plan == "rectangle":
        wide, deep = draw(st.floats(0.3, 1.5)), draw(st.floats(0.3, 1.2))
        return Stack(width=wide, depth=deep, turn=turn, height=5.9)
    if plan == "regular":
        sides, across = draw(st.integers(3, 12)), draw(st.floats(0.25, 1.2))
        return Stack(plan="regular", sides=sides, across=across, turn=turn, height=5.9)
    facets, diameter = 2 * draw(st.integers(4, 20)), draw(st.floats(0.15, 0.9))
    return Stack(plan="round", diameter=diameter, facets=facets, turn=turn, height=5.9)


@st.composite
def told(draw: st.DrawFn) -> dict[str, Any]:
    """A stack of any plan on any covering at any pitch, by the settings of `Detail`; behind a level back
    what IRC R1003.20 asks for, or the usual gutter."""
    covering = draw(st.sampled_from(sorted(COVERINGS)))
    return {
        "stack": draw(stacks()),
        "pitch": radians(draw(st.floats(17.5, 55))),
        "roof": COVERINGS[covering] | {"above": 3.0},
        "gutter": BackGutter(behind=draw(st.sampled_from(["gutter", "by rule"]))),
        "cover_fit": draw(st.sampled_from(["dressed", "dressed", "resting"])),
        "gap": draw(st.sampled_from([0.0007, 0.001, 0.001, 0.0013])),
    }


def detail_of(settings: dict[str, Any]) -> Detail:
    """The detail of settings that `told` draws. Raises PieceError."""
    rest = {key: value for key, value in settings.items() if key not in ("pitch", "roof")}
    return Detail(roof=Roof(pitch=settings["pitch"], **settings["roof"]), **rest)
