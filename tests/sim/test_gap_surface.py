"""Outlines of laps brought down onto the sheets below, and the surface that is split along them."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from meshes.errors import SceneError
from meshes.parts import Assembly, Part, Role
from sim import gap_surface
from sim.cast import Caster
from sim.gap_knots import knotted
from sim.gap_lines import SNAP, outline_lines, snapped
from sim.gap_surface import storm_surface
from sim.surface import Surface
from tests.sim.measured import areas, edge_counts, lengths
from tests.sim.shapes import box, pitched, sheet
from tests.sim.sheets_for_laps import along, on_slope

T = radians(30)
UP = np.array([0, np.cos(T), np.sin(T)])


def plate(low: float, high: float, left: float, right: float, lift: float, name: str) -> Part:
    return along(on_slope(T, low, high, lift), left, right, name=name)


def lines_of(*parts: Part) -> tuple[Surface, np.ndarray, np.ndarray]:
    surface = Surface.of(Assembly(parts))
    host, line = outline_lines(surface, Caster.of(surface))
    return surface, host, line


def test_an_outline_stands_where_its_sheet_ends() -> None:
    """Derived: a plate 4 mm over another leaves its outline there, 2 by 0.3 m, and its edges' worth
    of the other's border on itself."""
    roof, small = plate(-1, 1, -2, 2, 0, "roof"), plate(0.1, 0.4, -1, 1, 0.004, "small")
    surface, host, line = lines_of(roof, small)
    on_roof = surface.face_part[host] == 0
    assert on_roof.all()
    ends = line + surface.centre
    assert np.linalg.norm(line[:, 1] - line[:, 0], axis=1).sum() == pytest.approx(2 * 2.3)
    flat = np.stack([ends[:, :, 0], ends @ UP], axis=2)
    on_side = np.isclose(np.abs(flat[..., 0]), 1).all(axis=1)
    on_end = np.isclose(flat[..., 1], 0.1).all(axis=1) | np.isclose(flat[..., 1], 0.4).all(axis=1)
    assert (on_side | on_end).all()


@pytest.mark.parametrize("lift", [0.0061, 0.02, -0.0061])
def test_farther_off_than_a_gap_nothing_stands(lift: float) -> None:
    """Rule of the model: a gap is 6 mm at most."""
    _, host, _ = lines_of(plate(-1, 1, -2, 2, 0, "roof"), plate(0.1, 0.4, -1, 1, lift, "small"))
    assert len(host) == 0


def test_a_sheet_between_hides_an_outline() -> None:
    """Derived: what lies over a whole sheet makes no gap with the one below that."""
    roof, cover = plate(-1, 1, -2, 2, 0, "roof"), plate(-1, 1, -2, 2, 0.002, "cover")
    surface, host, _ = lines_of(roof, cover, plate(0.1, 0.4, -1, 1, 0.004, "top"))
    assert set(surface.face_part[host].tolist()) == {1}


def test_an_edge_that_stands_up_from_a_sheet_is_no_lap() -> None:
    """Derived: a wall's foot is square to the sheet that it ends over."""
    wall = along([(0.2, 0.003 + 0.2 * np.tan(T)), (0.2, 1.0)], -1, 1, name="wall")
    _, host, _ = lines_of(plate(-1, 1, -2, 2, 0, "roof"), wall)
    assert len(host) == 0


def test_lines_that_all_but_meet_are_knotted() -> None:
    """Derived: ends within reach become one, a line that passes an end goes through it, the same line
    twice is cut alike."""
    host, part, up = np.zeros(3, int), np.zeros(3, int), np.tile([0, 0, 1.0], (3, 1))
    line = np.array(
        [
            [[0.0, 0, 0], [1.0, 0, 0]],
            [[1.0005, 0, 0], [1.0, 1, 0]],
            [[0.5, 0.0004, 0], [0.5, 1, 0]],
        ]
    )
    row, cut = knotted(host, part, up, line, SNAP)
    assert (row == 0).all()
    wanted = [[[0, 0], [0.5, 0.0004]], [[0.5, 0.0004], [1, 0]], [[1, 0], [1, 1]]]
    wanted.append([[0.5, 0.0004], [0.5, 1]])
    assert cut[:, :, :2] == pytest.approx(np.array(wanted))
    apart = knotted(host, np.arange(3), up, line, 1e-5)[1]
    assert apart == pytest.approx(line)


