"""The film: Nusselt's flow with a shear, its stop points, times and thicknesses."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from sim.film import (
    Regime,
    equilibrium_time,
    film_drive,
    flow_stop_shear,
    flow_with_shear,
    mean_speed,
    nusselt_thickness,
    pull_on,
    regime,
    reynolds,
    surface_speed,
    surface_stop_shear,
    thickness_with_shear,
)
from sim.water import VISCOSITY, WATER_DENSITY

THIRTY = np.radians(30)
RAIN = 75 / 3.6e6
RUNS = np.array([2.0, 4.0, 6.0, 10.0])
repeatable = settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)


def test_a_millimetre_at_15_degrees() -> None:
    """Reference value, derived: 0.845 L/s per metre (with nu = 1.004e-6 it is 0.843)."""
    assert float(flow_with_shear(1e-3, pull_on(np.radians(15)))) == pytest.approx(8.45e-4, rel=4e-3)


def test_runs_of_a_roof_in_rain() -> None:
    """Reference values, derived: 75 mm/h at 30 degrees, plan runs of 2, 4, 6 and 10 m."""
    flow, pull = RAIN * RUNS, pull_on(THIRTY)
    thickness = nusselt_thickness(flow, pull)
    assert_allclose(thickness * 1e3, [0.295, 0.371, 0.425, 0.504], atol=6e-4)
    assert_allclose(mean_speed(thickness, pull), [0.141, 0.224, 0.294, 0.413], atol=6e-4)
    assert_allclose(reynolds(flow), [166, 332, 498, 830], atol=0.6)
    assert_allclose(flow_with_shear(thickness, pull), flow, rtol=1e-12)


def test_regimes() -> None:
    """Reference values, seen: smooth under Re 20, rippling to 1500, turbulent above."""
    expected = [Regime.SMOOTH, Regime.SMOOTH, Regime.RIPPLING, Regime.RIPPLING, Regime.TURBULENT]
    assert regime([0.0, 19.9, 20.0, 1499.0, 1501.0]).tolist() == expected
    assert regime(reynolds(RAIN * RUNS)).tolist() == [Regime.RIPPLING] * 4


def test_stop_points() -> None:
    """Reference values, derived: a film of 0.2 mm at 30 degrees; there the speeds are indeed nil."""
    pull = pull_on(THIRTY)
    top, net = surface_stop_shear(2e-4, pull), flow_stop_shear(2e-4, pull)
    assert float(top) == pytest.approx(0.489, abs=6e-4)
    assert float(net) == pytest.approx(0.653, abs=6e-4)
    assert abs(surface_speed(2e-4, pull, -top)) < 1e-15
    assert abs(flow_with_shear(2e-4, pull, -net)) < 1e-18
    # Between the two stops the surface runs up while the film as a whole still runs down.
    assert surface_speed(2e-4, pull, -0.57) < 0 < mean_speed(2e-4, pull, -0.57)


def test_time_until_a_plane_sheds_all_its_rain() -> None:
    """Reference values, derived: kinematic wave at 30 degrees, 75 mm/h on the plan."""
    times = equilibrium_time(RUNS / np.cos(THIRTY), RAIN * np.cos(THIRTY), pull_on(THIRTY))
    assert_allclose(times, [16.3, 20.6, 23.6, 27.9], atol=0.06)


def test_the_speed_across_the_film_gives_its_mean_and_surface() -> None:
    """Derived apart: momentum balance mu u'' = -rho pull, u(0) = 0, mu u'(h) = shear, by quadrature."""
    h, pull, shear = 3e-4, 2.5, -0.2
    mu = WATER_DENSITY * VISCOSITY
    z = np.linspace(0, h, 20_001)
    rate = (shear + WATER_DENSITY * pull * (h - z)) / mu
    speed = np.concatenate([[0.0], np.cumsum((rate[1:] + rate[:-1]) / 2 * np.diff(z))])
    assert float(surface_speed(h, pull, shear)) == pytest.approx(speed[-1], rel=1e-9)
    flow = float(((speed[1:] + speed[:-1]) / 2 * np.diff(z)).sum())
    assert float(flow_with_shear(h, pull, shear)) == pytest.approx(flow, rel=1e-7)
    assert float(mean_speed(h, pull, shear)) == pytest.approx(flow / h, rel=1e-7)


