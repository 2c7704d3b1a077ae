"""Sentences about a comparison that the printed answer, the picture and the lesson share. They read what
compare.json holds and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scenes.gust_words import both_units
from scenes.say import WORTH_TELLING
from scenes.say_text import count, figure
from scenes.stage_words import capital, percent
from scenes.units_keys import bare_key, unit_of, value_words
from scenes.units_text import in_units, spoken

Found = Mapping[str, Any]

SIDES = ("first", "second")
BEHIND = ("underlay", "inside")
RIGHT, WRONG = "Right", "Wrong"
IN_THIS_WEATHER = "in this weather"
"""What is added to a good verdict of the side that is wrong."""
LEAST_DEPTH = 3.0
"""Standing water less deep is not told of [mm], as in a picture."""
TOLD_KEYS = 2
"""Changed keys that a sentence names; more are counted."""


def labels(found: Found) -> tuple[str, str]:
    """What the two are called: right and wrong only where the findings, or a fault asked for, say so."""
    fine = [is_fine(found[side]) for side in SIDES]
    if fine[0] and (found["faults"] or not fine[1]):
        return RIGHT, WRONG
    if found["faults"]:
        return "As it was", "With the fault"
    if fine[1] and not fine[0]:
        return WRONG, RIGHT
    return "First", "Second"


def titles(found: Found) -> tuple[str, str]:
    """What stands over the two: the scenes' titles, or the faults asked for over the second."""
    first, second = (found[side]["scene"]["title"] for side in SIDES)
    return first, "; ".join(_fault_title(fault) for fault in found["faults"]) or second


def _fault_title(fault: Found) -> str:
    """A fault by name, with its place and amount: `cover too narrow, left, 90 mm`."""
    much = "" if fault["amount"] is None else f"{fault['amount']:g} {fault['unit']}"
    much = in_units(much, spoken())
    return ", ".join(part for part in (fault["name"], fault["where"] or "", much) if part)


def is_fine(side: Found) -> bool:
    """Whether a run let no water behind the flashings and found no lap too short."""
    return behind(side)[0] == 0 and side["leaks"] == 0 and side["laps_too_short"] == 0


def behind(side: Found) -> tuple[float, float]:
    """Share of the rain [1] and flow [ml/min] that ended behind the flashings."""
    rows = [row for row in side["water"] if row["fate"] in BEHIND]
    return sum(row["share"] for row in rows), sum(row["flow_ml_min"] for row in rows)


def difference(found: Found) -> list[str]:
    """What was done differently, one line each: faults in their own words, else changed keys, else
    parts."""
    if found["faults"]:
        return [fault_words(fault) for fault in found["faults"]]
    if found["keys"]:
        return [key_words(row) for row in found["keys"]]
    return [part_words(row) for row in found["parts"]]


def fault_words(fault: Found) -> str:
    """A fault in its own words, where it is and how bad."""
    where = f", at the {fault['where']}" if fault["where"] else ""
    return f"{fault['done_wrong'].rstrip('.')} ({fault['how_bad']}{where})."


def key_words(row: Found) -> str:
    """A changed key as the files have it, `[apron] cover_mm: 60 instead of 150`; in inches without the
    key's own unit, `[apron] cover: 2 3/8 in instead of 5 7/8 in`."""
    key, first, second = row["key"], row["first"], row["second"]
    if spoken().is_imperial and unit_of(key):
        first, second = _in_key_units(key, first), _in_key_units(key, second)
        key = bare_key(key)
    return f"{key}: {second} instead of {first}"


def _in_key_units(key: str, value: str) -> str:
    """A key's value as a file has it, with its unit; words, and lists of points, as they are."""
    try:
        return value_words(key, float(value))
    except ValueError:
        return value


def part_words(row: Found) -> str:
    """A part that differs, with how far it moved and what became of its area."""
    one, two = row["area_first_cm2"], row["area_second_cm2"]
    if row["how"] == "gone":
        return f"{row['part']}: left out ({figure(one)} cm2)"
    if row["how"] == "new":
        return f"{row['part']}: only in the second ({figure(two)} cm2)"
    if row["how"] == "turned over":
        return f"{row['part']}: its wet side looks the other way"
    return f"{row['part']}: lies elsewhere by up to {figure(row['moved_mm'])} mm{_grown(one, two)}"


def _grown(one: float, two: float) -> str:
    if figure(one) == figure(two):
        return f", area {figure(one)} cm2 as before"
    return f", area {figure(two)} instead of {figure(one)} cm2"


def headline(found: Found) -> str:
    """The first sentences: what is different, and what it does."""
    return f"{_different(found)} {effect(found)}"


def _different(found: Found) -> str:
    lines = difference(found)
    if not lines:
        return "Nothing differs: every part of both scenes is the same."
    if found["faults"]:
        return " ".join(_stopped(capital(line)) for line in lines)
    told = "; ".join(lines[:TOLD_KEYS])
    more = len(lines) - TOLD_KEYS
    what = "measure" if found["keys"] else "part"
    rest = f"; and {count(more, f'more {what}')}" if more > 0 else ""
    return _stopped(f"The second differs in {told}{rest}")


