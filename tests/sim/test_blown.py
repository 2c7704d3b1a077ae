"""Water under drives that differ from place to place: films in a wind, held water that goes on."""

from __future__ import annotations

from math import radians, sin

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.parts import Assembly
from sim.blown import Blows, Wind, blown, film_in_wind
from sim.charts import GRAVITY, Charts
from sim.events import Event
from sim.fates import Fate
from sim.film import flow_stop_shear, nusselt_thickness
from sim.ground import Ground
from sim.ponds import Ponds
from sim.rain import place, rain
from sim.shear import wind_shear
from sim.site import ONE_PASCAL
from sim.spills import Spills
from sim.trace import record, trace
from sim.wind import blow
from tests.sim.shapes import pitched, sheet

FAST = settings(
    derandomize=True, max_examples=12, phases=(Phase.explicit, Phase.generate), deadline=None
)
ROOF = Assembly((sheet(pitched(30), np.linspace(-1, 1, 9), np.linspace(-1, 1, 9)),))
SINE = sin(radians(30))


def windy(gust: float, film: float, *, drag: float = 0.005) -> Charts:
    """The roof in a wind from the eaves, all of it in the wind, films `film` thick [m]."""
    ground = Ground.of(ROOF, many=True)
    still = Charts.on(ground)
    count = len(still.normals)
    shear = wind_shear(still, np.ones(count), ONE_PASCAL, blow(0.0), 1.0)
    blows = Blows(shear, np.zeros((count, 3)), np.zeros(0))
    wind = Wind(gust, 0.0, drag=drag)
    thick = np.full(count, film)
    return blown(ground, blows, wind, thick, still=still, ponds=Ponds.of(still))


@FAST
@given(st.tuples(*[st.floats(-3, 3)] * 2))
def test_a_drive_on_every_chart_is_a_uniform_drive(push: tuple[float, float]) -> None:
    """Two computations: the same drive, put together chart by chart, but that falls go straight down
    under it (a sheet with nothing below has none that land)."""
    extra = np.array([*push, 0.0])
    ground = Ground.of(ROOF, many=True)
    one = Charts.on(ground, np.broadcast_to(extra, (2 * len(ground.surface.faces), 3)).copy())
    other = Charts.of(ROOF, tuple(np.array(GRAVITY) + extra))
    rng = np.random.default_rng(1)
    points = np.column_stack([rng.uniform(-0.9, 0.9, (50, 2)), np.full(50, 2.0)])
    drops = place(one, points, (0, 0, -1))
    a, b = trace(one, drops), trace(other, drops)
    assert (a.fate == b.fate).all()
    rows = np.arange(50)
    first, second = record(one, drops, rows), record(other, drops, rows)
    last = first.start[1:] - 2
    assert first.points[last] == pytest.approx(second.points[second.start[1:] - 2], abs=1e-9)


def test_a_film_runs_up_once_the_wind_stops_its_flow_and_not_before() -> None:
    """Derived: a film's net flow turns at tau = 2/3 rho g h sin t; tau = C_f rho_a (U cos t)^2 / 2."""
    film = 3e-4
    stop = float(flow_stop_shear(film, 9.80665 * SINE))
    turns = np.sqrt(2 * stop / (0.005 * 1.204)) / np.cos(radians(30))
    for gust, rises in ((0.98 * turns, False), (1.02 * turns, True)):
        charts = windy(gust, film)
        drops = place(charts, [[0.05, 0.03, 2.0]], (0, 0, -1))
        points = record(charts, drops, np.arange(1)).points
        assert (points[1, 2] > points[0, 2]) is np.bool_(rises)
        assert trace(charts, drops).fate[0] == Fate.SHED


