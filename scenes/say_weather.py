"""The weather in plain words, from what `findings.json` holds of it."""

from __future__ import annotations

from collections.abc import Mapping
from math import radians
from typing import Any

from scenes.gust_words import both_units, side_words
from scenes.say_text import count
from scenes.units_keys import counted
from scenes.weather import case
from sim.wind import direction_name

Found = Mapping[str, Any]


def weather_words(weather: Found) -> str:
    """One line: the case by name where there is one, the rain, and the wind or still air.

    weather: rain_mm_h [mm/h], gust_m_s [m/s], from_deg and slant_deg [degrees], push_m_s2 (3,)
    [m/s2] and case, a name of scenes.weather.CASES or None.
    """
    named = f"{case(weather['case']).title}: " if weather["case"] else ""
    rain = f"{weather['rain_mm_h']:g} mm/h of rain"
    return f"{named}{rain}{_air(weather)}"


def wind_words(weather: Found) -> tuple[str, str]:
    """Where the wind comes from and how strong its gust is: `Wind from the right`, `23.7 m/s (85
    km/h)`."""
    side = side_words(direction_name(radians(weather["from_deg"])))
    return f"Wind from {side}", both_units(weather["gust_m_s"])


def is_windy(weather: Found) -> bool:
    """Whether a gust blows."""
    return bool(weather["gust_m_s"] > 0)


def films_words(films: Found) -> str:
    """How often water was traced until its films in the wind settled; nothing in still air."""
    if films["rounds"] == 0:
        return ""
    rounds = count(films["rounds"], "round")
    if films["settled"]:
        return f"The films of water in this wind settled in {rounds}."
    return (
        f"The films of water in this wind had not settled after {rounds}: "
        "shares and flows are less certain than their errors say."
    )


def _air(weather: Found) -> str:
    if is_windy(weather):
        side = side_words(direction_name(radians(weather["from_deg"])))
        return f", in gusts of {both_units(weather['gust_m_s'])} from {side}"
    words = ""
    if weather["slant_deg"] > 0:
        side = side_words(direction_name(radians(weather["from_deg"])))
        slant = counted(f"{weather['slant_deg']:g}", "degrees")
        words = f" that slants {slant} from {side}"
    if any(weather["push_m_s2"]):
        push = ", ".join(f"{value:g}" for value in weather["push_m_s2"])
        return f"{words}, with a push on all water of ({push}) m/s2"
    return f"{words}, in still air"
