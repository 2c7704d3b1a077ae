"""The leaks and short laps of a run, as targets; and what the scene does before any cure."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from scenes.cures.check import Before, asks_too_much
from scenes.cures.families import Family, Sorter, some_of
from scenes.cures.made import Made
from scenes.cures.quest import LAP_ROUNDING, Quest, Target, key_of, spare
from scenes.cures.trial import InWind, in_still_air
from scenes.scene import Scene
from sim.charts import Charts
from sim.findings import Findings
from sim.gaps import Gaps
from sim.laps import Lap
from sim.rain import Drops
from sim.trace import record

TRIAL_DROPS = 4000
"""Drops of rain in each trial; a cure is checked with as many as the run had, up to MOST_DROPS."""
MOST_DROPS = 20_000
WORTH = 0.1
"""Share of a leak's drops that must go in at a lap for it to be the leak's."""
BEYOND = 0.030
"""A sheet that goes on so far beyond a lap makes it another one [m]."""
SMALL = 0.01
"""A leak under this share of all that gets in is no target of its own: it goes with a cure of the others,
or is too small to say what stops it."""
FEWEST = 4
"""A leak of fewer drops is none either: what stops it, and what only moves it, can't be told apart."""
WAYS_TOLD = 12
"""Drops of a leak whose ways are asked about."""


@dataclass(frozen=True, slots=True, eq=False)
class Ran:
    """What a run found: what cures are sought for."""

    scene: Scene
    assembly: Assembly
    charts: Charts
    drops: Drops
    findings: Findings
    seed: int


def quest_of(ran: Ran) -> tuple[Quest, Before, dict[int, float]]:
    """The targets of a run, what the scene does before (less the gusts it stood all round), and the gust
    [m/s] that each target stood by its place, where water at open edges shows it."""
    weather = ran.scene.weather
    made = Made.of(ran.scene, ran.assembly)
    gaps = Gaps.of(ran.charts) if weather.gust > 0 else None
    sorter = Sorter.of(ran.charts, gaps)
    targets, leaking = [], set()
    all_of_it = sum(leak.share for leak in ran.findings.leaks)
    for leak in ran.findings.leaks:
        told = sorter.families(ran.charts, ran.drops, some_of(leak.rows))
        leaking |= set(told)
        if leak.share < SMALL * all_of_it or len(leak.rows) < FEWEST:
            continue
        some = some_of(leak.rows, WAYS_TOLD)
        way = record(ran.charts, ran.drops, some, threads=1).points
        targets.append(Target(leak.id, _main(told), None, way, -leak.share))
    keys = set()
    for lap in ran.findings.laps:
        key = key_of(lap)
        if not lap.ok and key not in keys:
            keys.add(key)
            lacks = spare(ran.findings.laps, key) + LAP_ROUNDING
            lacks = min(lacks, -LAP_ROUNDING)
            targets.append(
                Target(lap.id, (), key, round_(lap), lacks, needed=lap.needed, length=lap.length)
            )
    quest = Quest(
        made, ran.assembly, weather, TRIAL_DROPS, min(ran.drops.released, MOST_DROPS), ran.seed,
        tuple(targets),
    )  # fmt: skip
    stood: dict[int, float] = {}
    if quest.windy:
        wind = InWind.of(ran.assembly, weather, [weather.from_angle], seed=ran.seed)
        shares = wind.rains(drops=quest.rain, seed=ran.seed, most=quest.rain)
        quest = replace(quest, targets=tuple(_in_wind(wind, target) for target in quest.targets))
        leaking |= wind.at(weather.gust)
        for row, target in enumerate(quest.targets):
            if target.families and not target.by_rain:
                stood[row] = wind.stands(target.families)
    else:
        shares = in_still_air(
            ran.assembly, weather, drops=quest.rain, seed=ran.seed, most=quest.rain
        )
    before = Before(
        frozenset(leaking | shares.keys()), shares, ran.findings.laps, (), asks_too_much(made)
    )
    return quest, before, stood


def faint(ran: Ran) -> dict[tuple[str, int], str]:
    """A sentence for each leak ("leak", id) that too few drops went in at to try changes by."""
    why = (
        f"None looked for: under {FEWEST} of the {ran.drops.released:,} drops got in there, too few to try "
        "changes by; let more fall with --drops."
    )
    return {("leak", leak.id): why for leak in ran.findings.leaks if len(leak.rows) < FEWEST}


def round_(lap: Lap) -> NDArray[np.float64]:
    """The open edge of a lap, and places (n, 3) [m] beyond both ends of its way: there a sheet ends that
    might go on."""
    way = lap.way[1] - lap.way[0]
    beyond = BEYOND * way / np.linalg.norm(way)
    return np.vstack([lap.edge, lap.way, lap.edge - beyond, lap.way[1:] + beyond])


def _main(told: list[Family]) -> tuple[Family, ...]:
    """Families that have most of a leak's drops, the largest first."""
    count = {family: told.count(family) for family in sorted(set(told))}
    largest = sorted(count, key=lambda family: (-count[family], family))
    return tuple(family for family in largest if count[family] >= WORTH * len(told))


def _in_wind(wind: InWind, target: Target) -> Target:
    """A leak with what it lacks of the design gust; told by rain alone where nothing else shows it."""
    if not target.families:
        return target
    design = wind.weather.gust
    if not wind.at(design) & frozenset(target.families):
        return replace(target, by_rain=True)
    return replace(target, margin=min(wind.stands(target.families) - design, target.margin))