def _stopped(line: str) -> str:
    return line if line.endswith((".", "!", "?")) else f"{line}."


def effect(found: Found) -> str:
    """What the difference does to the water, to single drops, to the laps and to the gust."""
    parts = (
        water_effect(found), _ends(found), _standing(found), _short(found), _gust_effect(found)
    )  # fmt: skip
    return " ".join(part for part in parts if part)


def short_effect(found: Found) -> str:
    """What the difference does, in one or two sentences: the water where it tells the two apart, else
    the laps, else the gusts."""
    water = water_effect(found)
    if any(behind(found[side])[0] > 0 for side in SIDES):
        return water
    return f"{water} {_short(found) or _gust_effect(found)}".rstrip()


def water_effect(found: Found) -> str:
    """How much water gets behind the flashings, beside how much does in the first."""
    (one, _), (two, flow) = (behind(found[side]) for side in SIDES)
    there, here = _there_and_here(found)
    if two == 0 and one == 0:
        return _dry_effect(found)
    if two == 0:
        return f"{there}, no water gets behind the flashings, {here} {percent(one)} of the rain."
    most = f"{percent(two)} of the rain ({figure(flow)} ml/min)"
    places = f" at {count(found['second']['leaks'], 'place')}" if found["second"]["leaks"] else ""
    before = percent(one) if one > 0 else "none"
    return f"{there}, {most} gets behind the flashings{places}, {here} {before}."


def _ends(found: Found) -> str:
    """How many drops end otherwise."""
    moved = found["changed"]["drops"]
    if moved == 0:
        return "No drop ends otherwise."
    verb = "ends" if moved == 1 else "end"
    return f"{capital(count(moved, 'drop'))} of {found['drops']:,} {verb} otherwise."


def _dry_effect(found: Found) -> str:
    """That both keep water out, and how much runs behind a flashing on its way all the same."""
    one, two = (ran_behind(found[side]) for side in SIDES)
    if not runs_behind_otherwise(found):
        told = "through" if max(one, two) >= WORTH_TELLING else "behind the flashings"
        return f"No water gets {told} in either."
    there, here = _there_and_here(found)
    return (
        f"No water gets through in either, but {there.lower()} about {percent(two)} of the "
        f"rain runs behind a flashing and comes out again, {here} {percent(one) if one else 'none'}."
    )


def _there_and_here(found: Found) -> tuple[str, str]:
    return ("With this", "without it") if found["faults"] else ("In the second", "in the first")


def ran_behind(side: Found) -> float:
    """Share of the rain that ran behind a flashing on its way, even if it came out again."""
    return float(side["ran_behind_a_flashing"]["share"])


def runs_behind_otherwise(found: Found) -> bool:
    """Whether that share differs by more than three standard errors."""
    one, two = (found[side]["ran_behind_a_flashing"] for side in SIDES)
    doubt = 3 * (one["share_se"] ** 2 + two["share_se"] ** 2) ** 0.5
    return bool(abs(two["share"] - one["share"]) > doubt)


def _standing(found: Found) -> str:
    """How deep water stands at its deepest, where that differs by enough to be seen."""
    one, two = (
        max(
            (row["depth_mm"] for row in found[side]["standing_water"] if row["spills"]), default=0.0
        )
        for side in SIDES
    )
    if abs(one - two) < LEAST_DEPTH:
        return ""
    before = f"up to {one:.0f} mm" if one >= LEAST_DEPTH else "hardly any"
    after = f"up to {two:.0f} mm deep" if two >= LEAST_DEPTH else "hardly anywhere"
    return f"Water stands {after}; in the first {before}."


def _short(found: Found) -> str:
    """Laps too short, where their number differs."""
    one, two = (found[side]["laps_too_short"] for side in SIDES)
    if one == two:
        return ""
    is_ = "is" if two == 1 else "are"
    return f"{capital(count(two, 'lap'))} {is_} too short, in the first {one or 'none'}."


def _gust_effect(found: Found) -> str:
    """Both first-leak gusts, where they were searched."""
    if "first_leak_gust_m_s" not in found["first"]:
        return ""
    one, two = (gust_words(found[side]) for side in SIDES)
    if one == two:
        return f"Both stand gusts up to {one}."
    return f"The second stands gusts up to {two}, the first up to {one}."


def gust_words(side: Found) -> str:
    """The first-leak gust of one run in both units."""
    gust = side["first_leak_gust_m_s"]
    return "more than was tried" if gust is None else both_units(gust)


def lap_name(row: Found) -> str:
    """A lap by its two sheets and its place."""
    return f"{row['upper']} over {row['lower']}, {row['where']}"


def lap_figures(row: Found, side: str) -> str:
    """Its length in one run, of so much needed: `60 of 150 mm, too short`."""
    length = row[f"length_mm_{side}"]
    if length is None:
        return "none"
    state = "ok" if row[f"ok_{side}"] else "too short"
    return f"{length:.0f} of {row[f'needed_mm_{side}']:.0f} mm, {state}"
