"""What must not matter: mirror, turn, cut of the mesh, place on Earth, number of threads."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import Drops, place
from sim.trace import Trace, trace
from tests.sim.shapes import Points, in_four, mapped, pitched, sheet, strip, turned

SLANT = np.array([0.25, 0.3, -1.0])  # rain's way [m]
TURN = np.radians(37)
FAR = np.array([1000.0, -500.0, 20.0])
DROPS = 6000


def folded() -> Assembly:
    """Two courses, a folded back gutter with a fall, an apron with a hem, and the layer below, askew
    enough that nothing lies on a mirror line."""
    upper = sheet(pitched(35), [-0.9, -0.2, 1.1], [0.6, 1.0, 1.6], name="upper course")
    lower = sheet(lambda x, y: pitched(33)(x, y) - 0.02, [-1, 0.3, 1.05], [-1.2, 0.1, 0.75],
                  name="lower course")  # fmt: skip
    gutter = strip([(0.7, 0.44), (0.42, 0.26), (0.2, 0.25), (0.19, 0.5)], along=0.33, name="gutter",
                   role=Role.FLASHING)  # fmt: skip
    apron = strip([(0.1, 0.6), (0.09, 0.2), (-0.3, -0.05), (-0.32, -0.1), (-0.28, -0.12)],
                  along=0.4, name="apron", role=Role.FLASHING)  # fmt: skip
    under = sheet(lambda x, y: pitched(35)(x, y) - 0.2, [-1, 1.3], [-1.1, 1.5], name="under",
                  role=Role.UNDERLAY)  # fmt: skip
    loft = sheet(
        lambda x, y: 0 * x - 1.5, [-0.2, 0.4], [-1.4, -1.15], name="loft", role=Role.INSIDE
    )
    return Assembly((loft, under, apron, lower, gutter, upper))


CHANGES: dict[str, tuple[Callable[[Points], Points], Callable[[Assembly], Assembly]]] = {
    "mirror": (lambda p: p * [-1, 1, 1], lambda a: mapped(a, lambda p: p * [-1, 1, 1], flip=True)),
    "turn": (lambda p: turned(p, TURN), lambda a: mapped(a, lambda p: turned(p, TURN))),
    "in four": (lambda p: p, in_four),
    "1 km away": (lambda p: p + 0.0, lambda a: mapped(a, lambda p: p + FAR)),
}


def run(assembly: Assembly, start: Points, way: Points, drive: Points) -> tuple[Drops, Trace]:
    charts = Charts.of(assembly, tuple(drive))
    drops = place(charts, start, way)
    return drops, trace(charts, drops)


@pytest.mark.parametrize("drive", [(0, 0, -9.8), (1.5, 2.5, -9)])
@pytest.mark.parametrize("change", CHANGES)
def test_no_drop_changes_its_fate(change: str, drive: tuple[float, ...]) -> None:
    """Derived: gravity knows no left or right, no mesh and no place; drop by drop, ends within 1 um."""
    vector, whole = CHANGES[change]
    shift = FAR if change == "1 km away" else np.zeros(3)
    start = np.random.default_rng(8).uniform([-1.1, -1.3, 2], [1.1, 1.4, 2], (DROPS, 3))
    pull = np.array(drive, float)
    drops, before = run(folded(), start, SLANT, pull)
    moved, after = run(whole(folded()), vector(start) + shift, vector(SLANT), vector(pull))
    assert (moved.drop == drops.drop).all()
    assert (after.fate == before.fate).all()
    assert (after.parts_touched == before.parts_touched).all()
    assert_allclose(after.end - shift, vector(before.end), atol=1e-6)
    assert {Fate.SHED, Fate.UNDERLAY} <= set(before.fate)
    assert (Fate.INSIDE in before.fate) or drive[0] != 0
    assert not (before.fate == Fate.UNRESOLVED).any()


@pytest.mark.parametrize("change", CHANGES)
def test_no_drop_changes_its_fate_at_a_contact(change: str) -> None:
    """The same for a wall that stands through a plane, where faces are split by ourselves."""
    vector, whole = CHANGES[change]
    shift = FAR if change == "1 km away" else np.zeros(3)
    wall = sheet(lambda x, y: 0 * x, [-0.31, 0.1, 0.4], [-0.3, 0.2], name="wall", role=Role.STACK)
    upright = Part("wall", Role.STACK, wall.vertices[:, [0, 2, 1]] + [0, 0.21, 0.1], wall.faces)
    both = Assembly((sheet(pitched(30), [-1, 0.17, 1], [-1, 0.4, 1.3]), upright))
    start = np.random.default_rng(9).uniform([-1, -1, 2], [1, 1.3, 2], (DROPS, 3))
    down = np.array([0, 0, -1.0])
    drops, before = run(both, start, down, down)
    moved, after = run(whole(both), vector(start) + shift, vector(down), vector(down))
    assert (moved.drop == drops.drop).all()
    assert (after.fate == before.fate).all()
    assert_allclose(after.end - shift, vector(before.end), atol=1e-6)


def test_threads_change_no_byte() -> None:
    """Same drops, same bytes, whatever the number of threads."""
    charts = Charts.of(folded())
    start = np.random.default_rng(8).uniform([-1.1, -1.3, 2], [1.1, 1.4, 2], (DROPS, 3))
    drops = place(charts, start, SLANT)
    one = trace(charts, drops, threads=1)
    for threads in (2, 5):
        many = trace(charts, drops, threads=threads)
        for name in ("fate", "end", "end_chart", "parts_touched", "hops", "falls"):
            assert getattr(one, name).tobytes() == getattr(many, name).tobytes(), name
