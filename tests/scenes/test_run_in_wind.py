"""`stackrain run` in weather: what is told of wind, standing water and gutters, and what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from meshes.errors import SceneError
from scenes.run import run
from scenes.scene import Scene, in_weather, load, read
from tests.scenes.gusts_once import PLAIN

Run = Callable[..., Result]
SMALLEST = "[roof]\npitch_deg = 40\n[stack]\nwidth_mm = 600\ndepth_mm = 450\n[weather]\n"


@cache
def in_gust(gust: float, *, from_deg: float = 90.0, drops: int = 4000) -> dict[str, Any]:
    text = f"{SMALLEST}rain_mm_h = 25\ngust_m_s = {gust}\nfrom_deg = {from_deg}\n"
    return run(read(text, "a.toml", Path()), drops=drops, seed=0).to_dict()


def behind(found: dict[str, Any]) -> float:
    return sum(row["share"] for row in found["water"] if row["fate"] in ("underlay", "inside"))


def test_a_bigger_gust_never_dries_a_leaking_detail() -> None:
    """The model: pressure grows with the gust everywhere alike. More rain comes in at a flatter slant,
    so it is the share behind that is looked at; a fall of two standard errors would be one."""
    shares = [behind(in_gust(gust)) for gust in (12.0, 20.0, 26.0, 34.0)]
    assert shares[0] < 1e-3
    assert 0 < shares[1] < shares[2]
    assert shares[3] > shares[2] - 2 * (shares[2] / 4000) ** 0.5


def test_wind_from_the_other_side_does_the_same_there() -> None:
    """The detail is its own mirror-image: shares alike within the drops' errors, the leaks left and
    right."""
    right, left = in_gust(26.0), in_gust(26.0, from_deg=-90.0)
    assert behind(left) == pytest.approx(behind(right), rel=0.25)
    assert "right" in right["leaks"][0]["way_in"]
    assert "left" in left["leaks"][0]["way_in"]
    assert right["leaks"][0]["cause"] in ("blown across", "driven up a lap")


def test_the_findings_hold_the_weather_and_the_rounds() -> None:
    """findings.json: weather, films, and what every lap does to water."""
    found = in_gust(20.0, drops=1000)
    assert found["weather"]["gust_m_s"] == 20.0
    assert found["weather"]["case"] is None
    assert found["films"]["settled"] is True
    assert 2 <= found["films"]["rounds"] <= 8
    for lap in found["laps"]:
        assert lap["first_leak_gust_m_s"] > 0
        assert lap["stays_wet"] is (0 < lap["capillary_reach_mm"] >= lap["rise_mm"])
    apron = next(lap for lap in found["laps"] if lap["upper"] == "front apron")
    # Derived: 1 mm of bedding draws water 14.9 mm up.
    assert apron["gap_mm"] == pytest.approx(1.0, abs=0.05)
    assert apron["capillary_reach_mm"] == pytest.approx(14.9, abs=0.7)


@pytest.fixture(scope="module")
def leaves() -> tuple[dict[str, Any], dict[str, Any]]:
    """What is found in calm rain and in a cloudburst with both ends of the gutter blocked."""
    scene = read(f'{SMALLEST}[debris]\nleaves = "both"\n', "a.toml", Path())
    found = [
        run(in_weather(scene, case_name=name), drops=3000, seed=0).to_dict()
        for name in ("calm", "cloudburst")
    ]
    return found[0], found[1]


def test_water_stands_behind_leaves_and_spills(leaves: tuple[dict[str, Any], Any]) -> None:
    """A gutter blocked at both ends fills to its lowest rim; how high is in the findings, and nothing
    is lost."""
    found, burst = leaves
    pool = max(found["standing_water"], key=lambda one: one["share"])
    assert pool["spills"]
    assert 5 < pool["depth_mm"] < 110
    assert pool["volume_ml"] > 100
    assert pool["spill_mm"][1] > 400
    assert sum(row["share"] for row in found["water"]) == pytest.approx(1.0, abs=1e-5)
    again = max(burst["standing_water"], key=lambda one: one["share"])
    assert again["depth_mm"] == pytest.approx(pool["depth_mm"], rel=1e-6)


def test_a_cloudburst_stands_deeper_in_the_gutter_than_calm_rain() -> None:
    """Derived: depth goes with the flow to the power 2/3 in a box and 2/5 in a trough."""
    depth = {}
    for name in ("calm", "cloudburst"):
        scene = in_weather(load("cottage"), case_name=name)
        found = run(scene, drops=3000, seed=0).to_dict()
        gutter = max(found["gutters"], key=lambda one: sum(one["flow_ml_min"]))
        assert "back gutter" in gutter["parts"]
        assert gutter["surface_tension_governs"] is (gutter["depth_mm"] < 4.0)
        depth[name] = gutter["depth_mm"]
    assert 2**0.4 - 0.01 <= depth["cloudburst"] / depth["calm"] <= 2**0.667 + 0.01


BAD = [
    ("rain_mm_h = -5", "line 7, weather.rain_mm_h: must be more than 0. Got -5"),
    ("rain_mm_h = 600", "line 7, weather.rain_mm_h: must be 500 or less. Got 600"),
    ("gust_m_s = 500", "line 7, weather.gust_m_s: must be 75 or less. Got 500"),
    ("gust_m_s = nan", "line 7, weather.gust_m_s: must be"),
    ("gust_m_s = -1", "line 7, weather.gust_m_s: must be 0 or more. Got -1"),
    ('gust_m_s = "1048 mph"', "line 7, weather.gust_m_s: must be"),
    ('case = "tempest"', "line 7, weather.case: must be"),
    ("gust_mph = 40", "weather.gust_mph"),
    ("slant_deg = 30\ngust_m_s = 20", "weather.slant_deg: must be left out where there is a gust"),
    ("push_m_s2 = [1, 0, 0]\ngust_m_s = 20", "weather.push_m_s2: must be left out where"),
    ("drag_coefficient = 1", "weather.drag_coefficient: must be 0.05 or less. Got 1"),
    ("pressure_factor = -1", "weather.pressure_factor: must be 0 or more. Got -1"),
]


@pytest.mark.parametrize(("line", "words"), BAD)
def test_bad_weather_is_refused_in_one_line(line: str, words: str) -> None:
    """What, the rule, the value, and the line of the file."""
    with pytest.raises(SceneError) as caught:
        read(f"{SMALLEST}{line}\n", "a.toml", Path())
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_case_stands_for_rain_and_gust_that_are_left_out() -> None:
    """ASTM E331's spray rack: 203.7 mm/h (seen) at 137 Pa (memory), 15.1 m/s (derived)."""
    said = read(f'{SMALLEST}case = "spray rack"\nrain_mm_h = 100\n', "a.toml", Path())
    assert said.weather.gust == 15.1
    assert said.weather.rain == pytest.approx(100 / 3.6e6)


