"""Rain that wind throws at a stack's faces runs down them, and out over what is turned into the wall."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Role
from scenes.assemble import assemble
from scenes.scene import load, names
from sim.comes_out import LOST, still_charts
from sim.rain import place
from sim.trace import trace

SIDES = 24
ACROSS = 25


@pytest.mark.parametrize("name", names())
def test_water_on_the_walls_stays_outside(name: str) -> None:
    """Derived: a sound detail sheds what runs down the wall, whichever face it is thrown at; in still air,
    so that nothing but the way that the sheets lie decides. Thrown level from all round, at the height of
    the highest flashing and a little over it."""
    assembly = assemble(load(name))
    charts = still_charts(assembly)
    stack = np.concatenate([part.vertices for part in assembly if part.role is Role.STACK])
    sheets = [part.vertices for part in assembly if part.role is Role.FLASHING]
    middle = (stack.min(axis=0) + stack.max(axis=0))[:2] / 2
    reach = float(np.linalg.norm(stack[:, :2] - middle, axis=1).max())
    height = min(max(float(part[:, 2].max()) for part in sheets) + 0.01, stack[:, 2].max() - 0.15)
    starts, ways = [], []
    for angle in 2 * np.pi * (np.arange(SIDES) + 0.37) / SIDES:
        out, along = (
            np.array([np.cos(angle), np.sin(angle)]),
            np.array([-np.sin(angle), np.cos(angle)]),
        )
        for share in np.linspace(-0.97, 0.97, ACROSS):
            starts.append([*(middle + reach * (1.2 * out + share * along)), height])
            ways.append([*-out, -1e-3])
    drops = place(charts, np.array(starts), np.array(ways))
    on_wall = np.isin(charts.part[drops.chart], charts.surface.parts_with(Role.STACK))
    assert on_wall.sum() > SIDES * ACROSS / 3
    fate = trace(charts, drops).fate
    behind = np.isin(fate, LOST) & on_wall
    assert not behind.any(), np.round(drops.points[behind][:5] * 1000).tolist()
