"""How often working back from a damp place finds the fault that is hidden in a detail.

    python bench/diagnose.py [--scene cottage] [--hidden 200] [--seed 1] [--keep FILE] [--calm-alone]

Faults are drawn as the stated priors say, at any size from half the usual one to 1.6 times, and with them a
weather: still rain, or a gust of any strength from half to all of the driving case's from anywhere round
the roof, of which only the nearest of four sides is told. A drop that shows inside makes the damp place,
moved by some 60 mm at random. Details that let no water in then are left out: nobody calls a roofer. The
hidden fault's rank counts among all faults at all places. --keep: a file that keeps what was tried;
--calm-alone: still rain every time, which takes a tenth of the time.
"""

from __future__ import annotations

import argparse
import pickle
import sys
from collections import Counter
from dataclasses import replace
from math import pi
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scenes.assemble import assemble
from scenes.diagnose.diagnosis import ceiling
from scenes.diagnose.likelihood import THROUGH_UNDERLAY
from scenes.diagnose.ranking import SEEN_BEFORE, Evidence, ranked
from scenes.diagnose.suspects import SIZES, Suspect, suspects
from scenes.diagnose.trial import ALL_ROUND, DRIVING, GUSTS, Trial, Tried, tried
from scenes.faults.fault import Asked
from scenes.in_processes import in_processes
from scenes.scene import Scene, load
from scenes.weather_words import After
from sim.comes_out import ComesOut

OFF = 0.060  # [m] the damp place is measured so far off, each way
HIDDEN_SEED = 1000  # of the rain on hidden faults: not that of the table


class Hidden(NamedTuple):
    """A fault of some size hidden in the scene, and one weather: its wind, None where it is calm."""

    suspect: Suspect
    wind: float | None
    gust: float


class Task(NamedTuple):
    """A hidden fault to try in its weather."""

    scene: Scene
    hidden: Hidden


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--scene", default="cottage")
    parser.add_argument("--hidden", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=None)
    parser.add_argument("--calm-alone", action="store_true")
    told = parser.parse_args()
    scene = load(told.scene)
    single = suspects(scene)
    angles = () if told.calm_alone else ALL_ROUND
    table = _table(scene, single, angles, told.keep)
    generator = np.random.default_rng(told.seed)
    calm = 1.0 if told.calm_alone else 0.5
    draws = [_draw(generator, single, table, calm) for _ in range(round(1.4 * told.hidden))]
    area = ceiling(assemble(scene), np.zeros((0, 2)))
    ranks: list[int] = []
    missed: Counter[str] = Counter()
    seen: Counter[str] = Counter()
    dry = 0
    nothing = Hidden(Suspect((), 1.0), None, 0.0)
    right = {wind: _right(scene, nothing.suspect, wind) for wind in {one.wind for one in draws}}
    found = in_processes(come_out, [Task(scene, hidden) for hidden in draws])
    for hidden, tried_so in zip(draws, found, strict=True):
        place = _damp(generator, _weather(tried_so.beyond(right[hidden.wind]), hidden))
        if place is None:
            dry += 1
            continue
        if len(ranks) == told.hidden:
            break
        after: After = "calm" if hidden.wind is None else "driving"
        side = None if hidden.wind is None else (round(hidden.wind / (pi / 2)) % len(ALL_ROUND),)
        rows = ranked(single, table, Evidence(place[None], after, side, area))
        faults = [row for row in rows if row.suspect.faults]
        rank = 1 + [row.suspect.key for row in faults].index(hidden.suspect.key)
        ranks.append(rank)
        (name, where), *_ = hidden.suspect.key
        label = f"{name}@{where}, {after}"
        seen[label] += 1
        missed[label] += rank > 1
    _print(np.array(ranks), dry, seen, missed)


def _print(ranks: np.ndarray, dry: int, seen: Counter[str], missed: Counter[str]) -> None:
    print(f"{len(ranks)} hidden faults with a damp place, {dry} drawn that showed nothing new")
    for most in (1, 2, 3, 5):
        share = float((ranks <= most).mean())
        error = (share * (1 - share) / len(ranks)) ** 0.5
        print(f"true fault among the first {most}: {share:.1%} +- {error:.1%}")
    print("hidden, weather: times drawn, times not first")
    for label, times in seen.most_common():
        print(f"  {label:<48}{times:>4}{missed[label]:>4}")


def _table(
    scene: Scene, single: list[Suspect], angles: tuple[float, ...], keep: Path | None
) -> list[Tried]:
    if keep is not None and keep.exists():
        return list(pickle.loads(keep.read_bytes()))
    trials = [Trial(scene, one, angles, False, 0) for one in single]
    table = []
    for number, one in enumerate(in_processes(tried, trials), start=1):
        table.append(one)
        if number % 20 == 0:
            print(f"{number} of {len(trials)} suspects tried", file=sys.stderr, flush=True)
    if keep is not None:
        keep.write_bytes(pickle.dumps(table))
    return table


def _draw(
    generator: np.random.Generator, single: list[Suspect], table: list[Tried], calm_share: float
) -> Hidden:
    """A fault by its prior among those that leak in the weather drawn with it, of any size."""
    calm = bool(generator.random() < calm_share)
    wind = None if calm else float(generator.integers(8) * pi / 4)
    side = None if wind is None else (round(wind / (pi / 2)) % len(ALL_ROUND),)
    weights = []
    for one, found in zip(single, table, strict=True):
        own = found if found.wrong else found.beyond(table[0])
        states = own.states("calm" if calm else "driving", side).values()
        leaks = not found.wrong and bool(one.faults) and any(len(state) for state in states)
        told = 1.0 if calm or not len(found.calm) else SEEN_BEFORE
        weights.append(one.prior * leaks * told)
    chosen = single[generator.choice(len(single), p=np.array(weights) / sum(weights))]
    (one,) = chosen.faults
    factor = generator.uniform(SIZES[0][0], SIZES[-1][0])
    amount = min(max(factor * one.fault.usual, one.fault.least), one.fault.most)
    suspect = replace(chosen, faults=(Asked(one.fault, one.place, amount),))
    return Hidden(suspect, wind, DRIVING.gust_m_s * float(generator.uniform(0.5, 1.0)))


def come_out(task: Task) -> Tried:
    """Where a hidden fault's water comes out in its weather."""
    wind = task.hidden.wind
    angles = () if wind is None else (wind,)
    return tried(Trial(task.scene, task.hidden.suspect, angles, False, HIDDEN_SEED))


def _right(scene: Scene, nobody: Suspect, wind: float | None) -> Tried:
    return come_out(Task(scene, Hidden(nobody, wind, 0.0)))


def _weather(found: Tried, hidden: Hidden) -> ComesOut:
    """Of the weathers tried the one that is hidden too."""
    if hidden.wind is None or found.wrong:
        return found.calm
    nearest = int(np.abs(np.array(GUSTS) - hidden.gust).argmin())
    return found.driven[0][nearest]


def _damp(generator: np.random.Generator, state: ComesOut) -> np.ndarray | None:
    """A damp place (2,) [m]; None where none shows."""
    if not len(state):
        return None
    shows = state.weight * np.where(state.inside, 1.0, THROUGH_UNDERLAY)
    drop = generator.choice(len(shows), p=shows / shows.sum())
    return np.asarray(state.out[drop, :2] + generator.normal(0.0, OFF, 2))


if __name__ == "__main__":
    main()
