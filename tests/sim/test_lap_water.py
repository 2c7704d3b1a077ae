"""What a lap does to water by itself: its gap, how far that draws water in, and whether it stays wet."""

from __future__ import annotations

from math import cos, inf, radians, sin, sqrt

import pytest

from meshes.parts import Assembly, Role
from sim.cast import Caster
from sim.contacts import join_contacts
from sim.lap_water import LapsKnown, LapWater
from sim.laps import Lap
from sim.surface import Surface
from tests.sim.lapped import AIR, RHO_G, plate

REACH_OF_A_MILLIMETRE = 0.0149  # 2 sigma / (rho g d) for d = 1 mm [m] (derived; Jurin)


def apart(gap: float, lap: float, *, pitch_deg: float = 30.0) -> tuple[Lap, LapWater]:
    """A lap of `lap` [m] along a slope, its sheets `gap` [m] apart square to it: measures, and water."""
    pitch = radians(pitch_deg)
    run = lap * cos(pitch)
    low = plate("low", Role.FLASHING, (-1.0, 1.0), (-0.5, run), pitch, 0.0)
    high = plate("high", Role.FLASHING, (-0.8, 0.8), (0.0, run + 0.5), pitch, gap / cos(pitch))
    surface = join_contacts(Surface.of(Assembly((low, high))))
    caster = Caster.of(surface)
    known = LapsKnown.on(surface, caster)
    (found,) = (
        (lap, water)
        for lap, water in zip(known.laps, known.water, strict=True)
        if lap.upper == "high"
    )
    return found


@pytest.mark.parametrize("gap", [0.0005, 0.001, 0.002, 0.004])
def test_the_gap_is_measured_and_reaches_by_jurins_law(gap: float) -> None:
    """Derived: 2 sigma / (rho g d), 14.9 mm for 1 mm (reference-values.md); the distance square to the
    sheets counts."""
    _, water = apart(gap, 0.15)
    assert water.gap == pytest.approx(gap, rel=1e-3)
    assert water.reach == pytest.approx(REACH_OF_A_MILLIMETRE * 0.001 / gap, rel=2e-3)


def test_a_lap_stays_wet_where_its_rise_is_under_the_reach() -> None:
    """Derived: 1 mm reaches 14.9 mm: a lap of 25 mm up 30 degrees rises 12.5 mm and stays wet, one of
    35 mm rises 17.5 mm and doesn't."""
    for lap, wet in ((0.025, True), (0.035, False)):
        measured, water = apart(0.001, lap)
        assert measured.rise == pytest.approx(lap * sin(radians(30)), rel=0.02)
        assert water.wet is wet


def test_a_wide_gap_breaks_capillarity() -> None:
    """Common practice, no source: 5 mm and more draw nothing in, however short the lap."""
    _, narrow = apart(0.0048, 0.004)
    _, wide = apart(0.0052, 0.004)
    assert narrow.reach > 0
    assert (wide.reach, wide.wet) == (0.0, False)


def test_pressure_and_gust_are_those_of_the_rise() -> None:
    """Derived: rho g l sin t, and the gust whose stagnation pressure that is."""
    measured, water = apart(0.001, 0.15)
    assert water.pressure == pytest.approx(RHO_G * measured.rise, rel=1e-6)
    assert water.gust == pytest.approx(sqrt(2 * water.pressure / AIR), rel=1e-6)
    assert water.gust < inf
