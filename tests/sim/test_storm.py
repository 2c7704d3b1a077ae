"""Rain followed in a wind: films that settle, water that is kept, and still air as the limit."""

from __future__ import annotations

from math import cos, fsum, pi, radians, sin, sqrt

import numpy as np
import pytest

from meshes.parts import Assembly
from sim.blown import Wind
from sim.fates import Fate
from sim.film import flow_stop_shear
from sim.rain import Drops, rain
from sim.site import Site
from sim.storm import MOST_ROUNDS, weather_the
from sim.trace import record, trace
from sim.water import AIR_DENSITY, GRAVITY, VISCOSITY, WATER_DENSITY
from tests.sim.lapped import head_lap
from tests.sim.shapes import pitched, sheet

HEAVY = 75 / 3.6e6  # design rain 75 mm/h [m/s] (Approved Document H, seen)
PITCH = radians(30)
LINES = np.linspace(-1, 1, 9).tolist()


@pytest.fixture(scope="module")
def plane() -> Site:
    """A roof of 2 m by 2 m in plan that rises along y."""
    return Site.of(Assembly((sheet(pitched(30), LINES, LINES),)), size=1.0)


@pytest.fixture(scope="module")
def gable() -> Site:
    """Two such slopes that meet in a level ridge at y = 1."""
    roof = sheet(
        lambda x, y: pitched(30)(x, 1 - abs(y - 1)), LINES, np.linspace(-1, 3, 17).tolist()
    )
    return Site.of(Assembly((roof,)), size=1.0)


@pytest.fixture(scope="module")
def lap() -> Site:
    """Two sheets that lap by 100 mm over a wall that must stay dry."""
    return Site.of(head_lap(30, 0.1), size=0.05)


def rained(site: Site, drops: int = 3000) -> Drops:
    return rain(site.still, drops, seed=0, rain_m_s=HEAVY)


def beyond_the_ridge(site: Site, drops: Drops, wind: Wind) -> float:
    """Share of the drops that leave a gable over its eaves at y = 3."""
    return float((weather_the(site, drops, wind).trace.end[:, 1] > 1.9).mean())


def test_a_plane_settles_in_a_gentle_wind_as_in_still_air(plane: Site) -> None:
    """The model: a drag that nowhere stops a film changes no fate, nor where water leaves. 5 m/s drag
    at 0.005 rho_a (U cos t)^2 / 2 = 0.056 Pa; the thinnest film allowed, 0.05 mm, stops at 0.163 Pa
    (derived)."""
    wind = Wind(5.0, 0.0)
    drag = wind.drag * AIR_DENSITY * (5.0 * cos(PITCH)) ** 2 / 2
    assert drag < float(flow_stop_shear(5e-5, GRAVITY * sin(PITCH)))
    drops = rained(plane)
    storm, still = weather_the(plane, drops, wind), trace(plane.still, drops)
    assert (storm.settled, storm.rounds) == (True, 2)
    assert (storm.trace.fate == still.fate).all()
    np.testing.assert_allclose(storm.trace.end[:, :2], still.end[:, :2], atol=1e-9)


def test_water_goes_over_a_ridge_once_the_wind_can_carry_it_all(gable: Site) -> None:
    """Derived: up a slope a shear carries at most tau^3 / (6 mu rho^2 (g sin t)^2), in a film tau /
    (rho g sin t) thick. What the rain leaves on 2 m (in plan) is that at 28.4 m/s: films that are asked
    for more thicken and run down. Within 5 %, for films are means over faces 0.25 m long."""
    drops = rained(gable)
    mu, weight = WATER_DENSITY * VISCOSITY, WATER_DENSITY * GRAVITY * sin(PITCH)
    tau = (6 * mu * weight**2 * HEAVY * 2.0) ** (1 / 3)
    carries = sqrt(2 * tau / (0.005 * AIR_DENSITY)) / cos(PITCH)
    assert carries == pytest.approx(28.4, abs=0.1)
    for way in (0.0, pi):
        less, more = (beyond_the_ridge(gable, drops, Wind(k * carries, way)) for k in (0.95, 1.05))
        assert less == pytest.approx(0.5, abs=0.03)
        assert more == (1.0 if way == 0.0 else 0.0)


def test_no_drag_and_no_pressure_is_still_air(lap: Site) -> None:
    """Two computations: the charts of a wind that does nothing, and those of still air; byte for byte."""
    drops = rained(lap)
    storm = weather_the(lap, drops, Wind(40.0, 0.0, drag=0.0, pressure=0.0))
    still = trace(lap.still, drops)
    for got, expected in (
        (storm.trace.fate, still.fate), (storm.trace.end, still.end),
        (storm.trace.end_chart, still.end_chart), (storm.trace.hops, still.hops),
    ):  # fmt: skip
        assert got.tobytes() == expected.tobytes()


@pytest.mark.parametrize("gust", [10.0, 35.0, 60.0])
def test_water_is_kept_in_every_wind(lap: Site, gust: float) -> None:
    """Every drop ends once and the flows by fate add up to the rain, to 1e-9; rounds are told."""
    drops = rained(lap)
    storm = weather_the(lap, drops, Wind(gust, 0.3))
    ended = [fsum(drops.flow[storm.trace.fate == fate]) for fate in Fate if fate != Fate.MOVING]
    assert fsum(ended) == pytest.approx(fsum(drops.flow), rel=1e-9)
    assert not (storm.trace.fate == Fate.UNRESOLVED).any()
    assert 2 <= storm.rounds <= MOST_ROUNDS
    assert storm.settled or storm.rounds == MOST_ROUNDS


def test_paths_in_a_wind_begin_and_end_where_the_trace_says(lap: Site) -> None:
    """Two walks: the trace, leg by leg, and its legs kept and joined."""
    drops = rained(lap, 600)
    storm = weather_the(lap, drops, Wind(45.0, 0.0))
    paths = record(storm.charts, drops, np.arange(len(drops)))
    np.testing.assert_allclose(paths.points[paths.start[:-1]], drops.points, atol=1e-9)
    np.testing.assert_allclose(paths.points[paths.start[1:] - 1], storm.trace.end, atol=1e-9)
    assert (paths.chart[paths.start[:-1]] == drops.chart).all()


def test_the_same_bytes_on_any_number_of_threads(lap: Site) -> None:
    """Same drops, same storm."""
    drops = rained(lap)
    one, two = (weather_the(lap, drops, Wind(45.0, 0.2), threads=n) for n in (1, 2))
    assert one.film.tobytes() == two.film.tobytes()
    assert one.trace.fate.tobytes() == two.trace.fate.tobytes()
    assert one.trace.end.tobytes() == two.trace.end.tobytes()


def test_a_wind_that_is_asked_for_again_does_the_same(lap: Site) -> None:
    """Two sites: one that keeps its last answer, one that was never asked; byte for byte. Another wind
    in between does something else."""
    asked = [lap.blows([angle])[0] for angle in (0.3, 0.3, 1.2, 0.3)]
    fresh = Site.of(head_lap(30, 0.1), size=0.05).blows([0.3])[0]
    for number, blows in enumerate(asked):
        same = number != 2
        assert (blows.drag_pa.tobytes() == fresh.drag_pa.tobytes()) is same
        assert (blows.border.tobytes() == fresh.border.tobytes()) is same
