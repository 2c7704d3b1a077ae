"""What a lesson asks and answers, made from the comparison itself: what compare.json holds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from scenes.compare_words import (
    SIDES,
    behind,
    difference,
    gust_words,
    labels,
    lap_figures,
    lap_name,
    ran_behind,
    runs_behind_otherwise,
)
from scenes.say_text import count, figure
from scenes.stage_words import capital, percent

Found = Mapping[str, Any]


class Question(NamedTuple):
    """What the class is asked, and the paragraphs of the answer."""

    asked: str
    answer: tuple[str, ...]


def question(found: Found) -> Question:
    """A question that this comparison answers: about its largest leak that only one side has, else about
    water that runs behind a flashing, a lap that one side lacks, the gust, drops that end otherwise, or
    why nothing changes."""
    names = labels(found)
    for asked in (
        _about_a_leak,
        _about_what_runs_behind,
        _about_a_lap,
        _about_the_gust,
        _about_drops,
    ):
        made = asked(found, names)
        if made:
            return made
    return Question(
        "Both are under the same rain. Does the water tell them apart?",
        (
            f"No: of {count(found['drops'], 'drop')} none ends otherwise, and no lap is too short on one "
            "side only. In this weather no water comes to what differs, or it takes the same way there. "
            "Try another weather, or wind from another side.",
        ),
    )


def _about_a_leak(found: Found, names: tuple[str, str]) -> Question | None:
    rows = [row for row in found["leaks"] if row["state"] != "stays"]
    if not rows:
        return None
    row = rows[0]
    leaking = 0 if row["first"] else 1
    leak = row[SIDES[leaking]]
    others = sum(1 for one in rows[1:] if one["state"] == row["state"])
    rest = f" {_more(others)}" if others else ""
    return Question(
        "On one of the two water gets behind the flashings. Where does most of it get in, and why "
        "just there?",
        (
            f"{capital(leak['way_in'])} (number {row['number']}), on the side marked "
            f"{names[leaking].lower()}. {leak['why']}{rest}",
            *_landings(found),
            f"What is different: {' '.join(difference(found))}",
        ),
    )


def _landings(found: Found) -> list[str]:
    """On which parts the drops land that end otherwise."""
    rows, drops = found["changed"]["landed_on"], found["changed"]["drops"]
    if not rows:
        return []
    parts = ", ".join(f"{percent(row['drops'] / drops)} on the {row['part']}" for row in rows[:3])
    return [f"Of the {count(drops, 'drop')} that end otherwise, {parts} come down first."]


def _more(others: int) -> str:
    if others == 1:
        return "One more place lets water in there that is dry on the other side."
    return f"{others} more places let water in there that are dry on the other side."


def _about_what_runs_behind(found: Found, names: tuple[str, str]) -> Question | None:
    if not runs_behind_otherwise(found):
        return None
    told = [
        f"{percent(ran_behind(found[side]))} on the side marked {name.lower()}"
        for side, name in zip(SIDES, names, strict=True)
    ]
    return Question(
        "No drop gets through on one side only, and yet the water doesn't go the same way on both. Where "
        "does it go that it should not?",
        (
            f"Behind a flashing, and out again below it: about {told[0]}, {told[1]}. "
            "Other weather, or a stopped way out, may not let it out again.",
            f"What is different: {' '.join(difference(found))}",
        ),
    )


def _about_a_lap(found: Found, names: tuple[str, str]) -> Question | None:
    short = [
        (side, row)
        for row in found["laps"]
        for side in SIDES
        if row[f"ok_{side}"] is False and row[f"ok_{_other(side)}"] is not False
    ]
    if not short:
        return None
    side, row = short[0]
    name, other = (names[SIDES.index(one)].lower() for one in (side, _other(side)))
    return Question(
        "No drop gets in on one side only, and yet one of the two is not sound. Which lap is too short, "
        "and what is asked of it?",
        (
            f"{capital(lap_name(row))}, on the side marked {name}: {lap_figures(row, side)}; on that "
            f"marked {other}: {lap_figures(row, _other(side))}.",
            f"The rule: {row['rule']} ({row[f'source_{side}']}).",
        ),
    )


def _other(side: str) -> str:
    return SIDES[1 - SIDES.index(side)]


def _about_the_gust(found: Found, names: tuple[str, str]) -> Question | None:
    if "first_leak_gust_m_s" not in found["first"]:
        return None
    one, two = (gust_words(found[side]) for side in SIDES)
    if one == two:
        return None
    lines = [
        f"{name}: stands gusts up to {gust_words(found[side])}"
        + (
            f"; then water gets in {found[side]['first_leak_way_in']}"
            if found[side]["first_leak_way_in"]
            else ""
        )
        + "."
        for name, side in zip(names, SIDES, strict=True)
    ]
    return Question(
        "Rain alone doesn't tell the two apart. Which of them stands the stronger gust, and where does "
        "the wind drive water in first?",
        tuple(lines),
    )


def _about_drops(found: Found, names: tuple[str, str]) -> Question | None:
    changed = found["changed"]["drops"]
    rows = [row for row in found["fates"] if row["from"] != row["to"]]
    if not changed:
        return None
    most = max(rows, key=lambda row: int(row["drops"]))
    shares = [percent(behind(found[side])[0]) for side in SIDES]
    return Question(
        f"{capital(count(changed, 'drop'))} of {found['drops']:,} end otherwise on the two sides. Which "
        "way do most of them go?",
        (
            f"{figure(most['drops'])} drops that end as {most['from']} on the side marked "
            f"{names[0].lower()} end as {most['to']} on that marked {names[1].lower()}. Behind the "
            f"flashings end {shares[0]} of the rain there and {shares[1]} here.",
        ),
    )
