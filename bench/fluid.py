"""Where a general-purpose smoothed-particle solver sends the water of small patches, beside the tracer.

    pip install pysplishsplash
    python bench/fluid.py [--case right|reversed|gutter|syrup] [--radius 0.0025]

Patches of 0.4 x 0.4 m (`bench/fluid_patches.py`): a lap, right and reversed, and a level gutter with two
free ends, fed evenly and off-centre. A rain film of 0.3 mm is too thin for particles. On the laps it is
10 mm deep, between sheets 30 mm apart: by Froude's law (gravity against inertia) a film of 0.3 mm between
sheets 0.9 mm apart on a patch of 12 mm, lengths 33 times and times and speeds 5.8 times as large. The
gutter is as it is. Reynolds and Weber numbers are not kept: viscosity, which slows a real film, and surface
tension, which holds it to its sheet and draws it into gaps, count for far less here than on a roof. So the
solver says where gravity and momentum send water, not how fast, nor whether a lap draws it in. The gutter
fed off-centre is asked once more of a liquid as thick as syrup that sticks to its sheet: there friction
decides how it divides, as in a film of rain, and not the push of a block let go. It runs on
one core, with the system's libGLdispatch loaded first, which it needs where there is no screen.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.fluid_divide import film_share, share_with_inertia
from bench.fluid_patches import WIDE, Patch, patches
from sim.charts import Charts
from sim.fates import Fate
from sim.ground import Ground
from sim.ponds import Ponds
from sim.rain import rain
from sim.spills import Spills
from sim.trace import trace
from sim.water import VISCOSITY

DROPS = 40_000
"""Over the whole patch; those where water is let go count."""
RAIN = 2e-5
"""75 mm/h [m/s]."""
STILL = ", counted by the film's law"
WITHIN = 0.10
"""How far the shares may lie apart; and above which share of the water a lap leaks."""


@dataclass(frozen=True)
class Split:
    """What share of the drops that went anywhere went the first way; what share stayed; seconds; drops."""

    first: float
    stayed: float
    seconds: float
    count: int


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--case", choices=list(patches()))
    options.add_argument("--radius", type=float, default=0.0025, help="of a particle [m]")
    chosen = options.parse_args()
    if importlib.util.find_spec("pysplishsplash") is None:
        sys.exit("the solver is missing: pip install pysplishsplash")
    print("Smoothed particles (pip install pysplishsplash) beside the tracer, same triangles.")
    print("By Froude's law alone: gravity and momentum, no capillarity; laps 33 times as large.")
    for case in [chosen.case] if chosen.case else patches():
        for number, patch in enumerate(patches()[case]):
            _compare(patch, case, number, chosen.radius)


def _compare(patch: Patch, case: str, number: int, radius: float) -> None:
    solver = _solved(case, number, radius)
    gone = solver["first"] + solver["other"]
    share = solver["first"] / max(1, gone)
    if patch.sticks:
        # It never runs dry; a film that is left divides by where it lies.
        share = (solver["first"] + solver["rest"] * (solver["count"] - gone)) / solver["count"]
    ours = _traced(patch)
    apart = abs(share - ours.first)
    print(
        f"\n{patch.name}: {patch.first}\n"
        f"  solver  {share:6.1%}   {solver['count']:,.0f} particles, {solver['seconds']:.0f} s "
        f"({solver['core_s']:.0f} s of a core), {solver['count'] - gone:,.0f} still there after "
        f"{solver['lasted']:.2f} s{STILL if patch.sticks else ''}\n"
        f"  tracer  {ours.first:6.1%}   {ours.count:,} drops, {ours.seconds * 1e3:.0f} ms, "
        f"{ours.stayed:.1%} held\n"
        f"  apart   {apart:6.1%}   within {WITHIN:.0%}: {_yes(apart <= WITHIN)}",
        end="",
    )
    if patch.lower_z is None:
        print(f"\n{_divides(patch, solver, radius)}", flush=True)
    else:
        same = (share > WITHIN) == (ours.first > WITHIN)
        print(f"; leak or no leak the same: {_yes(same)}", flush=True)


def _divides(patch: Patch, solver: dict[str, float], radius: float) -> str:
    """How published relations divide a gutter's feed, at the rain's flow and at the solver's."""
    first, other = patch.to_ends()
    (low, high), *_ = patch.blocks[0]
    rained = RAIN * (high - low)
    lines = [
        f"  film    {film_share(first, other):6.1%}   h^4 linear from the feed to both ends",
        f"  with inertia, the feed in one place: {share_with_inertia(rained, first, other, VISCOSITY):.1%} "
        f"at the rain's {rained:.1e} m2/s",
    ]
    if solver["half"] > 0:
        let_go = solver["count"] * (2 * radius) ** 3 / WIDE
        flow = let_go / 2 / solver["half"]
        # Along sheets the solver's water slips: no more friction than real water has.
        nu = patch.viscosity if patch.sticks else VISCOSITY
        share = share_with_inertia(flow, first, other, nu)
        lines[-1] += f", {share:.1%} at the solver's {flow:.1e} m2/s"
    return "\n".join(lines)


def _yes(so: bool) -> str:
    return "yes" if so else "NO"


def _solved(case: str, number: int, radius: float) -> dict[str, float]:
    """One process for each patch, on one core, after everything else that runs."""
    root = Path(__file__).resolve().parent
    with tempfile.TemporaryDirectory() as folder:
        answer = Path(folder) / "answer.json"
        asked = [sys.executable, str(root / "fluid_solver.py"), case, str(number), str(radius)]
        world = {"LD_PRELOAD": "libGLdispatch.so.0", **os.environ, "OMP_NUM_THREADS": "1"}
        done = subprocess.run(
            ["nice", "-n", "19", *asked, str(answer)],
            cwd=folder, env=world, capture_output=True, text=True, check=False,
        )  # fmt: skip
        if not answer.is_file():
            sys.exit(f"the solver did not answer:\n{done.stdout[-800:]}{done.stderr[-800:]}")
        return dict(json.loads(answer.read_text()))


def _traced(patch: Patch) -> Split:
    """From bodies to the answer, timed the second time: the first compiles."""
    for _ in range(2):
        begin = perf_counter()
        ground = Ground.of(patch.turned_up())
        bare = Charts.on(ground)
        charts = bare.going_on(Spills(Ponds.of(bare)))
        drops = rain(charts, DROPS, seed=0, rain_m_s=RAIN)
        ends = trace(charts, drops, threads=1)
        took = perf_counter() - begin
    fed = patch.fed(charts.points(drops.chart, drops.where) @ patch.up())
    stays = ends.fate == Fate.HELD
    first = ends.end[:, 0] < 0 if patch.lower_z is None else ends.fate == Fate.INSIDE
    share = first[fed & ~stays].mean()
    return Split(float(share), float(stays[fed].mean()), took, int(np.count_nonzero(fed)))


if __name__ == "__main__":
    main()