def test_weather_on_the_command_line(stackrain: Run, tmp_path: Path) -> None:
    """--weather and --from stand over what the scene says; a wrong name is one line."""
    asked = ("--drops", 500, "--no-picture", "--weather", "driving", "--from", 90)
    got = stackrain("run", "cottage", "-o", "out", *asked)
    assert got.exit_code == 0, got.stderr
    found = json.loads((tmp_path / "out" / "findings.json").read_text())
    assert found["weather"]["case"] == "driving"
    assert found["weather"]["from_deg"] == 90.0
    wrong = stackrain("run", "cottage", "-o", "other", "--weather", "drivin")
    assert wrong.exit_code == 2
    assert "did you mean 'driving'" in wrong.stderr
    assert not (tmp_path / "other").exists()
    nowhere = stackrain("run", "cottage", "-o", "other", "--from", "nan")
    assert (nowhere.exit_code, nowhere.stderr.count("\n")) == (2, 1)


def test_findings_with_the_gust(stackrain: Run, tmp_path: Path) -> None:
    """findings.json holds the lowest gust and where it comes from."""
    asked = ("--drops", 300, "--no-picture", "--gust", "--quiet")
    (tmp_path / "plain.toml").write_text(PLAIN)
    got = stackrain("run", "plain.toml", "-o", "out", *asked)
    assert got.exit_code == 0, got.stderr
    found = json.loads((tmp_path / "out" / "findings.json").read_text())
    assert 12 < found["first_leak_gust_m_s"] < 25
    lowest = min(
        (row for row in found["first_leak"]["directions"] if row["gust_m_s"] is not None),
        key=lambda row: float(row["gust_m_s"]),
    )
    assert found["first_leak_from_deg"] == lowest["from_deg"]


def test_the_scene_keeps_its_own_weather() -> None:
    """Nothing asked for, nothing changed."""
    scene: Scene = load("cottage")
    assert in_weather(scene) is scene
