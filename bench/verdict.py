"""From a changed measure to a new verdict: build, charts, 5,000 drops, laps and leaks.

    python bench/verdict.py [SCENE ...]

Every change is one that was never asked before; milliseconds, at the median of 15, of the steps and of
the whole.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scenes.progress import Remarks
from scenes.run import run
from scenes.scene import LIBRARY, load
from scenes.stand.asked import Bench

CHANGES = 15
DROPS = 5_000
WHOLE = "the whole"


class Timed(Remarks):
    """Remarks that keep how long each step took."""

    def __init__(self, took: dict[str, list[float]]) -> None:
        super().__init__(quiet=True)
        self.took = took

    @contextmanager
    def step(self, words: str) -> Iterator[None]:
        begin = perf_counter()
        yield
        self.took.setdefault(words, []).append(perf_counter() - begin)


def main() -> None:
    for name in sys.argv[1:] or ("cottage", "terrace", "stepped"):
        print(name)
        for step, seconds in verdict(name).items():
            print(f"  {step:<52}{seconds * 1e3:8.1f} ms")


def verdict(scene: str) -> dict[str, float]:
    """Seconds at the median by step, and of the whole."""
    bench = Bench.of(load(scene), LIBRARY)
    pitch = float(bench.start["pitch"])
    took: dict[str, list[float]] = {}
    for change in range(CHANGES + 1):
        changed = bench.scene_with(bench.values({"pitch": pitch + 0.37 * change}))
        begin = perf_counter()
        run(changed, drops=DROPS, seed=0, remarks=Timed(took))
        took.setdefault(WHOLE, []).append(perf_counter() - begin)
        if change == 0:
            took.clear()
    return {step: median(seconds) for step, seconds in took.items()}


if __name__ == "__main__":
    main()
