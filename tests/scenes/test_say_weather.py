"""The answer in plain words: the weather, and what holds in a wind."""

from __future__ import annotations

from typing import Any

import pytest

from scenes.say import answer, verdict
from scenes.say_weather import films_words, weather_words
from tests.scenes.answer_found import GALE, found, weather
from tests.scenes.gust_found import gusts_found


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "75 mm/h of rain, in still air"),
        ({"case": "calm"}, "Heavy rain, no wind: 75 mm/h of rain, in still air"),
        (
            {"gust_m_s": 30.0, "from_deg": 202.5},
            "75 mm/h of rain, in gusts of 30.0 m/s (108 km/h) from the ridge, towards the left",
        ),
        (
            {"slant_deg": 30.0, "from_deg": 270.0},
            "75 mm/h of rain that slants 30 degrees from the left, in still air",
        ),
        (
            {"slant_deg": 1.0, "from_deg": 270.0},
            "75 mm/h of rain that slants 1 degree from the left, in still air",
        ),
        (
            {"push_m_s2": [0.0, 2.5, 0.0]},
            "75 mm/h of rain, with a push on all water of (0, 2.5, 0) m/s2",
        ),
    ],
)
def test_the_weather_in_words(changes: dict[str, Any], words: str) -> None:
    """Derived: 30 m/s is 108 km/h; directions are those of sim.wind, from the eaves by the right."""
    assert weather_words(weather(**changes)) == words


def test_the_answer_tells_the_weather_after_the_title() -> None:
    """Derived: 23.7 m/s is 85 km/h."""
    text = answer(found(weather=GALE, films={"rounds": 2, "settled": True}))
    assert " ".join(text.split("\n\n")[1].split()) == (
        "Weather: A gale with rain: 5.1 mm/h of rain, in gusts of 23.7 m/s (85 km/h) from the "
        "right. The films of water in this wind settled in 2 rounds."
    )


def test_films_that_do_not_settle_are_said() -> None:
    """Derived from the findings given; in still air there are no such films."""
    assert films_words({"rounds": 0, "settled": True}) == ""
    assert films_words({"rounds": 1, "settled": True}).endswith("settled in 1 round.")
    assert "had not settled after 8 rounds" in films_words({"rounds": 8, "settled": False})


def test_the_verdict_is_of_this_wind() -> None:
    """Derived: what holds in a wind is said to; held water then also stands in laps."""
    assert verdict(found(weather=GALE)).startswith("In this wind water gets behind the flashings")
    held = [{"fate": "held", "share": 0.012, "share_se": 0.001, "flow_ml_min": 24.0}]
    dry = verdict(found(weather=GALE, water=held, leaks=[], laps=[]))
    assert dry.startswith(
        "In this wind no water gets behind the flashings. 1.2 % is held in laps by the wind, or in "
        "hollows."
    )
    pushed = weather(push_m_s2=[0.0, 2.5, 0.0])
    assert "1.2 % is held where it found no way on." in verdict(
        found(weather=pushed, water=held, leaks=[], laps=[])
    )


def test_the_first_leak_gust_has_its_own_line_where_it_was_searched() -> None:
    """Derived from the gusts given (16.4 m/s is 59 km/h, and 162 Pa reach the step of 150 Pa)."""
    assert "Stands gusts" not in answer(found())
    text = " ".join(answer(found(first_leak=gusts_found())).split())
    assert "Stands gusts up to 16.4 m/s (59 km/h); lets water in first with wind from the" in text
    assert "EN 12208 step 150 Pa." in text
