"""Rain driven at planes, against what others measured and print."""

from __future__ import annotations

from math import atan, pi, radians

import numpy as np
import pytest

from meshes.errors import SceneError
from sim.driving_rain import airfield_index, catch_ratio, driving_rain, lacy
from sim.drop_sizes import MM_H


@pytest.mark.parametrize("rain_mm_h", [1, 2, 5, 10, 20, 30, 50, 75, 100])
@pytest.mark.parametrize("wind", [3.0, 12.0])
def test_sizes_and_speeds_give_what_was_observed(rain_mm_h: float, wind: float) -> None:
    """Lacy (1965), 0.222 U R^0.88 (coefficient second-hand, exponent memory): within 7 %, the
    difference that the sources leave (derived)."""
    rain = rain_mm_h * MM_H
    assert driving_rain(rain, wind) == pytest.approx(lacy(rain, wind), rel=0.07)


def test_lacy_as_printed() -> None:
    """Lacy (1965) at 1 and 10 mm/h: 0.222 and 0.222 x 10^0.88 = 1.684 mm/h for each m/s."""
    assert lacy(MM_H, 1.0) / MM_H == pytest.approx(0.222, rel=1e-12)
    assert lacy(10 * MM_H, 2.0) / MM_H == pytest.approx(2 * 1.684, rel=3e-4)
    assert lacy(0.0, 5.0) == 0.0


def test_driving_rain_goes_with_the_wind() -> None:
    """Derived: proportional to the wind; 10 mm/h at 10 m/s gives 16.6 mm/h (1 / 6.02 s/m)."""
    assert driving_rain(10 * MM_H, 10.0) / MM_H == pytest.approx(16.6, abs=0.05)
    assert driving_rain(10 * MM_H, 5.0) == pytest.approx(driving_rain(10 * MM_H, 10.0) / 2)
    assert driving_rain(10 * MM_H, 0.0) == 0.0


@pytest.mark.parametrize(("pitch_deg", "printed"), [(30, 1.29), (45, 1.50), (60, 1.87)])
def test_catch_of_pitched_planes(pitch_deg: float, printed: float) -> None:
    """UK Approved Document H (seen): rain that falls 2 down for 1 across, to the last figure."""
    assert catch_ratio(radians(pitch_deg), atan(0.5)) == pytest.approx(printed, abs=0.005)


def test_catch_turned_away() -> None:
    """Derived: 1 + tan tan cos: square to the rain's way as on the level; turned right away, twice
    as steep as the rain, nothing; level, always 1."""
    assert catch_ratio(radians(40), 0.6, pi / 2) == pytest.approx(1.0, rel=1e-12)
    assert catch_ratio(radians(30), atan(0.5), pi) == pytest.approx(1 - 0.28868, abs=1e-5)
    assert catch_ratio(atan(2.0), atan(1.0), pi) == 0.0
    assert catch_ratio(0.0, 1.2, 2.0) == 1.0


def test_airfield_index() -> None:
    """ISO 15927-3:2009 (second-hand): by hand, 2/9 (9 x 1 cos 0 + 4.5 x 2^(8/9) cos 60), with an hour
    of wind from behind and one without rain that count nothing."""
    wind = np.array([9.0, 4.5, 7.0, 6.0])
    rain = np.array([1.0, 2.0, 5.0, 0.0]) * MM_H
    source = np.radians([200.0, 260.0, 20.0, 200.0])
    by_hand = 2 / 9 * (9 + 4.5 * 2 ** (8 / 9) / 2)
    assert airfield_index(wind, rain, source, radians(200)) * 1000 == pytest.approx(by_hand)
    assert airfield_index(wind, rain, source + 2 * pi, radians(200)) * 1000 == pytest.approx(
        by_hand
    )
    assert airfield_index([], [], [], 0.0) == 0.0


@pytest.mark.parametrize(
    ("got", "words"),
    [
        (lambda: driving_rain(MM_H, -1.0), "wind must be 0 m/s or more and finite"),
        (lambda: driving_rain(0.0, 1.0), "rain must be above 0 m/s"),
        (lambda: lacy(float("nan"), 1.0), "rain must be 0 m/s or more and finite"),
        (lambda: catch_ratio(pi / 2, 0.1), "pitch must be 0 rad to under a right angle"),
        (lambda: catch_ratio(0.1, -0.1), "slant must be 0 rad to under a right angle"),
        (lambda: airfield_index([1.0, -2.0], [0, 0], [0, 0], 0.0), "hourly wind must be 0 m/s"),
        (lambda: airfield_index([1.0], [float("inf")], [0], 0.0), "hourly rain must be 0 m/s"),
        (lambda: airfield_index([1.0], [0, 0], [0], 0.0), "must be as many of each"),
        (lambda: airfield_index([1.0], [0], [0], float("nan")), "must be finite"),
    ],
)
def test_nonsense_is_refused(got, words: str) -> None:  # type: ignore[no-untyped-def]
    """Rule of the project: one clear line with the rule and the value."""
    with pytest.raises(SceneError, match=words):
        got()
