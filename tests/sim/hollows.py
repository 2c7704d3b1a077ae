"""Hollows of known shape, and what becomes of the water in them."""

from __future__ import annotations

import numpy as np

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.ponds import Ponds
from sim.rain import Drops, place
from sim.trace import Trace, trace
from tests.sim.shapes import box, pitched, sheet, strip


def drop_at(charts: Charts, *where: float) -> tuple[Drops, Trace]:
    """One drop let go straight down from a point, and where it ended."""
    drops = place(charts, [where], (0.0, 0.0, -1.0))
    return drops, trace(charts, drops)


def pond_under(charts: Charts, *where: float) -> tuple[Ponds, int, np.ndarray]:
    """The ponds, and the one that a drop let go at a point is held in, and where it is held (1, 3)."""
    _, got = drop_at(charts, *where)
    assert got.fate[0] == Fate.HELD
    ponds = Ponds.of(charts)
    pond = int(ponds.of_held(got.end_chart, got.end)[0])
    assert pond >= 0
    return ponds, pond, got.end


def all_gone(charts: Charts, drops: Drops, rounds: int = 12) -> tuple[float, float, int]:
    """Flow that left, flow that stays for ever, and how often water had to be sent on."""
    ponds, left, stays, flow = Ponds.of(charts), 0.0, 0.0, drops.flow
    for sent in range(rounds):
        got = trace(charts, drops)
        held = np.flatnonzero(got.fate == Fate.HELD)
        left += float(flow[got.fate != Fate.HELD].sum())
        if not len(held):
            return left, stays, sent
        pond = ponds.of_held(got.end_chart[held], got.end[held])
        on = ponds.spill(pond, got.end[held])
        stays += float(flow[held][~on.spills].sum())
        left += float(flow[held][on.spills & (on.chart < 0)].sum())
        go = on.chart >= 0
        flow = flow[held][go]
        points = charts.points(on.chart[go], on.where[go])
        drops = Drops(points, on.chart[go], on.where[go], flow, np.arange(go.sum()), int(go.sum()))
    raise AssertionError(f"water still held after {rounds} rounds")


def pyramid(pitch_deg: float, *, deep: float = 0.2, half: float = 0.5) -> Part:
    """A pitched roof 4 m square with a hollow of four triangles in its middle, `half` from its lowest
    point to each side, that point `deep` under the origin."""
    roof = pitched(pitch_deg)
    base = sheet(roof, [-2, -half, half, 2], [-2, -half, half, 2], without=((1, 1),))
    low = np.array([0.0, 0.0, -deep])
    k = len(base.vertices)
    ring = [5, 6, 10, 9]
    faces = [(ring[i], ring[(i + 1) % 4], k) for i in range(4)]
    return Part(
        "roof", Role.COVERING, np.vstack([base.vertices, low]), np.vstack([base.faces, faces])
    )


def basin() -> Part:
    """A sheet-metal basin, 0.8 m square and 0.3 m high, one wall with its middle lowered to 0.25 m."""
    v = [(x, y, z) for z in (0.0, 0.3) for y in (-0.4, 0.4) for x in (-0.4, 0.4)]
    v.append((0.0, -0.4, 0.25))
    faces = [(0, 1, 3), (0, 3, 2), (1, 5, 7), (1, 7, 3), (3, 7, 6), (3, 6, 2), (2, 6, 4), (2, 4, 0)]
    faces += [(0, 4, 8), (0, 8, 1), (1, 8, 5)]
    return Part("basin", Role.COVERING, np.array(v), np.array(faces)[:, ::-1])


def gutter(front: float, back: float, *, ends: bool = True, lean: float = 0.0) -> Assembly:
    """A level gutter 2 m long over a roof, 200 mm wide, walls `front` and `back` high, ends shut by
    boxes; the top of the front wall leans in by `lean` [m]."""
    along, line = 1.0, [(0.2, back), (0.2, 0.0), (0.0, 0.0), (lean, front)]
    parts = [
        strip(line, along=along, name="gutter", role=Role.FLASHING),
        sheet(lambda x, y: 0.1 * y - 1.0 + 0 * x, [-3, 3], [-3, 3]),
    ]
    if ends:
        parts += [
            box((s * along - (s < 0) * 0.3, -0.1, -0.05), (s * along + (s > 0) * 0.3, 0.3, 0.5),
                name=f"block {s}")
            for s in (-1, 1)
        ]  # fmt: skip
    return Assembly(tuple(parts))
