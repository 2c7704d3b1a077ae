"""Cures in plain words, from what `findings.json` holds of them and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scenes.cures.words import spans
from scenes.say_text import count, hung, wrapped

Found = Mapping[str, Any]
MOST_TOLD = 3
"""Cures told of each leak or lap."""
NONE_NEEDED = (
    "Cures: none needed. In this weather no water gets behind the flashings, "
    "and no lap is too short."
)
HARMLESS = (
    " What is wrong on purpose does no harm that shows here; another weather, or wind from another side, "
    "may show it."
)


def cure_lines(findings: Found) -> list[str]:
    """A head and each cure, at most three of a leak or lap; what has none, and why; that none is needed;
    nothing where no cure was looked for."""
    if "cures" not in findings:
        return []
    if not (findings["cures"] or findings["uncured"]):
        return wrapped(NONE_NEEDED + HARMLESS * bool(findings["faults"]))
    head = "Cures, the least work and metal first; each was run in this weather"
    if not findings["cures"]:
        head = "Cures: none found"
    tried = findings["cures_tried"]
    told_of = f"{head} ({count(tried, 'detail')} tried)"
    lines = wrapped(told_of if tried else "Cures: none")
    told: dict[tuple[str, int], int] = {}
    number = 0
    for cure in findings["cures"]:
        of = [("leak", leak) for leak in cure["leaks"]] + [("lap", lap) for lap in cure["laps"]]
        if all(told.get(one, 0) >= MOST_TOLD for one in of):
            continue
        for one in of:
            told[one] = told.get(one, 0) + 1
        number += 1
        lines += hung(str(number), f"For {_named(cure)}: {cure['what']}: {cure['does']}.")
        lines += hung("", cure["takes"])
    if together := findings["cures_together"]:
        lines += hung("-", f"All in one: {together['what']}: {together['does']}.")
        lines += hung("", together["takes"])
    elif apart := findings.get("cures_apart"):
        lines += hung("-", f"The first of each, all in one, won't do: {apart}.")
    alike: dict[str, dict[str, list[int]]] = {}
    for row in findings["uncured"]:
        kind = "leaks" if row["leak"] is not None else "laps"
        names = alike.setdefault(row["why"], {"leaks": [], "laps": []})
        names[kind].append(row[kind.removesuffix("s")])
    for why, names in alike.items():
        lines += hung("-", f"For {_named(names)}: {why}")
    return lines


def _named(cure: Found) -> str:
    names = [
        f"{noun}{'s' if len(ids) > 1 else ''} {spans(ids)}"
        for noun, ids in (("leak", cure["leaks"]), ("lap", cure["laps"]))
        if ids
    ]
    return " and ".join(names)
