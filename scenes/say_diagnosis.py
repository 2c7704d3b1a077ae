"""A diagnosis in plain words, from what diagnosis.json holds and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from scenes.say_text import hung, place_words, wrapped
from scenes.units_text import points_unit

Found = Mapping[str, Any]

FIRST: Final = 3
AFTER: Final = {
    "calm": "after rain without wind",
    "driving": "after rain with wind",
    "blocked": "after leaves had blocked the gutter",
}


def diagnosis_answer(found: Found) -> str:
    """Title, what was seen, the suspects with their odds, how to tell the first three apart, what is
    assumed, and cautions. Lines are at most 100 characters long."""
    title = found["scene"]["title"]
    rows = found["suspects"]
    blocks = [
        [title, "=" * len(title)],
        wrapped(seen_words(found["seen"])),
        wrapped(verdict(found)),
        *[_suspect(row) for row in rows[:FIRST]],
        _others(rows[FIRST:]),
        _apart(rows[:FIRST]),
        [
            "What these odds rest on",
            *(line for text in found["assumed"] for line in hung("-", text)),
        ],
        ["Cautions", *(line for text in found["cautions"] for line in hung("-", text))],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def seen_words(seen: Found) -> str:
    """What was seen, in a sentence."""
    places = " and ".join(place_words(place) for place in seen["damp_mm"])
    when = AFTER[seen["after"]] if seen["after"] else "after rain; with wind or without isn't known"
    wind = f", from the {seen['wind_from']}" if seen["wind_from"] else ""
    damp = "Damp" if len(seen["damp_mm"]) == 1 else "Damp places"
    return f"{damp} at {places} {points_unit()} (to the right, up-slope), {when}{wind}."


def verdict(found: Found) -> str:
    """The likeliest suspect, and how many were tried."""
    first = found["suspects"][0]
    left = f" ({found['not_built']} more can't be built)" if found["not_built"] else ""
    return (
        f"Likeliest: {suspect_words(first)}, {odds(first['probability'])}. So many details were built "
        f"and rained on: {found['tried']:,}{left}."
    )


def odds(probability: float) -> str:
    """A probability [1] in percent: "61 %", "under 1 %"."""
    return "under 1 %" if probability < 0.01 else f"{100 * probability:.0f} %"


def suspect_words(row: Found) -> str:
    """A suspect's name with its places and sizes."""
    if not row["faults"]:
        return "nothing wrong: the weather was more than the detail stands"
    return ", together with ".join(_fault(fault) for fault in row["faults"])


def _fault(fault: Found) -> str:
    where = f" at the {fault['where']}" if fault["where"] else ""
    size = f" ({fault['how_bad']})" if fault["amount"] is not None else ""
    return f"{fault['name']}{where}{size}"


def _suspect(row: Found) -> list[str]:
    lines = hung(f"{row['rank']}", f"{odds(row['probability'])}  {suspect_words(row)}")
    told = [fault["done_wrong"] for fault in row["faults"]]
    lines += hung("", " ".join([*told, way_words(row), weather_words(row)]))
    return lines + [line for look in row["look"] for line in hung("", f"Look: {look}")]


def way_words(row: Found) -> str:
    """Where its water goes in and comes out."""
    if row["goes_in_mm"] is None:
        return "The model lets no water in so."
    ends = "comes out" if row["reaches_inside"] else "is caught by the underlay"
    into, out = (
        f"{place_words(row[key])} {points_unit()}" for key in ("goes_in_mm", "comes_out_mm")
    )
    return (
        f"Water goes in at the {row['goes_in'].removeprefix('at the ')}, at {into}, and {ends} at {out},"
        f" {row['from_damp_mm']:.0f} mm from the damp place."
    )


def weather_words(row: Found) -> str:
    """In which of the weathers that were tried it lets water in."""
    gusts = row["in_gusts_m_s"]
    if row["in_calm_rain"]:
        return "It leaks in any heavy rain."
    return f"It leaks in gusts of {min(gusts):g} m/s and more, not in calm rain." if gusts else ""


def _others(rows: Sequence[Found]) -> list[str]:
    if not rows:
        return []
    lines = [f"{odds(row['probability'])}  {suspect_words(row)}" for row in rows]
    return ["Less likely", *(line for text in lines for line in hung("-", text))]


def _apart(rows: Sequence[Found]) -> list[str]:
    """What a hose without wind would show, where it parts the first three."""
    wet = [str(row["rank"]) for row in rows if row["in_calm_rain"]]
    dry = [str(row["rank"]) for row in rows if not row["in_calm_rain"]]
    if not wet or not dry:
        return []
    text = (
        f"Let a hose run on the covering above the stack, without wind: water comes in with"
        f" {' and '.join(wet)}, not with {' and '.join(dry)}."
    )
    return ["To tell them apart", *hung("-", text)]
