"""Catchments on a plain roof with a stack, against a general-purpose flow-routing library (landlab).

landlab (Hobley and others, Earth Surf. Dynam. 5 (2017) 21-46, doi:10.5194/esurf-5-21-2017) routes
water over a raster by steepest descent to one of eight neighbours. It gives a level stretch one
outlet only, so behind a stack that stands square to the slope left and right can't be told apart; a
stack turned by 45 degrees has no level stretch, and all catchments are compared.
"""

from __future__ import annotations

from math import tan

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import rain
from sim.trace import trace

WIDTH, LENGTH, CELL = 2.0, 3.0, 0.02  # [m] of roof in plan, and of a raster cell
HALF, FRONT, BACK = 0.30, 1.20, 1.80  # [m] the stack's half width, its front and back
SQUARE = [(-HALF, FRONT), (HALF, FRONT), (HALF, BACK), (-HALF, BACK)]
DIAMOND = [(0.0, FRONT), (HALF, (FRONT + BACK) / 2), (0.0, BACK), (-HALF, (FRONT + BACK) / 2)]
HIGH = 2.0  # [m] of stack above the roof


def _roof_with_stack(pitch: float, foot: list[tuple[float, float]]) -> Assembly:
    """A plane, and a block with a top parallel to it pushed through it."""
    slope, x = tan(pitch), WIDTH / 2
    plane = [(-x, 0, 0), (x, 0, 0), (x, LENGTH, LENGTH * slope), (-x, LENGTH, LENGTH * slope)]
    low = [(px, py, py * slope - 0.2) for px, py in foot]
    top = [(px, py, py * slope + HIGH) for px, py in foot]
    faces = [(4, 5, 6), (4, 6, 7)]
    for i in range(4):
        j = (i + 1) % 4
        faces += [(i, j, 4 + j), (i, 4 + j, 4 + i)]
    return Assembly(
        (
            Part("roof", Role.COVERING, np.array(plane), np.array([(0, 1, 2), (0, 2, 3)])),
            Part("stack", Role.STACK, np.array(low + top), np.array(faces)),
        )
    )


def _side(x: np.ndarray) -> np.ndarray:
    """Which part of the eaves water leaves over: -1 left of the stack, 0 below it, 1 right of it."""
    return np.where(np.abs(x) < HALF - CELL / 2, 0, np.sign(x)).astype(int)


def _routed(pitch: float, turned: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Raster cells' x and y, and the part of the eaves that each drains to, by landlab."""
    # Here, not above: it takes seconds to load, and every process loads every file of tests.
    from landlab import RasterModelGrid
    from landlab.components import FlowAccumulator

    shape = (round(LENGTH / CELL) + 1, round(WIDTH / CELL) + 1)
    grid = RasterModelGrid(shape, xy_spacing=CELL)
    x, y = grid.x_of_node - WIDTH / 2, grid.y_of_node
    z = grid.add_field("topographic__elevation", y * tan(pitch), at="node")
    across, along = np.abs(x), np.abs(y - (FRONT + BACK) / 2)
    stack = across + along < HALF - 1e-9 if turned else np.maximum(across, along) < HALF - 1e-9
    z[stack] += HIGH
    grid.set_closed_boundaries_at_grid_edges(True, True, True, False)
    router = FlowAccumulator(
        grid, flow_director="D8", depression_finder="DepressionFinderAndRouter"
    )
    router.run_one_step()
    outlet = grid.at_node["flow__receiver_node"].copy()
    for _ in range(int(np.log2(len(outlet))) + 2):
        outlet = outlet[outlet]
    return x, y, _side(x[outlet])


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("pitch", [0.35, 0.7, 0.95])
def test_catchments_agree_with_a_raster_router(pitch: float, turned: bool) -> None:
    """Share of the rain that leaves left of, below and right of the stack, and drop by drop.

    The raster's borders are off by up to a cell: of the catchments' borders (three lines down the
    slope of 3 m at most, and the stack's two upper sides, 0.85 m) that is 0.02 x 9.9 = 0.2 m2 of 6.
    """
    foot = DIAMOND if turned else SQUARE
    charts = Charts.of(_roof_with_stack(pitch, foot))
    drops = rain(charts, 40_000, seed=5, rain_m_s=75 / 3.6e6)
    result = trace(charts, drops)
    assert (result.fate == Fate.SHED).all()
    ours = _side(result.end[:, 0])
    x, y, theirs = _routed(pitch, turned)
    if not turned:
        ours, theirs = np.abs(ours), np.abs(theirs)
    column = np.clip(np.round((drops.points[:, 0] + WIDTH / 2) / CELL), 1, WIDTH / CELL - 1)
    row = np.clip(np.round(drops.points[:, 1] / CELL), 1, LENGTH / CELL - 1)
    same = theirs[(row * (round(WIDTH / CELL) + 1) + column).astype(int)] == ours
    error = 0.2 / (WIDTH * LENGTH)
    assert same.mean() > 1 - error
    inner = (y > 0) & (y < LENGTH - CELL / 2) & (np.abs(x) < WIDTH / 2 - CELL / 2)
    for side in set(ours.tolist()):
        assert (ours == side).mean() == pytest.approx((theirs[inner] == side).mean(), abs=error)


def test_catchments_are_exact_geometry() -> None:
    """Half the strip behind the stack goes to either side, and what falls on or below it stays below.

    Three standard errors of 40,000 drops.
    """
    charts = Charts.of(_roof_with_stack(0.6, SQUARE))
    drops = rain(charts, 40_000, seed=6, rain_m_s=75 / 3.6e6)
    ours = _side(trace(charts, drops).end[:, 0])
    below = 2 * HALF * BACK / (WIDTH * LENGTH)
    shares = {-1: (1 - below) / 2, 0: below, 1: (1 - below) / 2}
    for side, share in shares.items():
        error = (share * (1 - share) / len(drops)) ** 0.5
        assert (ours == side).mean() == pytest.approx(share, abs=3 * error)
