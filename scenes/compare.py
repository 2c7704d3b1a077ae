"""Two scenes under the same rain, drop for drop, and what differs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenes import __version__
from scenes.cautions import cautions_of
from scenes.compare_drops import FateMatrix, Fates, differ, same_rain
from scenes.compare_keys import changed_keys
from scenes.compare_leaks import changed_laps, paired_leaks
from scenes.compare_parts import PartChange, part_changes
from scenes.faults.apply import told
from scenes.faults.fault import Asked
from scenes.progress import Remarks
from scenes.run import Result, run
from scenes.say_text import count, figure
from scenes.say_weather import weather_words
from scenes.scene import Scene
from scenes.stage_words import capital


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Comparison:
    """Both results, the parts that differ, and `found`: what compare.json holds (schema 1)."""

    first: Result
    second: Result
    parts: tuple[PartChange, ...]
    found: dict[str, Any]


def compared(
    first: Scene,
    second: Scene,
    *,
    drops: int,
    seed: int,
    gust: bool = False,
    threads: int | None = None,
    remarks: Remarks | None = None,
) -> Comparison:
    """Run both scenes in the first one's weather with the same drops, and tell what differs.

    drops: 1 or more; gust: whether to search both first-leak gusts; threads: None for all cores.
    The same seed gives the same comparison whatever the number of threads. Raises SceneError as
    `scenes.run.run` does.
    """
    there = in_the_weather_of(first, second)
    one, two = (
        run(scene, drops=drops, seed=seed, gust=gust, threads=threads, remarks=remarks)
        for scene in (first, there)
    )
    parts = part_changes(one.assembly, two.assembly)
    found = _found(one, two, parts, aside=_aside(second, first))
    return Comparison(first=one, second=two, parts=parts, found=found)


def in_the_weather_of(first: Scene, second: Scene) -> Scene:
    """The second scene in the first one's weather."""
    table = second.table.model_copy(update={"weather": first.table.weather})
    return replace(second, table=table, weather=first.weather)


def _aside(second: Scene, first: Scene) -> str:
    """That the second scene's own weather was left aside; nothing where it is the same."""
    if second.weather == first.weather:
        return ""
    own = second.table.weather
    words = weather_words(own.model_dump() | {"case": own.case_it_is})
    return (
        f"Both stand in the weather of {first.file}; that of {second.file} ({words}) is left aside."
    )


def _found(
    one: Result, two: Result, parts: tuple[PartChange, ...], *, aside: str
) -> dict[str, Any]:
    first, second = one.to_dict(), two.to_dict()
    fates = [Fates.of(run.drops, run.trace.fate) for run in (one, two)]
    matrix = FateMatrix.of(*fates)
    rain = same_rain(one.drops, two.drops, one.scene.weather, one.seed)
    return {
        "schema": 1,
        "program": "stackrain",
        "version": __version__,
        "seed": one.seed,
        "drops": one.drops.released,
        "weather": first["weather"],
        "first": _side(first),
        "second": _side(second),
        "faults": [
            {"asked": _asked(one)} | row
            for one, row in zip(two.scene.faults, told(two.scene), strict=True)
        ],
        "keys": changed_keys(one.scene, two.scene),
        "parts": [change.row() for change in parts],
        "rain": rain,
        "fates": matrix.rows(),
        "changed": matrix.changed() | {"landed_on": _landed_on(two, differ(*fates))},
        "leaks": paired_leaks(first["leaks"], second["leaks"]),
        "laps": changed_laps(first["laps"], second["laps"]),
        "notes": [note for note in (aside, _rain_note(rain)) if note],
        "cautions": list(cautions_of(one.scene.detail, two.scene.detail)),
    }


def _landed_on(run: Result, numbers: NDArray[np.int64]) -> list[dict[str, Any]]:
    """How many of the drops with these numbers came down on which part, the most first."""
    rows = np.isin(run.drops.drop, numbers)
    counts = np.bincount(run.charts.part[run.drops.chart[rows]], minlength=len(run.assembly.parts))
    parts = [part.name for part in run.assembly]
    return [
        {"part": parts[number], "drops": int(counts[number])}
        for number in np.argsort(-counts, kind="stable")
        if counts[number]
    ]


def _asked(one: Asked) -> str:
    """A fault as a title has it: `cover too narrow@left=90`."""
    return f"{one.label}={one.amount:g}" if one.fault.unit else one.label


def _side(found: Mapping[str, Any]) -> dict[str, Any]:
    """What is kept of one run's findings: the rest stands in its own findings.json."""
    kept = (
        "scene", "landed", "landed_ml_min", "water", "ran_behind_a_flashing", "standing_water",
        "films", "first_leak_gust_m_s", "first_leak_from_deg",
    )  # fmt: skip
    counts = {
        "leaks": len(found["leaks"]),
        "laps": len(found["laps"]),
        "laps_too_short": sum(not lap["ok"] for lap in found["laps"]),
    }
    way = (found.get("first_leak") or {}).get("lowest") or {}
    told = (
        {"first_leak_way_in": (way.get("path") or {}).get("way_in")}
        if "first_leak" in found
        else {}
    )
    return {key: found[key] for key in kept if key in found} | counts | told


def _rain_note(rain: Mapping[str, Any]) -> str:
    """One line where not every drop falls alike in both; nothing where all do."""
    lines = []
    if other := rain["otherwise"]:
        beside = rain["beside_mm"]
        same = "The same rain, nearly" if rain["same"] else "Not the same rain drop for drop"
        which = "every drop falls" if other == rain["released"] else f"{other:,} drops fall"
        lines.append(
            f"{same}: {which} up to {figure(beside)} mm beside its place in the first scene: rain is "
            "aimed by the corners of the covering and of what stands above it, which differ."
        )
    if alone := rain["landed_in_one_only"]:
        lines.append(f"{capital(count(alone, 'drop'))} landed in one of the two only.")
    return " ".join(lines)
