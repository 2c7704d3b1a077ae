"""The table of laps: how long, what is needed, the gust that each stands, and which stay wet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import wrap
from typing import Any

from scenes.gust_words import metres
from scenes.say_text import hung, wrapped
from scenes.units_text import in_units, spoken

Found = Mapping[str, Any]
MOST_NAME = 50
"""A longer name takes two lines."""
FRACTIONS = 12
"""Letters by which inches with their fractions run wider than millimetres."""


def lap_lines(laps: Sequence[Found]) -> list[str]:
    """One line a lap, at most 100 characters, with the rule under those that are too short and what
    capillarity does under those that stay wet; nothing where there are no laps."""
    if not laps:
        return []
    names = [f"{lap['upper']} over {lap['lower']}, {lap['where']}" for lap in laps]
    most = MOST_NAME - FRACTIONS * spoken().is_imperial
    width = min(max(len(name) for name in names), most)
    lines = wrapped(
        "Laps (length, of so much needed; gust, square onto its open edge, that each stands by its "
        "length and rise alone)"
    )
    for lap, name in zip(laps, names, strict=True):
        *heads, last = wrap(name, width)
        missing = lap["needed_mm"] - lap["length_mm"]
        state = "ok" if lap["ok"] else f"{_said(missing)} TOO SHORT"
        marks = [f"{lap['id']:>2}", *["  "] * len(heads)]
        lines += [f"  {mark}  {head}" for mark, head in zip(marks, heads, strict=False)]
        sizes = _sizes(lap["length_mm"], lap["needed_mm"])
        gust = in_units(metres(lap["first_leak_gust_m_s"]), spoken())
        lines.append(f"  {marks[-1]}  {last:<{width}}{sizes}{gust:>10}  {state}")
        lines += [] if lap["ok"] else hung("", f"Rule: {lap['rule']} ({lap['source']}).")
        if lap["stays_wet"]:
            reach, rise = lap["capillary_reach_mm"], lap["rise_mm"]
            lines += hung("", f"stays wet: {reach:.0f} mm reach, {rise:.0f} mm rise")
    return lines


def _sizes(length_mm: float, needed_mm: float) -> str:
    """Length and need in columns: `  150 of 150 mm`, or inches with their fractions."""
    if spoken().is_imperial:
        length, needed = (_said(value).removesuffix(" in") for value in (length_mm, needed_mm))
        return f"{length:>9} of {needed:>7} in"
    return f"{length_mm:>5.0f} of {needed_mm:>3.0f} mm"


def _said(millimetres: float) -> str:
    return in_units(f"{millimetres:.0f} mm", spoken())
