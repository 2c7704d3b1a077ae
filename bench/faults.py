"""What every fault of the catalogue does: to the water in still rain and to the first-leak gust.

    python bench/faults.py [--scene NAME ...] [--directions 8] [--drops 10000] [--only WORDS]

Each fault is put everywhere that it can be, at its usual size, into the first of the scenes that gives it
room; the same scene without it stands beside it, in the same run. Shares of the rain that gets behind;
laps that are too short; the first-leak gusts, with it and without, from that of so many directions
from which it weakens the scene most (0 where still rain gets in, 75 for none up to that); and the
weathers of the library, with wind from there, in which more of the rain gets behind than without it.
"""

from __future__ import annotations

import argparse
import sys
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from meshes.errors import SceneError
from scenes.assemble import assemble
from scenes.faults.apply import with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.follow import follow
from scenes.gust import searched
from scenes.progress import Remarks
from scenes.scene import Scene, load, names
from scenes.weather import CASES
from sim.blown import Wind
from sim.fates import Fate
from sim.rain import Drops, rain
from sim.site import Site
from sim.storm import weather_the
from sim.trace import Trace
from sim.wind_inputs import MOST_GUST


class Seen(NamedTuple):
    """Share behind in still rain, laps too short, the gust [m/s] from each direction (n,), the site."""

    behind: float
    short: int
    gusts: NDArray[np.float64]
    site: Site


STORMS = tuple(case for case in CASES if case.gust_m_s > 0)
MORE = 0.001
"""Share of the rain by which more must get behind to count as a leak that the scene has not without."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scene", action="append", default=None)
    parser.add_argument("--directions", type=int, default=8)
    parser.add_argument("--drops", type=int, default=10_000)
    parser.add_argument("--only", default="")
    told = parser.parse_args()
    scenes = told.scene or ["cottage", *(name for name in names() if name != "cottage")]

    @cache
    def right(name: str) -> Seen:
        return _seen(load(name), told.directions, told.drops)

    @cache
    def stormed(name: str, turn: float) -> dict[str, float]:
        return _stormed(right(name).site, turn, told.drops)

    head = (
        f"{'fault':<28}{'scene':<12}{'behind':>9}{'laps':>6}{'gust':>8}{'without':>9}{'ratio':>7}"
    )
    print(f"{head}  from  leaks in", flush=True)
    for fault in CATALOGUE:
        if told.only not in fault.name:
            continue
        name, wrong = _first_with_room(fault.name, scenes)
        if wrong is None:
            print(f"{fault.name:<28}no scene given has room for it", flush=True)
            continue
        seen, fine = _seen(wrong, told.directions, told.drops), right(name)
        ratio = seen.gusts / fine.gusts
        worst = int(ratio.argmin())
        turn = worst / told.directions
        wet, dry = _stormed(seen.site, turn, told.drops), stormed(name, turn)
        leaks = [*(["calm"] if seen.behind > fine.behind + MORE else [])]
        leaks += [weather for weather in wet if wet[weather] > dry[weather] + MORE]
        print(
            f"{fault.name:<28}{name:<12}{100 * seen.behind:>8.2f}%{seen.short - fine.short:>6}"
            f"{seen.gusts[worst]:>8.1f}{fine.gusts[worst]:>9.1f}{ratio[worst]:>7.2f}"
            f"{360 * turn:>6.0f}  {', '.join(leaks) or '-'}",
            flush=True,
        )


def _first_with_room(fault: str, scenes: list[str]) -> tuple[str, Scene | None]:
    for name in scenes:
        try:
            wrong = with_faults(load(name), [fault])
            assemble(wrong)
        except SceneError:
            continue
        return name, wrong
    return "", None


def _seen(scene: Scene, directions: int, drops: int) -> Seen:
    assembly = assemble(scene)
    found = follow(
        assembly, scene.weather, drops=drops, seed=0, threads=None, remarks=Remarks(quiet=True)
    )
    angles = 2 * np.pi * np.arange(directions) / directions
    site = Site.of(assembly)
    leaks = searched(site, scene.weather, angles, seed=0)
    gusts = np.array([min(leak.gust, MOST_GUST) for leak in leaks])
    short = sum(not lap.ok for lap in found.findings.laps)
    return Seen(_behind(found.drops, found.trace), short, gusts, site)


def _stormed(site: Site, turn: float, drops: int) -> dict[str, float]:
    """Share of the rain behind in each windy weather of the library; turn: where it blows from [1]."""
    angle, shares = 2 * np.pi * turn, {}
    for case in STORMS:
        rain_m_s = case.rain_mm_h / 3.6e6
        fallen = rain(
            site.still, drops, seed=0, rain_m_s=rain_m_s, from_angle=angle, wind_m_s=case.gust_m_s
        )
        ends = weather_the(site, fallen, Wind(case.gust_m_s, angle)).trace
        shares[case.name] = _behind(fallen, ends)
    return shares


def _behind(fallen: Drops, ends: Trace) -> float:
    behind = np.isin(ends.fate, (Fate.UNDERLAY, Fate.INSIDE))
    return float(fallen.flow[behind].sum() / fallen.flow.sum())


if __name__ == "__main__":
    main()
