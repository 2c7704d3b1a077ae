"""A patch in a general-purpose smoothed-particle solver (pysplishsplash), in a process of its own.

    python bench/fluid_solver.py CASE NUMBER RADIUS ANSWER

The solver keeps one world in each process. Without a screen it needs the system's libGLdispatch loaded first.
"""

from __future__ import annotations

import json
import sys
import tempfile
from math import cos, sin
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import numpy as np
import trimesh

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.fluid_patches import SIDE, Patch, patches

G = 9.81
LOOK = 0.005
"""Seconds of the solver's time between looks at the particles."""
ENOUGH = 0.998
"""Share of the particles that must have left before the patch counts as run dry."""
MOST_CORE_S = 360.0
"""A patch is given up after so much time of a core."""
CLEAR = 3
"""How much higher water is let go, in radii of a particle."""
AWAY = 100.0
"""Where particles are put once they are counted [m]."""


def solved(patch: Patch, radius: float, folder: Path) -> dict[str, float]:
    """What the solver, which writes into the folder, finds with particles of a radius [m].

    first, other: particles that went each way; count: of all; rest: what share of those still there lies
    nearer to the first end of a gutter, each by how far it is to the other over its length; half: after
    how many of the solver's own seconds half had gone, 0 for never; lasted: those until the end; seconds on
    the clock, core_s of a core.

    Particles that have left are counted and put away: free fall would shorten every step.
    """
    import pysplishsplash as solver

    bodies = [part for part in patch.bodies if part.name != "behind"]
    for number, part in enumerate(bodies):
        mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
        mesh.export(folder / f"{number}.obj")
    (folder / "scene.json").write_text(json.dumps(_scene(patch, radius, folder, len(bodies))))
    base = solver.Exec.SimulatorBase()
    base.init(
        sceneFile=str(folder / "scene.json"), useGui=False, outputDir=str(folder / "out"),
        initialPause=False, useCache=False,
    )  # fmt: skip
    base.setValueFloat(base.STOP_AT, patch.seconds)
    tally = {"first": 0, "other": 0, "count": 0, "lasted": 0.0, "rest": 0.0, "half": 0.0}
    begin, core = perf_counter(), process_time()

    def look(*_: Any) -> None:
        now = solver.TimeManager.getCurrent().getTime()
        if not tally["count"]:
            tally["count"] = _thickened(solver, patch)
        if now < tally["lasted"] + LOOK:
            return
        tally["lasted"] = now
        water = solver.Simulation.getCurrent().getFluidModel(0)
        tally["count"] = water.numActiveParticles()
        rows = range(int(tally["count"]))
        places = np.array([water.getPosition(row) for row in rows]).reshape(-1, 3)
        away = places[:, 0] > AWAY / 2
        first, other = (went & ~away for went in patch.gone(places))
        other &= ~first
        for row in np.flatnonzero(first | other):
            put = tally["first"] + tally["other"]
            water.setPosition(row, [AWAY + (put % 100), put // 100, 0.0])
            water.setVelocity(row, [0.0, 0.0, 0.0])
            water.setParticleState(row, solver.ParticleState.AnimatedByEmitter)
            tally["first" if first[row] else "other"] += 1
        still = places[~away & ~first & ~other, 0]
        tally["rest"] = float((0.5 - still / SIDE).clip(0, 1).mean()) if len(still) else 0.0
        print(f"{now:.3f} s: {tally}", flush=True)
        out = (tally["first"] + tally["other"]) / max(1, tally["count"])
        tally["half"] = tally["half"] or (now if out >= 0.5 else 0.0)
        dry = out >= ENOUGH
        if dry or process_time() - core > MOST_CORE_S:
            base.setValueFloat(base.STOP_AT, now)

    base.setTimeStepCB(look)
    base.run()
    return {**tally, "seconds": perf_counter() - begin, "core_s": process_time() - core}


def _thickened(solver: Any, patch: Patch) -> int:
    """Give the water its viscosity, which the solver doesn't take from the scene; how many particles."""
    water = solver.Simulation.getCurrent().getFluidModel(0)
    viscous = water.getViscosityBase()
    for name, value in (
        (viscous.VISCOSITY_COEFFICIENT, patch.viscosity),
        (viscous.VISCOSITY_COEFFICIENT_BOUNDARY, patch.viscosity if patch.sticks else 0.0),
    ):
        viscous.setValueFloat(name, value)
    return int(water.numActiveParticles())


def _scene(patch: Patch, radius: float, folder: Path, bodies: int) -> dict[str, Any]:
    """The solver's scene: divergence-free particles, bodies sampled on their faces, gravity turned."""
    return {
        "Configuration": {
            "particleRadius": radius, "density0": 1000, "simulationMethod": 4, "cflMethod": 1,
            "gravitation": [0, -G * sin(patch.pitch), -G * cos(patch.pitch)], "cflFactor": 0.5,
            "cflMaxTimeStepSize": 0.002, "boundaryHandlingMethod": 0, "stopAt": patch.seconds,
        },
        "Materials": [{"id": "Fluid", "viscosityMethod": 1}],
        "RigidBodies": [
            {
                "geometryFile": str(folder / f"{number}.obj"), "translation": [0, 0, 0],
                "rotationAxis": [1, 0, 0], "rotationAngle": 0, "scale": [1, 1, 1],
                "isDynamic": False, "isWall": False, "samplingMode": 0,
            }
            for number in range(bodies)
        ],
        "FluidBlocks": [
            {
                # The solver's blocks leave a particle's width free at their ends. They are let go clear
                # of the sheet: what is laid against its samples is pressed together, and bursts.
                "denseMode": 0, "translation": [0, 0, CLEAR * radius], "scale": [1, 1, 1],
                "start": [low - radius for low, _ in block],
                "end": [high + 1.5 * radius for _, high in block],
            }
            for block in patch.blocks
        ],
    }  # fmt: skip


if __name__ == "__main__":
    case, number, radius, answer = sys.argv[1:]
    with tempfile.TemporaryDirectory() as scratch:
        result = solved(patches()[case][int(number)], float(radius), Path(scratch))
    Path(answer).write_text(json.dumps(result))
