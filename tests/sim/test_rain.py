"""Rain: where it is aimed, what each drop carries, and what adds up."""

from __future__ import annotations

from math import fsum

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from meshes.parts import Assembly, Role
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import rain
from sim.trace import trace
from tests.sim.shapes import box, pitched, sheet

RAIN = 75 / 3.6e6  # design rain, 75 mm/h [m/s]


def roof(pitch: float = 30.0) -> Charts:
    return Charts.of(Assembly((sheet(pitched(pitch), [-1, 0, 1], [-2, 1, 2]),)))


def test_upright_rain_carries_area_times_intensity() -> None:
    """Derived: 8 m2 in plan at 75 mm/h; all of it lands, evenly."""
    drops = rain(roof(), 4000, seed=1, rain_m_s=RAIN)
    assert len(drops) == drops.released == 4000
    assert fsum(drops.flow) == pytest.approx(8 * RAIN, rel=1e-12)
    assert_allclose(drops.points[:, 2], drops.points[:, 1] * np.tan(np.radians(30)), atol=1e-12)
    middle = drops.points[:, :2].mean(axis=0)
    assert_allclose(middle, 0.0, atol=4 * 2 / np.sqrt(12 * 4000) * 2)


@pytest.mark.parametrize(("pitch", "factor"), [(30, 1.289), (45, 1.500), (60, 1.866)])
def test_slanted_rain_onto_a_slope_that_faces_it(pitch: float, factor: float) -> None:
    """Derived: rain falling 2 down for 1 across gives 1 + tan(pitch) / 2 for each m2 of plan
    (UK Approved Document H prints 1.29, 1.50, 1.87)."""
    drops = rain(roof(pitch), 100, seed=1, rain_m_s=RAIN, slant=np.arctan(0.5), from_angle=0.0)
    assert fsum(drops.flow) == pytest.approx(8 * RAIN * factor, rel=5e-4)


def test_from_angle_says_where_rain_comes_from() -> None:
    """Derived: from the right (+x) it wets the right side of a box, from the eaves (-y) the front."""
    block = box((-0.3, -0.3, -2), (0.3, 0.3, 3))
    charts = Charts.of(Assembly((sheet(pitched(20), [-2, 2], [-2, 2]), block)))
    for angle, axis, sign in ((0.0, 1, -1), (np.pi / 2, 0, 1), (np.pi, 1, 1), (-np.pi / 2, 0, -1)):
        drops = rain(charts, 5000, seed=2, rain_m_s=RAIN, slant=0.6, from_angle=angle)
        normal = charts.normals[drops.chart[charts.part[drops.chart] == 1]]
        upright = normal[np.abs(normal[:, 2]) < 0.5]
        assert len(upright) > 50
        assert_allclose(upright[:, axis], sign, atol=1e-12)


def test_more_drops_leave_the_earlier_ones_where_they_were() -> None:
    """The contract: row i of the draws belongs to drop i."""
    few, many = (rain(roof(), n, seed=7, rain_m_s=RAIN) for n in (50, 100))
    assert_allclose(many.points[:50], few.points, atol=0)
    assert not np.allclose(rain(roof(), 50, seed=8, rain_m_s=RAIN).points, few.points)


def test_misses_are_left_out_and_flows_still_add_up() -> None:
    """Derived: rain is aimed at the covering's bounds; what falls through its hole lands on nothing,
    and what lands is split among fates without loss."""
    holed = sheet(pitched(30), [-2, -0.5, 0.5, 2], [-2, -0.5, 0.5, 2], without=((1, 1),))
    charts = Charts.of(Assembly((holed,)))
    drops = rain(charts, 20_000, seed=3, rain_m_s=RAIN)
    missed = drops.released - len(drops)
    assert missed / 20_000 == pytest.approx(1 / 16, abs=3 * np.sqrt(1 / 16 * 15 / 16 / 20_000))
    assert set(range(20_000)) - set(drops.drop.tolist()) != set()
    got = trace(charts, drops)
    by_fate = [fsum(drops.flow[got.fate == fate]) for fate in Fate]
    assert fsum(by_fate) == pytest.approx(fsum(drops.flow), rel=1e-15)
    assert fsum(drops.flow) == pytest.approx(16 * RAIN * len(drops) / 20_000, rel=1e-12)


def test_without_covering_rain_falls_on_everything() -> None:
    """The contract: then the bounds of everything count."""
    plate = sheet(pitched(10), [0, 3], [0, 2], role=Role.FLASHING)
    drops = rain(Charts.of(Assembly((plate,))), 100, seed=1, rain_m_s=RAIN)
    assert fsum(drops.flow) == pytest.approx(6 * RAIN, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"n": 0}, "drops must be at least 1"),
        ({"rain_m_s": -1.0}, "rain must be above 0"),
        ({"rain_m_s": float("nan")}, "rain must be above 0"),
        ({"slant": 1.6}, "slant must be 0 to 1.56"),
        ({"slant": 1.2, "from_angle": np.pi}, "slant must be steep enough"),
    ],
)
def test_impossible_rain_is_refused(change: dict[str, float], words: str) -> None:
    """Rule of the project: one clear line with the rule and the value."""
    wanted = {"n": 10, "seed": 1, "rain_m_s": RAIN} | change
    with pytest.raises(SceneError, match=words):
        rain(roof(), **wanted)  # type: ignore[arg-type]
