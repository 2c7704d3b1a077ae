"""Sentences and names that the printed answer and the picture of the gusts share."""

from __future__ import annotations

from collections.abc import Mapping
from string import ascii_lowercase
from typing import Any, Final

from scenes.units_text import spoken
from sim.wind_inputs import CALM

KM_H: Final = 3.6
NAMED_SIDES: Final = 3
"""Directions that tie for the lowest gust are named up to so many, else counted."""
Found = Mapping[str, Any]


def verdict(found: Found) -> str:
    """One sentence: the gust that it stands, from where water then comes, and by which way."""
    lowest = found["lowest"]
    if lowest is None:
        return (
            f"No gust up to {most_tried(found)} ({kilometres(found['up_to_m_s'])}), from any of "
            f"the {len(found['directions'])} directions, gets water behind the flashings."
        )
    path = lowest["path"]
    way = f": {path['way_in']}, {path['cause']}" if path else ""
    if needs_no_wind(lowest):
        return f"Lets water in without any wind{way}."
    if needs_hardly_any(lowest):
        return f"Stands hardly any wind: as soon as rain is blown from {_sides(found)}, water gets in{way}."
    return (
        f"Stands gusts up to {both_units(lowest['gust_m_s'])}; lets water in first with wind from "
        f"{_sides(found)}{way}."
    )


def verdict_with_step(found: Found) -> str:
    """The verdict, and the step of the EN 12208 pressure ladder that its pressure reaches."""
    lowest = found["lowest"]
    step = "" if lowest is None else f" EN 12208 step {lowest['en_12208_pa']:,.0f} Pa."
    return verdict(found) + step


def both_units(gust_m_s: float) -> str:
    """A gust >= 0 [m/s] in both units: `16.4 m/s (59 km/h)`."""
    return f"{metres(gust_m_s)} ({kilometres(gust_m_s)})"


def metres(gust_m_s: float) -> str:
    """A gust [m/s] with one decimal."""
    return f"{gust_m_s:.1f} m/s"


def most_tried(found: Found) -> str:
    """The greatest gust that was tried: `75 m/s`."""
    return f"{found['up_to_m_s']:g} m/s"


def kilometres(gust_m_s: float) -> str:
    """A gust [m/s] in whole km/h."""
    return f"{KM_H * gust_m_s:.0f} km/h"


def beside(gust_m_s: float) -> str:
    """What is said beside a gust in `metres`: whole km/h; nothing where miles an hour are spoken."""
    return "" if spoken().is_imperial else kilometres(gust_m_s)


def needs_no_wind(row: Found) -> bool:
    """Whether a direction's gust reads as 0."""
    return metres(row["gust_m_s"]) == metres(0.0)


def needs_hardly_any(row: Found) -> bool:
    """Whether a direction's gust is a calm, and not nought."""
    return not needs_no_wind(row) and float(row["gust_m_s"]) < CALM


def side_words(name: str) -> str:
    """A direction's name with its articles: `the eaves, towards the right`."""
    return "the " + name.replace("towards ", "towards the ").replace(" and ", " and the ")


def is_lowest(found: Found, row: Found) -> bool:
    """Whether a direction's gust reads the same as the lowest of all."""
    if found["lowest"] is None or row["gust_m_s"] is None:
        return False
    return metres(row["gust_m_s"]) == metres(found["lowest"]["gust_m_s"])


def ways_in(found: Found) -> dict[tuple[str, str], Found]:
    """The different ways in, weakest first: (way in, cause) -> the direction of its lowest gust."""
    rows = [row for row in found["directions"] if row["path"]]
    ways: dict[tuple[str, str], Found] = {}
    for row in sorted(rows, key=lambda row: float(row["gust_m_s"])):
        ways.setdefault(_way(row), row)
    return ways


def letters(found: Found) -> list[str]:
    """For each direction the letter of its way in, `a` the weakest; nothing where water stays out."""
    letter = dict(zip(ways_in(found), ascii_lowercase, strict=False))
    return [letter[_way(row)] if row["path"] else "" for row in found["directions"]]


def covering_sentence(found: Found) -> str:
    """That the covering itself gives way at lower gusts than the flashings; nothing if it doesn't."""
    lower = [row for row in found["directions"] if covering_is_lower(row)]
    if not lower:
        return ""
    first = min(lower, key=lambda row: float(row["covering_gust_m_s"]))
    count, of = len(lower), len(found["directions"])
    return (
        f"The covering's own laps give way before the flashings with wind from {count} of {of} "
        f"directions, first at {both_units(first['covering_gust_m_s'])} from "
        f"{side_words(first['from'])}."
    )


def _way(row: Found) -> tuple[str, str]:
    return row["path"]["way_in"], row["path"]["cause"]


def covering_is_lower(row: Found) -> bool:
    """Whether the covering itself gives way in a direction before the flashings do."""
    own, gust = row["covering_gust_m_s"], row["gust_m_s"]
    return own is not None and (gust is None or own < gust)


def _sides(found: Found) -> str:
    """Where the wind of the lowest gust comes from, with the directions that tie with it."""
    lowest = found["lowest"]
    others = [row["from"] for row in found["directions"] if is_lowest(found, row)]
    names = [lowest["from"], *(name for name in others if name != lowest["from"])]
    if len(names) > NAMED_SIDES:
        return f"{len(names)} of the {len(found['directions'])} directions"
    return ", and from ".join(side_words(name) for name in names)
