"""Cures in plain words, from what `findings.json` holds of them and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scenes.say_text import count, hung, wrapped

Found = Mapping[str, Any]
MOST_TOLD = 3
"""Cures told of each leak or lap."""


def cure_lines(findings: Found) -> list[str]:
    """A head and each cure, at most three of a leak or lap; what has none, and why; nothing where no cure
    was looked for, or none is needed."""
    if "cures" not in findings or not (findings["cures"] or findings["uncured"]):
        return []
    lines = wrapped(
        "Cures, the least work and metal first; each was run in this weather "
        f"({count(findings['cures_tried'], 'detail')} tried)"
    )
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
    for row in findings["uncured"]:
        name = f"leak {row['leak']}" if row["leak"] is not None else f"lap {row['lap']}"
        lines += hung("-", f"For {name}: {row['why']}")
    return lines


def _named(cure: Found) -> str:
    names = [
        f"{noun}{'s' if len(ids) > 1 else ''} {_joined([str(one) for one in ids])}"
        for noun, ids in (("leak", cure["leaks"]), ("lap", cure["laps"]))
        if ids
    ]
    return " and ".join(names)


def _joined(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
