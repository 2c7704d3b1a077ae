"""How fast the tracer is, beside raw first-hit queries of Embree on the same triangles in the same run.

    python bench/tracer.py [--scene cottage] [--drops 1000000] [--threads 2]

One hop is a straight run, a slide or a fall. The rays are made from real hops: each starts where a piece
of a path starts, a stand-off above its chart, and goes the way that piece goes. Embree is called through
embreex, robust, INTERSECT queries in batches, from as many Python threads as the tracer has. embreex may
hold Python's lock while it works, so its time in one thread, divided by the number of threads as if it
shared out perfectly, is measured too, and the better of the two counts: the ray limit. `bench/bumpy.py`
tells the walk limit.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from scenes.run import assemble
from scenes.scene import load
from sim.charts import Charts
from sim.events import Event
from sim.fates import Fate
from sim.rain import Drops, rain
from sim.tolerances import STANDOFF
from sim.trace import record, trace

BATCH = 65_536
REPEATS = 5
RAIN = 75 / 3.6e6
"""75 mm/h [m/s]."""


@dataclass(frozen=True)
class Hop:
    """What a hop and a ray cost: nanoseconds, all threads together, the best of REPEATS runs; triangles;
    charts: seconds to make them; drops, the seconds that they took, their hops and fates."""

    hop: float
    ray: float
    triangles: int
    charts: float
    drops: int
    seconds: float
    hops: int
    fates: dict[str, int]


def main() -> None:
    """Build, rain, trace, cast; print one figure a line."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--scene", default="cottage")
    options.add_argument("--drops", type=int, default=1_000_000)
    options.add_argument("--threads", type=int, default=2)
    options.add_argument("--rays", type=int, default=2_000_000)
    chosen = options.parse_args()
    got = measure(chosen.scene, chosen.drops, chosen.threads, chosen.rays)
    print(f"scene              {chosen.scene}, {got.triangles} triangles, {chosen.threads} threads")
    print(f"charts             {got.charts * 1e3:.1f} ms")
    print(f"drops              {got.drops}, {got.seconds:.3f} s")
    print(f"fates              {', '.join(f'{name} {n}' for name, n in got.fates.items() if n)}")
    print(f"drops/s            {got.drops / got.seconds:,.0f}")
    print(
        f"hops/s             {got.hops / got.seconds:,.0f}  ({got.hops / got.drops:.1f} hops a drop)"
    )
    print(f"one hop            {got.hop:.1f} ns")
    print(f"one Embree query   {got.ray:.1f} ns: the ray limit")
    print(f"hop / query        {got.hop / got.ray:.2f}")


def measure(scene: str, count: int, threads: int, most: int) -> Hop:
    """All of it on one scene. Ends the program with a line where embreex is missing."""
    try:
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene
    except ImportError:
        sys.exit("bench/tracer.py needs embreex: pip install '.[bench]'")

    assembly = assemble(load(scene))
    Charts.of(assembly)
    built, charts = best_of(3, lambda: Charts.of(assembly))
    drops = rain(charts, count, seed=0, rain_m_s=RAIN)
    seconds, got = best_of(REPEATS, lambda: trace(charts, drops, threads=threads))
    hops = int(got.hops.sum())

    starts, ways = rays_of_hops(charts, drops, most)
    embree = EmbreeScene(robust=True)
    corners = charts.surface.vertices[charts.surface.faces[charts.surface.solid]]
    TriangleMesh(embree, corners.astype(np.float32))
    cuts = range(0, len(starts), BATCH)

    def cast(first: int) -> None:
        embree.run(starts[first : first + BATCH], ways[first : first + BATCH], query="INTERSECT")

    def share_out() -> None:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(cast, cuts))

    alone, _ = best_of(REPEATS, lambda: [cast(first) for first in cuts])
    shared, _ = best_of(REPEATS, share_out)
    return Hop(
        hop=seconds / hops * 1e9,
        ray=min(alone / threads, shared) / len(starts) * 1e9,
        triangles=len(charts.surface.faces),
        charts=built,
        drops=len(drops),
        seconds=seconds,
        hops=hops,
        fates={fate.name.lower(): int((got.fate == fate).sum()) for fate in Fate},
    )


def best_of(times: int, work: Callable[[], Any]) -> tuple[float, Any]:
    """Shortest of some runs [s], and what the last one gave."""
    least = np.inf
    for _ in range(times):
        begin = time.perf_counter()
        result = work()
        least = min(least, time.perf_counter() - begin)
    return float(least), result


def rays_of_hops(
    charts: Charts, drops: Drops, most: int
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Starts and unit directions, float32, of at most so many hops of evenly chosen drops."""
    rows = np.arange(0, len(drops), max(1, len(drops) * 60 // most))
    paths = record(charts, drops, rows)
    ends = np.flatnonzero(paths.kind == Event.ENDED)
    pieces = np.setdiff1d(np.arange(len(paths.kind) - 1), ends)
    way = paths.points[pieces + 1] - paths.points[pieces]
    size = np.linalg.norm(way, axis=1)
    pieces, way = pieces[size > 1e-9], (way / np.where(size > 0, size, 1.0)[:, None])[size > 1e-9]
    start = paths.points[pieces] + STANDOFF * charts.normals[paths.chart[pieces]]
    start -= charts.surface.centre
    pick = np.arange(min(most, len(start)))
    return start[pick].astype(np.float32), way[pick].astype(np.float32)


if __name__ == "__main__":
    main()
