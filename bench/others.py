"""The same question asked of general-purpose libraries: where do drops leave a bumpy slope round a block?

    python bench/others.py [--drops 400] [--threads 2]

Ours is the tracer with every point kept, one thread for a fair start and two as it runs. VTK: streamlines
of the downhill field on the same triangles from the same places, steps of 20 mm. The loop: plain Python, one
trimesh ray (embreex) for every few millimetres of a drop's way, downhill from the face that it met. What each
can't tell stands beside its time.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

import numpy as np
import pyvista
import trimesh
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.bumpy import FEW, roof
from bench.tracer import RAIN, best_of
from sim.charts import Charts
from sim.rain import Drops, rain
from sim.trace import record, trace

Floats = NDArray[np.float64]
STREAM_STEP, LOOP_STEP = 0.020, 0.010
LOOPED = 8
"""Drops that the loop is given: it takes seconds for each."""
MOST_STEPS = 3_000


@dataclass(frozen=True)
class Way:
    """One way to ask: microseconds a drop; how far its exits lie from ours at the median [m]; what it
    can't tell."""

    name: str
    per_drop: float
    apart: float
    lacks: str


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--drops", type=int, default=400)
    options.add_argument("--threads", type=int, default=2)
    chosen = options.parse_args()
    rows = ways(chosen.drops, chosen.threads)
    for row in rows:
        print(
            f"{row.name:<34}{row.per_drop:>12,.1f} us a drop {row.per_drop / rows[0].per_drop:>10,.0f} times"
            f"   exits {row.apart * 1e3:6.1f} mm apart   {row.lacks}"
        )


def ways(count: int, threads: int) -> list[Way]:
    """Ours first, and then the others."""
    charts = Charts.of(roof(FEW, block=True))
    drops = rain(charts, count, seed=0, rain_m_s=RAIN)
    took, _ = best_of(9, lambda: record(charts, drops, np.arange(len(drops)), threads=threads))
    exits = trace(charts, drops).end
    ours = Way("ours, every point kept", took / count * 1e6, 0.0, "")
    return [ours, _streamlines(charts, drops, exits), _loop(charts, drops, exits)]


def _streamlines(charts: Charts, drops: Drops, exits: Floats) -> Way:
    surface = charts.surface
    points = surface.vertices + surface.centre
    mesh = pyvista.PolyData.from_regular_faces(points, surface.faces)
    down = np.array([0.0, 0.0, -1.0])
    mesh.cell_data["downhill"] = down - (surface.normals @ down)[:, None] * surface.normals
    mesh = mesh.cell_data_to_point_data()
    seeds = pyvista.PolyData(charts.points(drops.chart, drops.where))
    begin = perf_counter()
    lines = mesh.streamlines_from_source(
        seeds, vectors="downhill", surface_streamlines=True, integration_direction="forward",
        initial_step_length=STREAM_STEP, step_unit="l", max_length=12.0, max_steps=4000,
        compute_vorticity=False,
    )  # fmt: skip
    took = perf_counter() - begin
    seed = np.asarray(lines.cell_data["SeedIds"])
    last = np.array([lines.get_cell(k).points[-1] for k in range(lines.n_cells)])
    apart = np.linalg.norm((last - exits[seed])[:, :2], axis=1)
    lacks = "no fall from an edge, no side of a sheet, no corner, no share of the rain"
    return Way("VTK streamlines, 20 mm", took / len(drops) * 1e6, float(np.median(apart)), lacks)


def _loop(charts: Charts, drops: Drops, exits: Floats) -> Way:
    surface = charts.surface
    mesh = trimesh.Trimesh(surface.vertices + surface.centre, surface.faces, process=False)
    rows = np.arange(0, len(drops), max(1, len(drops) // LOOPED))[:LOOPED]
    starts = charts.points(drops.chart[rows], drops.where[rows])
    begin = perf_counter()
    ends = np.array([_one(mesh, start) for start in starts])
    took = perf_counter() - begin
    apart = np.linalg.norm((ends - exits[rows])[:, :2], axis=1)
    lacks = "exits that hang on the step; loses water between sheets nearer than it"
    return Way("a trimesh ray every 10 mm", took / len(rows) * 1e6, float(np.median(apart)), lacks)


def _one(mesh: trimesh.Trimesh, start: Floats) -> Floats:
    down = np.array([0.0, 0.0, -1.0])
    place = start
    for _ in range(MOST_STEPS):
        above = place - LOOP_STEP * down
        hits, _, face = mesh.ray.intersects_location([above], [down], multiple_hits=False)
        if not len(hits):
            return place
        normal = mesh.face_normals[face[0]]
        way = down - (down @ normal) * normal
        size = float(np.linalg.norm(way))
        if size < 1e-9:
            return hits[0]
        place = hits[0] + LOOP_STEP * way / size
    return place


if __name__ == "__main__":
    main()