def test_what_two_drives_hold_gathers_and_runs_down() -> None:
    """Derived: up the slope below a line, down it above: nothing leaves the line until its weight wins."""
    ground = Ground.of(ROOF, many=True)
    still = Charts.on(ground)
    middle = still.surface.vertices[still.surface.faces].mean(axis=1)
    up = np.zeros((len(still.normals), 3))
    up[np.repeat(middle[:, 1] < 0, 2)] = [0.0, 40.0, 0.0]
    film, nothing = np.full(len(up), 3e-4), np.zeros((len(up), 3))
    held = Charts.on(ground, up, level=False)
    drops = place(held, [[0.3, -0.4, 2.0], [0.3, 0.4, 2.0]], (0, 0, -1))
    assert (trace(held, drops).fate == Fate.HELD).all()
    # The same drive as a film's: drag [Pa] that gives 40 m/s2.
    drag = 2 / 3 * 998.2 * 3e-4 * up
    one_pascal = Wind(ONE_PASCAL, 0.0, drag=0.05)
    blows = Blows(drag / 0.05, nothing, np.zeros(0))
    charts = blown(ground, blows, one_pascal, film, still=still, ponds=Ponds.of(still))
    ends = trace(charts, drops)
    assert (ends.fate == Fate.SHED).all()
    paths = record(charts, drops, np.arange(2))
    for first, last in zip(paths.start[:-1], paths.start[1:], strict=True):
        kinds = paths.kind[first:last]
        (at,) = np.flatnonzero(kinds == Event.GATHERED)
        y = paths.points[first:last, 1]
        assert y[at] == pytest.approx(0.0, abs=1e-9)
        assert y[-2] == pytest.approx(-1.0, abs=1e-6)
    assert paths.points[paths.start[1:] - 1] == pytest.approx(ends.end, abs=1e-12)


def test_a_drop_driven_round_and_round_ends() -> None:
    """A drive that turns like a whirl: no drop hangs, none is given up."""
    ground = Ground.of(
        Assembly((sheet(pitched(0.0), np.linspace(-1, 1, 9), np.linspace(-1, 1, 9)),))
    )
    middle = ground.surface.vertices[ground.surface.faces].mean(axis=1)
    turn = np.repeat(np.column_stack([-middle[:, 1], middle[:, 0], 0 * middle[:, 0]]), 2, axis=0)
    charts = Charts.on(ground, 5 * turn - 2 * np.repeat(middle * [1, 1, 0], 2, axis=0), level=False)
    drops = rain(charts, 500, seed=3, rain_m_s=1e-5)
    fates = trace(charts, drops).fate
    assert (fates != Fate.UNRESOLVED).all()
    assert (fates == Fate.HELD).mean() > 0.5


def test_a_film_in_the_wind_is_what_carries_its_flow() -> None:
    """Derived: with no shear Nusselt's thickness; a shear down the slope thins it, one up thickens it to
    more than stands still."""
    charts = Charts.of(ROOF)
    flow = np.full(len(charts.normals), 3e-5)
    none = np.zeros((len(flow), 3))
    before = np.full(len(flow), 3e-4)
    plain = film_in_wind(charts, flow, none, before)
    assert plain[0] == pytest.approx(float(nusselt_thickness(3e-5, 9.80665 * SINE)), rel=1e-9)
    down = none + 0.3 * np.array([0, -np.cos(radians(30)), -SINE])
    assert film_in_wind(charts, flow, down, before)[0] < plain[0]
    thicker = film_in_wind(charts, flow, -down, before)[0]
    assert thicker > max(plain[0], 3 * 0.3 / (2 * 998.2 * 9.80665 * SINE))


def test_hollows_fill_and_spill_on_and_no_water_is_lost() -> None:
    """Exact geometry: a trough across a slope holds its water back until it spills over its lower
    wall; then all that fell is shed, to 1e-9 of the flow."""
    line = [(-1.0, -0.5), (-0.1, 0.0), (0.0, -0.05), (0.1, 0.02), (1.0, 0.5)]
    roof = sheet(
        lambda x, y: np.interp(y, *np.array(line).T), np.linspace(-1, 1, 5), [p[0] for p in line]
    )
    ground = Ground.of(Assembly((roof,)))
    bare = Charts.on(ground)
    charts = bare.going_on(Spills(Ponds.of(bare)))
    drops = rain(charts, 2000, seed=0, rain_m_s=2e-5)
    got = trace(charts, drops)
    assert (got.fate == Fate.SHED).all()
    by_fate = sum(drops.flow[got.fate == fate].sum() for fate in Fate)
    assert by_fate == pytest.approx(drops.flow.sum(), rel=1e-9)
