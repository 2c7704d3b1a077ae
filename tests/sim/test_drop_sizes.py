"""Sizes and fall speeds of raindrops against the published ones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from sim.drop_sizes import (
    MM_H,
    best_median,
    best_scale,
    best_share_below,
    draw_diameters,
    fall_speed,
    fall_speed_fit,
    mean_fall_speed,
)

# Gunn, Kinzer, J. Meteorology 6 (1949) 243, table 2 (seen), in hundredths of m/s.
SIZES_MM = [*np.arange(1, 11) / 10, *np.arange(6, 30) / 5]
GUNN_KINZER_1949 = [
    27, 72, 117, 162, 206, 247, 287, 327, 367, 403, 464, 517, 565, 609, 649, 690, 727, 757, 782,
    806, 826, 844, 860, 872, 883, 892, 898, 903, 907, 909, 912, 914, 916, 917,
]  # fmt: skip
HYPOTHESIS = settings(derandomize=True, phases=(Phase.explicit, Phase.generate))


def test_all_tabled_fall_speeds() -> None:
    """Gunn, Kinzer (1949), table 2: 34 sizes (seen)."""
    assert len(SIZES_MM) == len(GUNN_KINZER_1949) == 34
    got = fall_speed(np.array(SIZES_MM) / 1000)
    assert_allclose(got, np.array(GUNN_KINZER_1949) / 100, rtol=1e-12)


def test_the_fit_agrees_with_the_table() -> None:
    """Atlas, Srivastava, Sekhon (1973): within 2 % from 0.5 to 5.8 mm (seen); over
    2.5 % off at 0.3 mm, so that its range is no wider than it says."""
    sizes = np.linspace(5e-4, 5.8e-3, 500)
    assert_allclose(fall_speed_fit(sizes), fall_speed(sizes), rtol=0.02)
    assert abs(fall_speed_fit(3e-4) / fall_speed(3e-4) - 1) > 0.025


def test_beyond_the_table_speeds_stay_at_its_ends() -> None:
    """The contract: 0.27 and 9.17 m/s, the first and the last of the table (seen)."""
    assert_allclose(fall_speed([1e-6, 9e-3]), [0.27, 9.17])


@HYPOTHESIS
@given(st.lists(st.floats(1e-6, 0.01), min_size=2, max_size=20))
def test_larger_drops_are_never_slower(sizes: list[float]) -> None:
    """Derived: the measured speeds rise throughout."""
    assert (np.diff(fall_speed(np.sort(sizes))) >= 0).all()


@pytest.mark.parametrize(
    ("rain_mm_h", "median_mm"),
    [(1, 1.105), (5, 1.605), (10, 1.885), (20, 2.213), (50, 2.738), (100, 3.215)],
)
def test_medians(rain_mm_h: float, median_mm: float) -> None:
    """Derived from Best (1950) (second-hand), to the last figure given."""
    median = best_median(rain_mm_h * MM_H)
    assert median * 1000 == pytest.approx(median_mm, abs=6e-4)
    assert best_share_below(median, rain_mm_h * MM_H) == pytest.approx(0.5, rel=1e-12)


def test_the_scale_and_the_shares_below() -> None:
    """Best (1950) (second-hand): at 1 mm/h the scale is 1.30 mm, and 1 - 1/e lies below it."""
    assert best_scale(MM_H) == pytest.approx(1.30e-3, rel=1e-12)
    assert best_share_below(1.30e-3, MM_H) == pytest.approx(1 - np.exp(-1), rel=1e-12)
    assert best_share_below(2.60e-3, MM_H) == pytest.approx(1 - np.exp(-(2**2.25)), rel=1e-12)


@pytest.mark.parametrize(
    ("rain_mm_h", "slowness"),
    [(1, 0.237), (5, 0.183), (10, 0.166), (20, 0.152), (50, 0.139), (100, 0.131)],
)
def test_one_over_the_mean_fall_speed(rain_mm_h: float, slowness: float) -> None:
    """Derived from Best and from Gunn and Kinzer, water in the air [s/m], to the last figure."""
    assert 1 / mean_fall_speed(rain_mm_h * MM_H) == pytest.approx(slowness, abs=5.1e-4)


@pytest.mark.parametrize("rain_mm_h", [1, 20, 75, 203.7])
def test_what_falls_is_what_is_in_the_air_times_its_speed(rain_mm_h: float) -> None:
    """Derived: drawn sizes stand for water on a level area. Weighted by one over the fall speed they
    are the water in the air again: its mean speed, and Best's share below each size."""
    rain = rain_mm_h * MM_H
    sizes = draw_diameters((np.arange(200_000) + 0.5) / 200_000, rain)
    assert sizes.min() >= 1e-4 - 1e-18
    assert sizes.max() <= 5.8e-3
    in_air = 1 / fall_speed(sizes)
    assert 1 / in_air.mean() == pytest.approx(mean_fall_speed(rain), rel=1e-4)
    for size in (0.5e-3, 1e-3, 2e-3, 4e-3, 5.7e-3):
        share = in_air[sizes < size].sum() / in_air.sum()
        assert share == pytest.approx(float(best_share_below(size, rain)), abs=2e-4)


def test_heavier_rain_has_larger_drops_draw_by_draw() -> None:
    """Derived: Best's scale rises with the rain; so do the sizes at each draw, but for the ends."""
    draws = np.linspace(0.01, 0.9, 50)
    light, heavy = draw_diameters(draws, 2 * MM_H), draw_diameters(draws, 50 * MM_H)
    assert (heavy > light).all()
    assert (np.diff(light) > 0).all()


def test_what_is_no_size_and_no_rain_is_refused() -> None:
    """Rule of the project: one clear line with the rule and the value."""
    with pytest.raises(
        SceneError, match=r"drop size must be above 0 m and finite\. Got .* = -0\.001"
    ):
        fall_speed([1e-3, -1e-3])
    with pytest.raises(SceneError, match=r"rain must be above 0 m/s and finite\. Got rain = nan"):
        mean_fall_speed(float("nan"))
    with pytest.raises(SceneError, match="draws of drop sizes must be 0 or more and under 1"):
        draw_diameters([0.5, 1.0], MM_H)
