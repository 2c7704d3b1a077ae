"""A lesson: one page with right and wrong side by side, and a question for the class."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from scenes.compare_words import (
    BEHIND,
    IN_THIS_WEATHER,
    SIDES,
    WRONG,
    behind,
    difference,
    effect,
    gust_words,
    is_fine,
    labels,
    lap_figures,
    lap_name,
    ran_behind,
    titles,
)
from scenes.lesson_words import question
from scenes.say import WORTH_TELLING
from scenes.say_text import count, figure
from scenes.say_weather import weather_words
from scenes.stage_words import LINES, capital, percent
from scenes.units_text import in_spoken

Found = Mapping[str, Any]

TEMPLATES = Path(__file__).parent / "templates"
MOST_LEAKS = 6
MOST_LAPS = 8
MOST_DIFFERENCES = 8
"""Rows under one heading: a lesson is one page."""
UNCHANGED = ("scene", "title", "made")
"""Names: they stay as they are in every unit."""
CLEARLY_LONGER = 10.0
"""Laps that are long enough on both sides and differ by less are left out [mm]."""
ENDS = {
    "shed": "runs off the roof",
    "held": "held where it is",
    "underlay": "behind the flashings, on the underlay",
    "inside": "behind the flashings, inside",
}


def lesson_page(found: Found, views: tuple[bytes, bytes] | None) -> str:
    """The page as text, self-contained: no script, no network. views: both pictures as PNG files, or
    None. Whatever came from a scene file is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    pages = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    told = _told(found, views)
    kept = {key: told[key] for key in UNCHANGED}
    return pages.get_template("lesson.html").render(in_spoken(told) | kept, lines=LINES) + "\n"


def _told(found: Found, views: tuple[bytes, bytes] | None) -> dict[str, Any]:
    names = labels(found)
    asked = question(found)
    differences = [capital(line) for line in difference(found)]
    return {
        "title": " and ".join((names[0], names[1].lower())),
        "scene": found["first"]["scene"]["title"],
        "sides": [
            _side(found, rank, None if views is None else views[rank]) for rank in range(len(SIDES))
        ],
        "names": names,
        "differences": differences[:MOST_DIFFERENCES],
        "more_differences": max(0, len(differences) - MOST_DIFFERENCES),
        "effect": effect(found),
        "leaks": [_leak(row, names) for row in found["leaks"][:MOST_LEAKS]],
        "more_leaks": max(0, len(found["leaks"]) - MOST_LEAKS),
        "figures": _figures(found),
        "question": asked.asked,
        "answer": asked.answer,
        "weather": capital(weather_words(found["weather"])),
        "same_rain": found["rain"]["same"],
        "notes": found["notes"],
        "pictured": views is not None,
        "cautions": found["cautions"],
        "made": f"stackrain {found['version']}, seed {found['seed']}, {count(found['drops'], 'drop')}",
    }


def _side(found: Found, rank: int, view: bytes | None) -> dict[str, Any]:
    side, name = found[SIDES[rank]], labels(found)[rank]
    fine, verdict = is_fine(side), _verdict(side)
    return {
        "name": name,
        "title": titles(found)[rank],
        "fine": fine and name != WRONG,
        "verdict": f"{verdict}, {IN_THIS_WEATHER}" if fine and name == WRONG else verdict,
        "image": None if view is None else "data:image/png;base64," + b64encode(view).decode(),
    }


def _verdict(side: Found) -> str:
    share, _ = behind(side)
    words = "No water gets behind the flashings"
    if share == 0 and ran_behind(side) >= WORTH_TELLING:
        words = "No water gets through, but some runs behind a flashing and out again"
    if share > 0:
        where = f" at {count(side['leaks'], 'place')}" if side["leaks"] else ""
        words = f"{percent(share)} of the rain gets behind the flashings{where}"
    short = side["laps_too_short"]
    return f"{words}; {count(short, 'lap')} too short" if short else words


def _leak(row: Found, names: tuple[str, str]) -> dict[str, Any]:
    leaks = [row[side] for side in SIDES]
    told = leaks[1] or leaks[0]
    shares = [
        f"{name.lower()}: {percent(leak['share']) if leak else 'dry'}"
        for name, leak in zip(names, leaks, strict=True)
    ]
    return {
        "number": row["number"],
        "way_in": capital(told["way_in"]),
        "shares": ", ".join(shares),
        "why": told["why"],
    }


def _figures(found: Found) -> list[tuple[str, str, str]]:
    """Rows of the small table: what, on the first side, on the second."""
    sides = [found[side] for side in SIDES]
    ends = [{row["fate"]: row for row in side["water"]} for side in sides]
    rows: list[tuple[str, str, str]] = []
    for fate, words in ENDS.items():
        one, two = (_share(side[fate]) for side in ends)
        if fate in ("shed", BEHIND[0]) or any(side[fate]["share"] for side in ends):
            rows.append((f"Water: {words}", one, two))
    if any(ran_behind(side) >= WORTH_TELLING for side in sides):
        one, two = (percent(ran_behind(side)) for side in sides)
        rows.append(("Water: behind a flashing on its way", one, two))
    rows.append(("Places where water gets in", *(str(side["leaks"]) for side in sides)))  # type: ignore[arg-type]
    rows.append(("Laps too short", *(_of(side) for side in sides)))  # type: ignore[arg-type]
    if "first_leak_gust_m_s" in sides[0]:
        rows.append(("First-leak gust", *(gust_words(side) for side in sides)))  # type: ignore[arg-type]
    for row in [row for row in found["laps"] if _tells(row)][:MOST_LAPS]:
        one, two = (lap_figures(row, side) for side in SIDES)
        rows.append((f"Lap: {lap_name(row)}", one, two))
    return rows


def _tells(row: Found) -> bool:
    """Whether a lap is for the class: too short on one side, or there on both and clearly longer on
    one."""
    one, two = (row[f"length_mm_{side}"] for side in SIDES)
    if any(row[f"ok_{side}"] is False for side in SIDES):
        return True
    return one is not None and two is not None and abs(one - two) >= CLEARLY_LONGER


def _share(row: Found) -> str:
    return f"{percent(row['share'])} ({figure(row['flow_ml_min'])} ml/min)"


def _of(side: Found) -> str:
    return f"{side['laps_too_short']} of {side['laps']}"
