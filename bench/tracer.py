"""How fast the tracer is, beside raw first-hit queries of Embree on the same triangles in the same run.

    python bench/tracer.py [--scene cottage] [--drops 1000000] [--threads 2]

One hop is a straight run, a slide or a fall. The rays are made from real hops: each starts where a piece
of a path starts, a stand-off above its chart, and goes the way that piece goes. Embree is called through
embreex, INTERSECT queries in batches, from as many Python threads as the tracer has. embreex may hold
Python's lock while it works, so its time in one thread, divided by the number of threads as if it
shared out perfectly, is measured too, and the better of the two counts.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
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


def main() -> None:
    """Build, rain, trace, cast; print one figure a line."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--scene", default="cottage")
    options.add_argument("--drops", type=int, default=1_000_000)
    options.add_argument("--threads", type=int, default=2)
    options.add_argument("--rays", type=int, default=2_000_000)
    chosen = options.parse_args()
    try:
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene
    except ImportError:
        sys.exit("bench/tracer.py needs embreex: pip install '.[bench]'")

    assembly = assemble(load(chosen.scene))
    Charts.of(assembly)
    built, charts = best_of(3, lambda: Charts.of(assembly))
    drops = rain(charts, chosen.drops, seed=0, rain_m_s=75 / 3.6e6)
    trace(charts, drops, threads=chosen.threads)
    took, got = best_of(REPEATS, lambda: trace(charts, drops, threads=chosen.threads))
    hops = int(got.hops.sum())
    fates = {fate.name.lower(): int((got.fate == fate).sum()) for fate in Fate}
    hop = took / hops * 1e9

    starts, ways = rays_of_hops(charts, drops, chosen.rays)
    scene = EmbreeScene()
    corners = charts.surface.vertices[charts.surface.faces[charts.surface.solid]]
    TriangleMesh(scene, corners.astype(np.float32))
    cuts = range(0, len(starts), BATCH)

    def cast(first: int) -> None:
        scene.run(starts[first : first + BATCH], ways[first : first + BATCH], query="INTERSECT")

    def share_out() -> None:
        with ThreadPoolExecutor(chosen.threads) as pool:
            list(pool.map(cast, cuts))

    alone, _ = best_of(REPEATS, lambda: [cast(first) for first in cuts])
    shared, _ = best_of(REPEATS, share_out)
    ray = min(alone / chosen.threads, shared) / len(starts) * 1e9

    print(f"scene              {chosen.scene}, {len(charts.surface.faces)} triangles")
    print(f"charts             {built * 1e3:.1f} ms")
    print(f"drops              {len(drops)}, {chosen.threads} threads, {took:.3f} s")
    print(f"fates              {', '.join(f'{name} {n}' for name, n in fates.items() if n)}")
    print(f"drops/s            {len(drops) / took:,.0f}")
    print(f"hops/s             {hops / took:,.0f}  ({hops / len(drops):.1f} hops a drop)")
    print(f"one hop            {hop:.1f} ns")
    print(f"one Embree query   {ray:.1f} ns  ({len(starts)} rays; one thread {per(alone, starts)} ns, "
          f"{chosen.threads} Python threads {per(shared, starts)} ns a ray)")  # fmt: skip
    print(f"hop / query        {hop / ray:.2f}")


def per(seconds: float, rays: NDArray[np.float32]) -> str:
    """Nanoseconds a ray, as text."""
    return f"{seconds / len(rays) * 1e9:.1f}"


def best_of(times: int, work: Callable[[], Any]) -> tuple[float, Any]:
    """Shortest of some runs [s], and what the last one gave."""
    least = np.inf
    for _ in range(times):
        begin = time.perf_counter()
        result = work()
        least = min(least, time.perf_counter() - begin)
    return least, result


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
