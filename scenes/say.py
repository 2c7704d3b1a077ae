"""The answer in plain words, from what `findings.json` holds and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scenes.gust_words import verdict_with_step
from scenes.say_cures import cure_lines
from scenes.say_faults import wrong_lines
from scenes.say_laps import lap_lines
from scenes.say_standing import gutter_lines, standing_lines
from scenes.say_text import count, figure, hung, place_words, share_words, wrapped
from scenes.say_weather import films_words, is_windy, weather_words
from scenes.units import METRIC, Units
from scenes.units_text import in_units, points_unit, spoken, spoken_in

FATES = {
    "shed": "shed over the eaves or a verge",
    "held": "held in hollows with no way out",
    "underlay": "behind the flashings, caught by the underlay",
    "inside": "behind the flashings, got inside",
    "unresolved": "not followed to its end (a defect of stackrain)",
}
"""Words for each fate, in the order in which the table lists them."""
TOLD_IN_FULL = 6
SMALL = 0.01
"""Leaks after the sixth, or under this share of what leaks, get one line."""
HELD_IN_WIND = "held in laps by the wind, or in hollows"
HELD_BY_A_PUSH = "held where it found no way on"
WORTH_TELLING = 0.005
"""Share of water held, or behind a flashing on its way, from which on the verdict speaks of it."""
Found = Mapping[str, Any]


def answer(findings: Found, units: Units = METRIC) -> str:
    """Title, faults, weather, verdict, where the water went, leaks, cures, standing water, laps, making
    and cautions, as text without colour, in those units."""
    with spoken_in(units):
        return _answer(findings)


def _answer(findings: Found) -> str:
    blocks = [
        [findings["scene"]["title"], "=" * len(findings["scene"]["title"])],
        wrong_lines(findings["faults"]),
        wrapped(_weather(findings)),
        wrapped(verdict(findings)),
        wrapped(_first_leak(findings)),
        _water(findings),
        _leaks(findings["leaks"]),
        cure_lines(findings),
        standing_lines(findings["standing_water"]),
        gutter_lines(findings["gutters"], findings["landed_ml_min"]),
        lap_lines(findings["laps"]),
        _listed("Making the pieces", findings["making"]),
        _listed("Cautions", findings["cautions"]),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _listed(head: str, texts: Sequence[str]) -> list[str]:
    return [head, *(line for text in texts for line in hung("-", text))] if texts else []


THROUGH = ("through a gap", "fell straight in")
"""Causes of leaks that have nothing to do with a lap."""


def verdict(findings: Found) -> str:
    """Whether water gets in and how much, in this wind if one blows, and whether laps are short."""
    leaks, laps = findings["leaks"], findings["laps"]
    short = [lap for lap in laps if not lap["ok"]]
    behind = [row for row in findings["water"] if row["fate"] in ("underlay", "inside")]
    share, flow = (sum(row[key] for row in behind) for key in ("share", "flow_ml_min"))
    if leaks or share > 0:
        number = len(leaks)
        where = f" at {count(number, 'place')}" if number else ""
        water = (
            f"{_begin(findings, 'Water')} gets behind the flashings{where}: {100 * share:.2f} % of "
            f"the rain, {figure(flow)} ml/min."
        )
    else:
        water = f"{_begin(findings, 'No water')} gets behind the flashings."
        if (hidden := findings["ran_behind_a_flashing"]["share"]) >= WORTH_TELLING:
            water = (
                f"{_begin(findings, 'No water')} gets through, but about {100 * hidden:.2g} % of "
                "the rain runs behind a flashing and comes out again below it."
            )
    by_fate = {row["fate"]: row["share"] for row in findings["water"]}
    if (held := by_fate.get("held", 0.0)) >= WORTH_TELLING:
        water += f" {100 * held:.1f} % is {_held(findings)}."
    if (lost := by_fate.get("unresolved", 0.0)) > 0:
        water += f" {100 * lost:.2g} % could not be followed to its end (a defect of stackrain)."
    if short:
        are = "is" if len(short) == 1 else "are"
        return f"{water} {count(len(short), 'lap')} of {len(laps)} {are} too short."
    if laps:
        measured = f"Each of the {len(laps)} laps" if len(laps) > 1 else "The one lap"
        enough = f"{water} {measured} measured is long enough"
        # Where a sheet is dressed the wrong way round there is no lap, so none to be told as short.
        past_a_sheet = any(leak.get("cause") not in THROUGH for leak in leaks)
        return (
            f"{enough}; what lies the wrong way round is no lap." if past_a_sheet else f"{enough}."
        )
    return f"{water} There is no lap to measure."


def _weather(findings: Found) -> str:
    words = f"Weather: {weather_words(findings['weather'])}."
    return f"{words} {films_words(findings['films'])}".rstrip()


def _begin(findings: Found, words: str) -> str:
    """The words that a sentence begins with, in this wind if there is one."""
    if not is_windy(findings["weather"]):
        return words
    return f"In this wind {words[0].lower()}{words[1:]}"


def _held(findings: Found) -> str:
    """What holds water that ended where it was: hollows, in a wind laps too, or a push."""
    if is_windy(findings["weather"]):
        return HELD_IN_WIND
    return HELD_BY_A_PUSH if any(findings["weather"]["push_m_s2"]) else FATES["held"]


def _first_leak(findings: Found) -> str:
    gusts = findings.get("first_leak")
    return "" if gusts is None else verdict_with_step(gusts)


def _water(findings: Found) -> list[str]:
    rows, drops = findings["water"], findings["drops"]
    words = FATES | {"held": _held(findings)}
    by_fate = {row["fate"]: row for row in rows}
    known = [fate for fate in FATES if fate in by_fate]
    lines = [f"Where the water goes ({count(drops, 'drop')}; share ± standard error, flow)"]
    for fate in [*known, *(fate for fate in by_fate if fate not in FATES)]:
        row = by_fate[fate]
        if fate == "unresolved" and row["share"] == 0:
            continue
        share = share_words(row["share"], row["share_se"])
        flow, unit = in_units(f"{figure(row['flow_ml_min'])} ml/min", spoken()).split(maxsplit=1)
        lines.append(f"  {words.get(fate, fate):<50}{share:>20}{flow:>12} {unit}")
    return lines


def _leaks(leaks: Sequence[Found]) -> list[str]:
    if not leaks:
        return []
    unit = points_unit()
    lines = [
        f"Leaks (numbered as in the picture; points: to the right, up-slope and up, in {unit})"
    ]
    total = sum(leak["flow_ml_min"] for leak in leaks)
    cured: dict[str, int] = {}
    for leak in leaks:
        flow = f"{figure(leak['flow_ml_min'])} ml/min"
        share = share_words(leak["share"], leak["share_se"])
        goal = "gets inside" if leak["severity"] == "inside" else "gets as far as the underlay"
        lines += hung(f"{leak['id']}", f"{leak['way_in']}: {flow} ({share}), {goal}.")
        if leak["id"] > TOLD_IN_FULL or leak["flow_ml_min"] < SMALL * total:
            continue
        spot, end = (place_words(leak[key]) for key in ("point_mm", "arrives_mm"))
        lines += hung("", f"Cause: {leak['cause']}. In at {spot}, arrives at {end}.")
        lines += hung("", leak["why"]) if leak["why"] else []
        if leak["cure"]:
            first = cured.setdefault(leak["cure"], leak["id"])
            told = leak["cure"] if first == leak["id"] else f"the same as that of leak {first}."
            lines += hung("", f"Cure: {told}")
    return lines
