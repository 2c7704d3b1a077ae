"""The answer in plain words, from what `findings.json` holds and nothing else."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import ceil, floor, log10
from textwrap import wrap
from typing import Any

FATES = {
    "shed": "shed over the eaves or a verge",
    "held": "held where it found no way down",
    "underlay": "behind the flashings, caught by the underlay",
    "inside": "behind the flashings, got inside",
    "unresolved": "not followed to its end (a defect of stackrain)",
}
"""Words for each fate, in the order in which the table lists them."""
WIDTH = 96
TOLD_IN_FULL = 6
SMALL = 0.01
"""Leaks after the sixth, or under this share of what leaks, get one line."""
WORTH_TELLING = 0.005
"""Share of water held, or behind a flashing on its way, from which on the verdict speaks of it."""
TIES = re.compile(r" (?=(?:%|mm|ml/min|±)(?![^\W_]))|(?<=±) ")
"""Spaces at which no line may end."""
Found = Mapping[str, Any]


def answer(findings: Found) -> str:
    """Title, verdict, where the water went, leaks, laps and cautions, as text without colour."""
    blocks = [
        [findings["scene"]["title"], "=" * len(findings["scene"]["title"])],
        _wrapped(verdict(findings)),
        _water(findings["water"], findings["drops"]),
        _leaks(findings["leaks"]),
        _laps(findings["laps"]),
        ["Cautions", *(line for text in findings["cautions"] for line in _hung("-", text))],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def verdict(findings: Found) -> str:
    """One or two sentences: whether water gets in and how much, and whether laps are short."""
    leaks, laps = findings["leaks"], findings["laps"]
    short = [lap for lap in laps if not lap["ok"]]
    behind = [row for row in findings["water"] if row["fate"] in ("underlay", "inside")]
    share, flow = (sum(row[key] for row in behind) for key in ("share", "flow_ml_min"))
    if leaks or share > 0:
        number = len(leaks)
        where = f" at {_count(number, 'place')}" if number else ""
        water = (
            f"Water gets behind the flashings{where}: {100 * share:.2f} % of the rain, "
            f"{figure(flow)} ml/min."
        )
    else:
        water = "No water gets behind the flashings."
        if (hidden := findings["ran_behind_a_flashing"]["share"]) >= WORTH_TELLING:
            water = (
                f"No water gets through, but about {100 * hidden:.2g} % of the rain runs behind a "
                "flashing and comes out again below it."
            )
    by_fate = {row["fate"]: row["share"] for row in findings["water"]}
    if (held := by_fate.get("held", 0.0)) >= WORTH_TELLING:
        water += f" {100 * held:.1f} % is held, with no way down: how far it rises is not told."
    if (lost := by_fate.get("unresolved", 0.0)) > 0:
        water += f" {100 * lost:.2g} % could not be followed to its end (a defect of stackrain)."
    if short:
        are = "is" if len(short) == 1 else "are"
        return f"{water} {_count(len(short), 'lap')} of {len(laps)} {are} too short."
    if laps:
        measured = f"Each of the {len(laps)} laps" if len(laps) > 1 else "The one lap"
        return f"{water} {measured} measured is long enough."
    return f"{water} There is no lap to measure."


def share_words(share: float, error: float) -> str:
    """A share and its standard error [unitless] in percent: `1.24 % ± 0.08 %`. Small errors get more
    decimals, so that no error but nought reads as nought."""
    digits = min(max(2, ceil(-log10(100 * error))), 4) if error > 0 else 2
    return f"{100 * share:.{digits}f} % ± {100 * error:.{digits}f} %"


def figure(value: float) -> str:
    """A number with three figures, and no more decimals than that: 1234 -> `1,230`."""
    if value == 0:
        return "0"
    digits = 2 - floor(log10(abs(value)))
    return f"{round(value, digits):,.{max(digits, 0)}f}"


def _water(rows: Sequence[Found], drops: int) -> list[str]:
    by_fate = {row["fate"]: row for row in rows}
    known = [fate for fate in FATES if fate in by_fate]
    lines = [f"Where the water goes ({_count(drops, 'drop')}; share ± standard error, flow)"]
    for fate in [*known, *(fate for fate in by_fate if fate not in FATES)]:
        row = by_fate[fate]
        if fate == "unresolved" and row["share"] == 0:
            continue
        share = share_words(row["share"], row["share_se"])
        flow = figure(row["flow_ml_min"])
        lines.append(f"  {FATES.get(fate, fate):<50}{share:>20}{flow:>12} ml/min")
    return lines


def _leaks(leaks: Sequence[Found]) -> list[str]:
    if not leaks:
        return []
    lines = ["Leaks (numbered as in the picture; points: to the right, up-slope and up, in mm)"]
    total = sum(leak["flow_ml_min"] for leak in leaks)
    for leak in leaks:
        flow = f"{figure(leak['flow_ml_min'])} ml/min"
        share = share_words(leak["share"], leak["share_se"])
        goal = "gets inside" if leak["severity"] == "inside" else "gets as far as the underlay"
        lines += _hung(f"{leak['id']}", f"{leak['way_in']}: {flow} ({share}), {goal}.")
        if leak["id"] > TOLD_IN_FULL or leak["flow_ml_min"] < SMALL * total:
            continue
        spot, end = (_place(leak[key]) for key in ("point_mm", "arrives_mm"))
        lines += _hung("", f"Cause: {leak['cause']}. In at {spot}, arrives at {end}.")
        lines += _hung("", leak["why"]) if leak["why"] else []
        lines += _hung("", f"Cure: {leak['cure']}") if leak["cure"] else []
    return lines


def _laps(laps: Sequence[Found]) -> list[str]:
    if not laps:
        return []
    lines = ["Laps (length, and what is needed)"]
    for lap in laps:
        missing = lap["needed_mm"] - lap["length_mm"]
        state = "ok" if lap["ok"] else f"{missing:.0f} mm TOO SHORT"
        pair = f"{lap['upper']} over {lap['lower']}, {lap['where']}"
        sizes = f"{lap['length_mm']:>6.0f} mm of {lap['needed_mm']:>4.0f} mm"
        lines.append(f"  {lap['id']:>2}  {pair:<54}{sizes}  {state}")
        lines += [] if lap["ok"] else _hung("", f"Rule: {lap['rule']} ({lap['source']}).")
    return lines


def _hung(mark: str, text: str) -> list[str]:
    """Text wrapped behind a mark, its further lines under its first."""
    first, rest = f"  {mark:>2}  ", " " * 6
    return _wrapped(text, initial_indent=first, subsequent_indent=rest)


def _wrapped(text: str, **indents: str) -> list[str]:
    """Text wrapped; no figure is parted from its unit."""
    lines = wrap(TIES.sub("\u00a0", text), WIDTH, **indents)  # type: ignore[arg-type]
    return [line.replace("\u00a0", " ") for line in lines]


def _place(point: Sequence[float]) -> str:
    return f"({', '.join(str(round(value)) for value in point)})"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number:,} {noun}s"
