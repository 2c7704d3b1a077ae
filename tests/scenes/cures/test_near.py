"""Whether a change lies in the water's way, or at a lap's edge."""

from __future__ import annotations

import numpy as np

from meshes.parts import Assembly, Part, Role
from scenes.cures.near import touches


def sheet(long: float, high: float = 0.0) -> Assembly:
    """A sheet 1 m wide that reaches from y = 0 to `long`."""
    corners = [(0.0, 0.0), (1.0, 0.0), (1.0, long), (0.0, long)]
    points = np.array([(x, y, high) for x, y in corners])
    return Assembly((Part("sheet", Role.FLASHING, points, np.array([(0, 1, 2), (0, 2, 3)])),))


EDGE = np.array([(0.2, 0.1, 0.0), (0.8, 0.1, 0.0)])


def test_a_sheet_that_moves_is_in_the_way() -> None:
    """Exact: lifted by 10 mm, or cut back by 20 mm, the nearest place to the way is another one."""
    assert touches(sheet(0.1), sheet(0.1, high=0.010), EDGE)
    assert touches(sheet(0.1), sheet(0.080), EDGE)
    assert not touches(sheet(0.1), sheet(0.1), EDGE)


def test_a_sheet_that_grows_past_its_lap_counts_for_the_lap() -> None:
    """Exact: from the old edge it can't be seen, for the sheet still lies there; the lap is longer."""
    assert not touches(sheet(0.1), sheet(0.115), EDGE)
    assert touches(sheet(0.1), sheet(0.115), EDGE, grown=True)
    assert not touches(sheet(0.1), sheet(0.1), EDGE, grown=True)