@repeatable
@given(h=st.floats(1e-5, 5e-3), pull=st.floats(-9.8, 9.8), shear=st.floats(-5, 5))
def test_a_drive_stands_for_the_shear(h: float, pull: float, shear: float) -> None:
    """Derived: the mean speed is that of a film in still air under pull plus film_drive."""
    still = mean_speed(h, pull + film_drive(shear, h))
    assert_allclose(still, mean_speed(h, pull, shear), rtol=1e-9, atol=1e-12)


@repeatable
@given(
    flow=st.floats(1e-9, 1e-2),
    pull=st.one_of(st.just(0.0), st.floats(0.01, 9.8), st.floats(-9.8, -0.01)),
    shear=st.one_of(st.just(0.0), st.floats(0.01, 5), st.floats(-5, -0.01)),
)
def test_a_thickness_carries_its_flow(flow: float, pull: float, shear: float) -> None:
    """Round trip, the least of numpy's own positive roots of the cubic, and inf only where none is."""
    h = float(thickness_with_shear(flow, pull, shear))
    a, b = pull / (3 * VISCOSITY), shear / (2 * WATER_DENSITY * VISCOSITY)
    roots = np.roots([a, b, 0.0, -flow]) if a else np.roots([b, 0.0, -flow] if b else [1.0])
    real = roots[(np.abs(roots.imag) < 1e-9 * np.abs(roots)) & (roots.real > 0)].real
    if np.isinf(h):
        assert not len(real)
    else:
        assert h == pytest.approx(real.min(), rel=1e-4)
        held = 2 * WATER_DENSITY * VISCOSITY * flow * 1e-9 + abs(b) * h**2 * 1e-12
        assert float(flow_with_shear(h, pull, shear)) == pytest.approx(flow, abs=held, rel=1e-9)


def test_no_wind_gives_nusselt_and_no_flow_gives_what_the_wind_holds() -> None:
    """Derived: the limits of the cubic; a film held up is as thick as its net stop point says."""
    pull = float(pull_on(THIRTY))
    assert_allclose(
        thickness_with_shear(RAIN * RUNS, pull, 0.0), nusselt_thickness(RAIN * RUNS, pull)
    )
    held = thickness_with_shear([0.0, 0.0, 0.0], pull, [-0.6, 0.0, 0.6])
    assert_allclose(held, [0.6 * 3 / (2 * WATER_DENSITY * pull), 0.0, 0.0], rtol=1e-12)
    assert float(flow_stop_shear(held[0], pull)) == pytest.approx(0.6)


def test_up_the_slope_a_shear_carries_only_so_much() -> None:
    """Derived: the flow up is greatest at h = shear / (rho pull), tau^3 / (6 mu rho^2 pull^2)."""
    pull, shear = float(pull_on(THIRTY)), 1.0
    most = shear**3 / (6 * WATER_DENSITY**3 * VISCOSITY * pull**2)
    below, above = thickness_with_shear(most * np.array([0.999, 1.001]), -pull, shear)
    assert below == pytest.approx(shear / (WATER_DENSITY * pull), rel=0.05)
    assert below < shear / (WATER_DENSITY * pull)
    assert np.isinf(above)


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (lambda: nusselt_thickness(-1e-5, 1.0), "flow must be 0 or more. Got flow = -1e-05"),
        (lambda: nusselt_thickness(1e-5, 0.0), "pull must be above 0. Got pull = 0.0"),
        (lambda: pull_on(2.0), "slope must be 0 to 1.571. Got slope = 2.0"),
        (lambda: film_drive(1.0, 0.0), "thickness must be above 0. Got thickness = 0.0"),
        (lambda: thickness_with_shear(1e-5, np.nan, 0.0), "pull must be finite. Got pull = nan"),
    ],
)
def test_bad_numbers_get_one_line(work, words) -> None:  # type: ignore[no-untyped-def]
    """Our own wording: what, rule, value."""
    with pytest.raises(SceneError, match=words.replace(".", r"\.")):
        work()
