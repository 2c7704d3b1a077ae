"""How soon the live stand answers a change: seconds at the median, and over a full run of the same scene.

python bench/stand.py [SCENE ...]
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scenes.progress import Remarks
from scenes.run import run
from scenes.scene import LIBRARY, load
from scenes.stand.answers import Answers, Drops
from scenes.stand.asked import Bench

CHANGES = 15
GUST = 20.0
FULL = 20_000
"""Drops of `stackrain run`."""
Changes = Sequence[Mapping[str, object]]


def main(names: Sequence[str]) -> None:
    """Print a table for each scene."""
    for name in names or ("cottage", "terrace", "stepped"):
        bench = Bench.of(load(name), LIBRARY)
        pitch = float(bench.start["pitch"])
        pitches = [pitch + 0.5 * k for k in range(1, CHANGES + 1)]
        covers = [100.0 + 5 * k for k in range(CHANGES)]
        slopes: Changes = [{"pitch": value} for value in pitches]
        kinds: list[tuple[str, Changes, Drops]] = [
            ("still air, pitch moves", slopes, "few"),
            ("still air, pitch rests", slopes, "all"),
            ("still air, side cover rests", [{"side cover": value} for value in covers], "all"),
            ("wind, pitch moves", [{"gust": GUST, **one} for one in slopes], "few"),
            ("wind, gust moves", [{"gust": GUST + k / 2} for k in range(1, CHANGES)], "few"),
            ("wind, gust rests", [{"gust": GUST + k / 2} for k in range(1, CHANGES)], "all"),
            ("wind, pitch rests", [{"gust": GUST, **one} for one in slopes[:5]], "all"),
        ]
        started = perf_counter()
        run(bench.scene, drops=FULL, seed=0, remarks=Remarks(quiet=True))
        whole = perf_counter() - started
        print(f"{name}: a run of {FULL:,} drops in still air takes {whole:.2f} s")
        for words, changes, drops in kinds:
            answers = Answers(bench)
            answers.data(bench.values(dict(changes[0]) | {"rain": 80.0}), "all")
            took = []
            for one in changes:
                started = perf_counter()
                answers.data(bench.values(dict(one)), drops)
                took.append(perf_counter() - started)
            print(f"  {words:<30}{median(took):6.2f} s{median(took) / whole:8.2f} of the run")


if __name__ == "__main__":
    main(sys.argv[1:])
