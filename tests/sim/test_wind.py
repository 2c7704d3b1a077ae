"""Wind: pressure, head of water, the ladder of test pressures, the ways round a stack."""

from __future__ import annotations

from itertools import pairwise
from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.errors import SceneError
from sim.wind import (
    CODE_AIR,
    blow,
    code_pressure,
    direction_name,
    gust_of_pressure,
    head_of_water,
    ladder_step,
    sixteen,
    stagnation_pressure,
)

QUICK = settings(derandomize=True, phases=(Phase.explicit, Phase.generate), max_examples=200)


def test_pressure_of_the_code_s_worked_example() -> None:
    """BS 6399-2, worked example (seen): 47.48 m/s gives 1381.8 Pa. The speed is printed to 0.01
    m/s, so the pressure is known to 2 x 0.613 x 47.48 x 0.005 = 0.29 Pa. Air: 1.226 kg/m3."""
    assert code_pressure(47.48) == pytest.approx(1381.8, abs=0.29)
    assert 2 * code_pressure(1.0) == pytest.approx(1.226, rel=1e-12)


@pytest.mark.parametrize(
    ("gust", "pressure", "head_mm"),
    [
        (10, 61.3, 6.3),
        (15, 138, 14.1),
        (20, 245, 25.0),
        (25, 383, 39.1),
        (30, 552, 56.4),
        (35, 751, 76.7),
        (40, 981, 100.2),
    ],
)
def test_pressure_and_head(gust: float, pressure: float, head_mm: float) -> None:
    """reference-values.md (derived, from 0.613 V^2, so with air of 1.226 kg/m3), to the digits
    printed there."""
    assert code_pressure(gust) == pytest.approx(pressure, abs=0.51 if pressure > 100 else 0.051)
    assert 1000 * head_of_water(code_pressure(gust)) == pytest.approx(head_mm, abs=0.051)


def test_what_holds_up_75_mm_of_water() -> None:
    """reference-values.md (derived): 734 Pa, 34.6 m/s by the code's air; air at 20 C, which is
    thinner, needs sqrt(1.226/1.204) times as much."""
    pressure = 734.2
    assert 1000 * head_of_water(pressure) == pytest.approx(75.0, abs=0.01)
    code = gust_of_pressure(pressure, air_density=CODE_AIR)
    assert code == pytest.approx(34.6, abs=0.05)
    assert gust_of_pressure(pressure) / code == pytest.approx((1.226 / 1.204) ** 0.5, rel=1e-12)


@QUICK
@given(st.floats(0, 100), st.floats(0.5, 2))
def test_pressure_turns_round(gust: float, air: float) -> None:
    """Derived: one relation solved for either side."""
    pressure = stagnation_pressure(gust, air_density=air)
    assert gust_of_pressure(pressure, air_density=air) == pytest.approx(gust, rel=1e-12, abs=1e-150)


def test_the_ladder_of_test_pressures() -> None:
    """EN 12208 (seen): 0 50 100 150 200 250 300 450 600, then every 150 Pa. A pressure reaches the
    greatest step that is not above it."""
    steps = [0, 50, 100, 150, 200, 250, 300, 450, 600, 750, 900, 1050, 1200]
    for step, following in pairwise(steps):
        assert ladder_step(step) == step
        assert ladder_step((step + following) / 2) == step
        assert ladder_step(following - 0.01) == step
    assert ladder_step(8999.0) == 8850


@pytest.mark.parametrize("step", [50.0, 300.0, 450.0, 600.0, 750.0, 1500.0])
def test_rounding_costs_no_step(step: float) -> None:
    """Derived: a step's pressure by way of its gust is that step, not the one below."""
    assert ladder_step(stagnation_pressure(gust_of_pressure(step))) == step
    assert ladder_step(np.nextafter(step, 0.0)) == step


def test_where_wind_blows_to() -> None:
    """By the axes of design.md: from the eaves it blows up the slope (+y), from the right towards
    -x; level and of length 1."""
    assert blow(0.0) == pytest.approx([0, 1, 0])
    assert blow(pi / 2) == pytest.approx([-1, 0, 0])
    for angle in sixteen():
        assert np.linalg.norm(blow(angle)) == pytest.approx(1.0, rel=1e-15)
        mirrored = blow(-angle)
        assert mirrored == pytest.approx(blow(angle) * [-1, 1, 1], abs=1e-15)


def test_sixteen_directions() -> None:
    """Derived: a quarter of a right angle apart, from 0, none twice."""
    angles = sixteen()
    assert angles.shape == (16,)
    assert np.degrees(angles) == pytest.approx(np.arange(16) * 22.5)


def test_direction_names() -> None:
    """Our own words: sixteen, all different; sides of a stack; mirrored wind swaps left and right."""
    names = [direction_name(angle) for angle in sixteen()]
    assert names[:5] == [
        "eaves",
        "eaves, towards right",
        "eaves and right",
        "right, towards eaves",
        "right",
    ]
    assert (names[6], names[8], names[10], names[12]) == (
        "ridge and right",
        "ridge",
        "ridge and left",
        "left",
    )
    assert len(set(names)) == 16
    swap = {"left": "right", "right": "left"}
    for angle, name in zip(sixteen(), names, strict=True):
        words = name.replace(",", " ,").split()
        mirrored = " ".join(swap.get(word, word) for word in words).replace(" ,", ",")
        assert direction_name(-angle) == mirrored
        assert direction_name(angle + 2 * pi + 0.1) == name


@pytest.mark.parametrize("wrong", [-1.0, nan, inf])
def test_what_is_no_wind_is_refused(wrong: float) -> None:
    """Habits: one line with the name, the rule and the value."""
    for function, name in (
        (stagnation_pressure, "gust"),
        (code_pressure, "gust"),
        (gust_of_pressure, "pressure"),
        (head_of_water, "pressure"),
        (ladder_step, "pressure"),
    ):
        with pytest.raises(
            SceneError, match=rf"^{name} must be .*0 or more\. Got {name} = {wrong}$"
        ):
            function(wrong)
    with pytest.raises(SceneError, match="air_density must be"):
        gust_of_pressure(10.0, air_density=min(wrong, 0.0))


def test_no_direction_is_refused() -> None:
    """Habits: NaN never passes."""
    for function in (blow, direction_name):
        with pytest.raises(SceneError, match="from_angle must be a finite number"):
            function(nan)
