"""Hours of a weather record in which water would have got in, and its driving rain."""

from __future__ import annotations

from math import cos, inf, nan, pi

import numpy as np
import pytest

from meshes.errors import SceneError
from scenes.record import Record, read_record
from scenes.record_hours import GUST_FACTOR, driving_rain_index, hours_let_in
from sim.wind import sixteen
from tests.scenes import airport
from tests.scenes.airport import hourly


@pytest.fixture(scope="module")
def jfk(tmp_path_factory: pytest.TempPathFactory) -> Record:
    return read_record(airport.write("JFK", tmp_path_factory.mktemp("record") / "jfk.csv"))


def test_the_factor_for_gusts_is_near_the_record_s_own(jfk: Record) -> None:
    """Durst (1960), 1.40 (second-hand); the airport's middle over 1,507 hours, 1.42 (derived)."""
    known = ~np.isnan(jfk.gust)
    own = np.median(jfk.gust[known] / jfk.wind[known])
    assert known.sum() == pytest.approx(1507, abs=3)
    assert own == pytest.approx(1.42, abs=0.005)
    assert pytest.approx(own, abs=0.03) == GUST_FACTOR


def test_hours_by_direction() -> None:
    """By hand. Eaves look south (180): wind from the south is from the eaves, from the east from
    the right, north the ridge, west the left. It leaks from 10 m/s at the eaves, 20 elsewhere."""
    record = hourly(
        (8, 180, 2, 12),  # eaves, in
        (8, 170, 3, 9.9),  # eaves, not enough
        (10, 90, 1, 19.9),  # right, not enough
        (15, 90, 4, nan),  # right, 15 x 1.4 = 21, in
        (14, 270, 5, nan),  # left, 19.6, not enough
        (30, 180, 0, 40),  # no rain
        (0, 0, 6, nan),  # no wind
        (25, 22.5, 7, 25),  # ridge towards the right, in
    )
    gusts = np.full(16, 20.0)
    gusts[0] = 10.0
    found = hours_let_in(record, sixteen(), gusts, eaves_compass_deg=180)
    assert found.from_deg[[0, 4, 8, 12]].tolist() == [180, 90, 0, 270]
    expected_wet = {0: 2, 4: 2, 7: 1, 12: 1}
    assert {i: int(n) for i, n in enumerate(found.wet) if n} == expected_wet
    assert {i: int(n) for i, n in enumerate(found.let_in) if n} == {0: 1, 4: 1, 7: 1}
    assert {i: mm for i, mm in enumerate(found.rain_let_in) if mm} == {0: 2, 4: 4, 7: 7}
    assert found.rain.sum() + found.still_rain == record.rain.sum()
    assert (found.still_wet, found.still_let_in, found.still_rain) == (1, 0, 6)
    assert (found.hours_wet, found.hours_let_in, found.assumed) == (7, 3, 3)
    more = hours_let_in(record, sixteen(), gusts, eaves_compass_deg=180, gust_factor=1.5)
    assert more.hours_let_in == 4


def test_a_detail_that_leaks_without_wind_leaks_in_every_wet_hour(jfk: Record) -> None:
    """Derived: first-leak gust 0 lets each wet hour in, infinity none."""
    every = hours_let_in(jfk, sixteen(), np.zeros(16), eaves_compass_deg=200)
    assert every.hours_let_in == every.hours_wet == 574
    assert every.rain_let_in.sum() + every.still_rain == pytest.approx(jfk.rain.sum(), rel=1e-12)
    assert hours_let_in(jfk, sixteen(), np.full(16, inf), eaves_compass_deg=200).hours_let_in == 0


def test_fewer_hours_for_a_better_detail(jfk: Record) -> None:
    """Derived: a greater first-leak gust never lets more hours in; this year's gales do tell."""
    counts = [
        hours_let_in(jfk, sixteen(), np.full(16, gust), eaves_compass_deg=180).hours_let_in
        for gust in (0, 5, 10, 15, 20, 25)
    ]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) == 6
    assert counts[-1] == 0


def test_turning_house_and_wind_together_changes_nothing(jfk: Record) -> None:
    """Derived: a compass has no preferred north. 37 degrees puts no wind on a sector's border."""
    gusts = 12 + 4 * np.cos(sixteen() - 1)
    turned = Record("turned", jfk.time, jfk.wind, (jfk.from_deg + 37) % 360, jfk.rain, jfk.gust)
    here = hours_let_in(jfk, sixteen(), gusts, eaves_compass_deg=180)
    there = hours_let_in(turned, sixteen(), gusts, eaves_compass_deg=217)
    assert here.let_in.tolist() == there.let_in.tolist()
    assert 0 < here.hours_let_in < here.hours_wet
    assert there.from_deg == pytest.approx((here.from_deg + 37) % 360)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"gusts": np.zeros(15)}, "directions and first-leak gusts must be as many of each"),
        ({"gusts": np.full(16, nan)}, "first-leak gusts must be 0 m/s or more"),
        ({"from_angles": np.full(16, nan)}, "from_angles must be finite rad"),
        ({"eaves_compass_deg": nan}, "eaves_compass_deg must be -360 to 360 degrees. Got"),
        ({"eaves_compass_deg": 400}, "eaves_compass_deg must be -360 to 360 degrees. Got"),
        ({"gust_factor": 0.9}, "gust_factor must be 1 to 3. Got gust_factor = 0.9"),
        ({"gust_factor": nan}, "gust_factor must be 1 to 3. Got gust_factor = nan"),
    ],
)
def test_bad_questions_get_one_line(change: dict[str, object], message: str) -> None:
    """Habits: name, rule, value."""
    asked: dict[str, object] = {
        "from_angles": sixteen(), "gusts": np.zeros(16), "eaves_compass_deg": 180.0, **change
    }  # fmt: skip
    with pytest.raises(SceneError) as caught:
        hours_let_in(hourly((5, 90, 1, 6)), **asked)  # type: ignore[arg-type]
    assert str(caught.value).startswith(message)
    assert "\n" not in str(caught.value)


def test_driving_rain_of_a_record(jfk: Record) -> None:
    """ISO 15927-3:2009 (second-hand): (2/9) sum v r^(8/9) cos(D - theta), by hand for two hours, the
    third being behind the wall. In the airport's year the wall that looks south-east (gales of
    autumn and winter, nor'easters) gets more than the one that looks north-west."""
    record = hourly((9, 180, 2, 10), (4, 240, 8, 6), (12, 0, 5, 15))
    by_hand = 2 / 9 * (9 * 2 ** (8 / 9) + 4 * 8 ** (8 / 9) * cos(pi / 3))
    assert driving_rain_index(record, 180) == pytest.approx(by_hand, rel=1e-12)
    assert driving_rain_index(jfk, 135) > 2 * driving_rain_index(jfk, 315) > 0
    with pytest.raises(SceneError, match="facing_deg must be"):
        driving_rain_index(jfk, nan)
