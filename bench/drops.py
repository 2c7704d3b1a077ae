"""What a drop costs, from a thousand drops to ten million: time, and memory while all are in flight.

    python bench/drops.py [--scene cottage] [--most 10000000] [--threads 2]

Memory is what Python and numpy have asked for at the worst moment (tracemalloc), from the first drop's
fall to the last one's fate, over the number of drops; the scene's own tables are not in it.
"""

from __future__ import annotations

import argparse
import sys
import tracemalloc
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.tracer import RAIN, best_of
from scenes.run import assemble
from scenes.scene import load
from sim.charts import Charts
from sim.ground import Ground
from sim.ponds import Ponds
from sim.rain import rain
from sim.spills import Spills
from sim.trace import trace


@dataclass(frozen=True)
class Cost:
    """A number of drops: microseconds a drop to make them and to follow them, bytes a drop at most."""

    drops: int
    rain: float
    trace: float
    bytes: float


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--scene", default="cottage")
    options.add_argument("--most", type=int, default=10_000_000)
    options.add_argument("--threads", type=int, default=2)
    chosen = options.parse_args()
    rows = costs(chosen.scene, chosen.most, chosen.threads)
    for row in rows:
        print(
            f"{row.drops:>11,} drops   rain {row.rain:6.3f} us   followed {row.trace:6.3f} us   "
            f"at most {row.bytes:4.0f} bytes a drop"
        )
    print(f"dearest drop to follow over the cheapest: {spread(rows):.2f}")


def costs(scene: str, most: int, threads: int) -> list[Cost]:
    """One row for each power of ten from 1,000 up to `most`."""
    ground = Ground.of(assemble(load(scene)))
    bare = Charts.on(ground)
    charts = bare.going_on(Spills(Ponds.of(bare)))
    rows, count = [], 1000
    while count <= most:
        times = max(2, min(20, 1_000_000 // count))
        made, drops = best_of(times, lambda n=count: rain(charts, n, seed=0, rain_m_s=RAIN))
        took, _ = best_of(times, lambda own=drops: trace(charts, own, threads=threads))
        del drops
        tracemalloc.start()
        ends = trace(charts, rain(charts, count, seed=0, rain_m_s=RAIN), threads=threads)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        rows.append(Cost(count, made / count * 1e6, took / count * 1e6, peak / len(ends.fate)))
        count *= 10
    return rows


def spread(rows: list[Cost]) -> float:
    """The dearest drop to follow over the cheapest."""
    return max(row.trace for row in rows) / min(row.trace for row in rows)


if __name__ == "__main__":
    main()
