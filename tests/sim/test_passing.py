"""When drops pass: against the speed of a film on a plane, and a fall."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Part, Role
from sim.comes_out import still_charts
from sim.events import Event
from sim.film import mean_speed
from sim.passing import SLOWEST, passing_times
from sim.rain import rain
from sim.storm import film_on
from sim.trace import Paths, record
from sim.water import GRAVITY


def slope(pitch: float) -> Assembly:
    rise = np.tan(np.radians(pitch))
    corners = [(x, y, 1 + y * rise) for x, y in ((-1, 0), (1, 0), (1, 2), (-1, 2))]
    part = Part("covering", Role.COVERING, np.array(corners), np.array([(0, 1, 2), (0, 2, 3)]))
    return Assembly((part,))


def test_a_film_on_a_plane_goes_at_nusselts_speed() -> None:
    """Two computations: times along recorded paths, and length over the mean speed of a film of the same
    thickness (Nusselt 1916)."""
    charts = still_charts(slope(30.0))
    drops = rain(charts, 2000, seed=1, rain_m_s=75 / 3.6e6)
    film = film_on(charts, drops)
    paths = record(charts, drops, np.arange(20))
    times = passing_times(paths, film)
    for first, last in zip(paths.start[:-1], paths.start[1:], strict=True):
        own = slice(first, last)
        runs = paths.kind[first : last - 1] != Event.FELL
        step = np.linalg.norm(np.diff(paths.points[own], axis=0), axis=1)[runs]
        speed = mean_speed(film[paths.chart[first : last - 1][runs]], GRAVITY * 0.5)
        assert np.diff(times[own])[runs] == pytest.approx(
            step / np.maximum(speed, SLOWEST), rel=1e-6
        )
        assert times[first] == 0.0


def test_a_fall_takes_as_long_as_a_stone() -> None:
    """Exact: 4.90333 m take 1 s without air; then a level run at the least speed, and standing, which
    takes none."""
    points = np.array(
        [(0, 0, 5), (0, 0, 5 - GRAVITY / 2), (0.3, 0, 5 - GRAVITY / 2)] + [(0.3, 0, 0.1)] * 2
    )
    kind = np.array([Event.FELL, Event.LANDED, Event.STOOD, Event.CROSSED, Event.ENDED], np.int8)
    paths = Paths(np.array([0, 5]), points, np.zeros(5, np.int32), kind)
    times = passing_times(paths, np.full(2, 3e-4))
    assert times == pytest.approx(
        [0.0, 1.0, 1.0 + 0.3 / SLOWEST, 1.0 + 0.3 / SLOWEST, 1.0 + 0.3 / SLOWEST]
    )
