"""What a hop costs on an imported roof: on few triangles and on very many, and with nothing to meet.

    python bench/bumpy.py [--drops 200000] [--threads 2]

The roof is a made-up bumpy slope of 5 x 5 m, one part read as a mesh of its own; on it a block that stands
in it, or, for the walk limit, nothing: contacts are edges for the tracer, so with the block left away its
kernel does all that it ever does on a facet and nothing else.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.tracer import RAIN, best_of
from meshes.parts import Assembly, Part, Role
from sim.charts import Charts
from sim.rain import rain
from sim.trace import trace

SIDE = 5.0
FEW, MANY = 5_000, 500_000


@dataclass(frozen=True)
class Walked:
    """One roof: its triangles, nanoseconds a hop, all threads together, seconds to make the charts."""

    triangles: int
    hop: float
    charts: float


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--drops", type=int, default=200_000)
    options.add_argument("--threads", type=int, default=2)
    chosen = options.parse_args()
    rows = {
        count: walked(roof(count, block=True), chosen.drops, chosen.threads)
        for count in (FEW, MANY)
    }
    bare = walked(roof(FEW, block=False), chosen.drops, chosen.threads)
    for row in rows.values():
        print(
            f"{row.triangles:>9,} triangles   {row.hop:7.1f} ns a hop   charts {row.charts:.2f} s"
        )
    print(
        f"{bare.triangles:>9,} triangles, nothing to meet: {bare.hop:.1f} ns a hop, the walk limit"
    )
    print(f"a hop on the large roof over one on the small: {rows[MANY].hop / rows[FEW].hop:.1f}")


def roof(count: int, *, block: bool) -> Assembly:
    """A bumpy slope of about so many triangles, falling towards -y; block: one stands in it."""
    cells = int(np.sqrt(count / 2))
    line = np.linspace(0.0, SIDE, cells + 1)
    x, y = (grid.ravel() for grid in np.meshgrid(line, line))
    z = 0.7 * y + 0.01 * np.sin(7 * x + 3 * y) + 0.006 * np.sin(23 * x - 11 * y)
    at = np.arange(cells * (cells + 1)).reshape(cells, cells + 1)[:, :-1].ravel()
    faces = np.concatenate(
        [
            np.stack([at, at + 1, at + cells + 2], 1),
            np.stack([at, at + cells + 2, at + cells + 1], 1),
        ]
    )
    parts = [Part("slope", Role.COVERING, np.stack([x, y, z], axis=1), faces)]
    if block:
        box = trimesh.creation.box((0.6, 0.5, 2.0))
        box.apply_translation((SIDE / 2, SIDE / 2, 0.7 * SIDE / 2 + 0.3))
        parts.append(Part("block", Role.STACK, np.asarray(box.vertices), np.asarray(box.faces)))
    return Assembly(tuple(parts))


def walked(assembly: Assembly, count: int, threads: int) -> Walked:
    """Chart a roof and let rain run down it."""
    begin = time.perf_counter()
    charts = Charts.of(assembly)
    took = time.perf_counter() - begin
    drops = rain(charts, count, seed=0, rain_m_s=RAIN)
    seconds, got = best_of(3, lambda: trace(charts, drops, threads=threads))
    return Walked(len(charts.surface.faces), seconds / int(got.hops.sum()) * 1e9, took)


if __name__ == "__main__":
    main()
