"""Brinks: water on a wall above an opening, and none where nothing is open or nothing falls."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.brinks import CLOSE, brinks_of
from sim.gap_surface import OPEN_SIZE
from sim.mouths import AN_END_OFF, NO_RIM, SPACING, Mouths
from sim.site import Site
from tests.sim.shapes import box, pitched, sheet


def wall_over_a_ledge(height: float, role: Role = Role.FLASHING) -> Mouths:
    """A block 1 m wide, and a broader sheet that runs in under it so far below."""
    block = box([-0.5, 0.0, 0.0], [0.5, 0.5, 1.0])
    ledge = sheet(pitched(0), [-0.6, 0.6], [-0.1, 0.3])
    points = ledge.vertices - [0, 0, ledge.vertices[:, 2].max() + height]
    parts = (
        Part("stack", Role.STACK, block.vertices, block.faces),
        Part("ledge", role, points, ledge.faces),
    )
    return brinks_of(Site.of(Assembly(parts), size=0.1).still)


@pytest.mark.parametrize("height", [0.008, 0.025, 0.045])
def test_water_stands_all_along_a_wall_over_an_opening(height: float) -> None:
    """By construction: the wall's lower edge runs from x = -0.5 to 0.5 at y = z = 0, over the ledge; the
    sides' lower edges run over it too, from y = 0 to 0.3, and the back's doesn't."""
    found = wall_over_a_ledge(height)
    points = found.drops.points
    front = points[points[:, 1] < 1e-9]
    across = np.sort(front[:, 0])
    assert across[[0, -1]] == pytest.approx([-0.5, 0.5], abs=SPACING)
    assert np.diff(across).max() <= SPACING + 2 * AN_END_OFF * OPEN_SIZE
    assert (points[:, 2] > 0).all()
    assert (points[:, 2] < 0.002).all()
    assert points[:, 1].max() == pytest.approx(0.3, abs=OPEN_SIZE / 2)
    assert (found.rim == NO_RIM).all()
    assert (found.point[:, 2] > points[:, 2]).all()


def test_none_where_the_sheet_lies_far_below_or_is_no_flashing() -> None:
    """By construction: a drip edge high over the roof is no opening, nor is one over the tiles."""
    assert len(wall_over_a_ledge(CLOSE + 0.002).drops) == 0
    assert len(wall_over_a_ledge(0.025, Role.COVERING).drops) == 0


def test_both_together_are_numbered_through() -> None:
    """Derived: luck is drawn by number, so no two drops may share one."""
    found = wall_over_a_ledge(0.02)
    both = Mouths.joined(found, found)
    assert len(np.unique(both.drops.drop)) == len(both.drops) == 2 * len(found.drops)
    assert both.drops.released == 2 * found.drops.released