def test_ends_near_a_border_are_brought_onto_it() -> None:
    """Derived: and a line that then lies along the border splits nothing."""
    surface = Surface.of(Assembly((sheet(pitched(0), [0, 1], [0, 1]),)))
    corner = surface.vertices[surface.faces[0]]
    inside = corner.mean(axis=0)
    on_side = (corner[0] + corner[1]) / 2
    in_by = on_side + 0.0005 * (inside - on_side) / np.linalg.norm(inside - on_side)
    near_corner = corner[0] + 0.0004 * (inside - corner[0]) / np.linalg.norm(inside - corner[0])
    line = np.array([[in_by, inside], [near_corner, inside], [near_corner, in_by]])
    got, crosses = snapped(surface, np.zeros(3, int), line)
    assert crosses.tolist() == [True, True, False]
    border = np.cross(corner[1] - corner[0], got[0, 0] - corner[0])
    assert np.linalg.norm(border) < 1e-12
    assert got[1, 0] == pytest.approx(corner[0], abs=1e-15)


def test_laps_are_fine_and_the_rest_is_not() -> None:
    """Rule of the model: `size` in a lap with a flashing, OPEN_SIZE out in the weather."""
    roof = along(on_slope(T, -1, 1), -2, 2, name="roof", role=Role.COVERING)
    surface = storm_surface(Assembly((roof, plate(0, 1, -2, 2, 0.001, "over"))), size=0.06)
    middle = (surface.vertices[surface.faces].mean(axis=1) + surface.centre) @ UP
    lapped = (surface.face_part == 0) & (middle > 0)
    assert lengths(surface)[lapped].max() <= 0.06 * (1 + 1e-8)
    assert lengths(surface).max() <= gap_surface.OPEN_SIZE * (1 + 1e-8)
    assert np.median(lengths(surface)[~lapped & (surface.face_part == 0)]) > 0.08


def test_a_narrow_lap_of_flashings_has_triangles_side_by_side() -> None:
    """Derived: a return of 30 mm needs a gradient across it."""
    low, high = plate(-0.5, 0.03, -0.3, 0.3, 0, "low"), plate(0, 1, -0.3, 0.3, 0.001, "high")
    surface = storm_surface(Assembly((low, high)), size=0.1)
    along_lap = (surface.vertices + surface.centre) @ UP
    used = np.unique(surface.faces[surface.face_part == 0])
    rows = along_lap[used]
    assert ((rows > 0.005) & (rows < 0.025)).sum() > 10


def test_laps_of_the_covering_are_fine_beside_a_flashing() -> None:
    """Derived: of two courses that lap over all their length, what lies by the flashing's edge is as
    fine as beneath it, and no finer than else 1 m off."""
    low = along(on_slope(T, -1, 0.1), -2, 2, name="low", role=Role.COVERING)
    high = along(on_slope(T, -0.1, 1, 0.002), -2, 2, name="high", role=Role.COVERING)
    beside = along(on_slope(T, -1, 1, 0.004), -2, 0, name="beside")
    surface = storm_surface(Assembly((low, high, beside)), size=0.04)
    ends = surface.vertices[surface.faces] + surface.centre
    middle = ends.mean(axis=1)
    courses = (surface.face_part < 2) & (np.abs(middle @ UP) < 0.1)
    longest = lengths(surface).reshape(-1, 3).max(axis=1)
    near, far = courses & (abs(middle[:, 0] - 0.01) < 0.01), courses & (middle[:, 0] > 1)
    assert longest[near].max() <= 0.04 * (1 + 1e-8)
    assert np.median(longest[far]) > 0.1


def test_a_large_roof_stays_affordable(monkeypatch: pytest.MonkeyPatch) -> None:
    """Derived: triangles grow with the roof, so that there are never many more than MOST."""
    monkeypatch.setattr(gap_surface, "MOST", 500)
    roof = sheet(pitched(30), [-20, 20], [-20, 20])
    surface = storm_surface(Assembly((roof,)))
    assert 300 < len(surface.faces) < 1500


def test_contacts_stay_edges_and_nothing_tears() -> None:
    """Derived: a box standing in a slope is split along it; rims keep their length."""
    parts = (sheet(pitched(30), [-1, 1], [-1, 1]), box([-0.3, -0.3, -1], [0.3, 0.3, 1], turn=0.4))
    before = gap_surface.join_contacts(Surface.of(Assembly(parts)))
    after = storm_surface(Assembly(parts))
    assert areas(after) == pytest.approx(areas(before), rel=1e-12)
    one, other = edge_counts(before), edge_counts(after)
    assert set(one) == set(other) == {1, 2, 4}
    assert other[4] == pytest.approx(one[4])
    assert other[1] == pytest.approx(one[1])


def test_size_of_triangles_is_checked() -> None:
    """Rule of the project: one clear line."""
    roof = Assembly((plate(0, 1, -1, 1, 0, "plate"),))
    for size in (0.0, 2.0, float("nan")):
        with pytest.raises(SceneError, match="size of the triangles in laps must be 1 mm to 1 m"):
            storm_surface(roof, size=size)
