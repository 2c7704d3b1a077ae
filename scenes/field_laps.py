"""Laps against what is asked of them: sheets coloured where they lie over others."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from scenes.field_cells import Cells, halved, longest
from scenes.field_water import near_flashings
from scenes.stage_fields import Field
from sim.charts import Charts
from sim.laps import Lap
from sim.laps_table import RESTING

if TYPE_CHECKING:
    from scenes.run import Result

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIZE: Final = 0.05
FINEST: Final = 0.008
"""Longest side of a cell [m], and of one where a lap ends."""
INSET: Final = 0.02
"""A cell is asked at its middle and this share in from its corners."""
START: Final = 1e-5
"""How far under a sheet its ray starts [m]."""
LAYERS: Final = 3
"""A ray goes through so many of a sheet's own layers (a hem, a welt) to what it lies on."""
MOST: Final = 150.0
"""What laps by more than this share of what is asked is shown alike [%]."""
NOTE: Final = (
    "100 is enough. Each lap is drawn on its upper sheet, by its weakest way; laps up the slope are asked "
    "for by their rise. Plain: no lap, or none with a rule."
)


def laps_field(result: Result) -> Field:
    """How long the laps of a result are, of what is asked [%], where they lie. Raises SceneError where
    the rule book asks for no lap."""
    laps, charts = result.findings.laps, result.charts
    if not laps:
        raise SceneError("There is no lap to show: no sheet lies over another that has a rule")
    surface = charts.surface
    names = surface.part_names
    upper = [names.index(name) for name in sorted({lap.upper for lap in laps}, key=names.index)]
    face = np.flatnonzero(np.isin(surface.face_part, upper) & surface.solid)
    cells = Cells.of(surface.vertices[surface.faces[face]], near_flashings(charts), SIZE)
    corners, face, lap = _outlined(laps, charts, cells.corners, face[cells.face])
    shown = lap >= 0
    share = np.array([100 * one.length / one.needed for one in laps])
    return Field(
        name="laps", label="Laps, of the length that is asked", unit="%", low=0.0, high=MOST,
        ticks=((0.0, "0"), (50.0, "50"), (100.0, "100"), (MOST, "150 or more")),
        log=False, triangles=corners[shown] + surface.centre, values=share[lap[shown]], note=NOTE,
        parts=names, part=surface.face_part[face[shown]], least_counts=True,
    )  # fmt: skip


def _outlined(
    laps: tuple[Lap, ...], charts: Charts, corners: Floats, face: Ints
) -> tuple[Floats, Ints, Ints]:
    """Cells (c, 3, 3) [m], recentred, on faces (c,), halved where a lap ends; with the lap of each."""
    done: list[tuple[Floats, Ints, Ints]] = []
    while len(face):
        asked = np.eye(3) * (1 - 1.5 * INSET) + INSET / 2
        asked = np.vstack([np.full(3, 1 / 3), asked])
        points = np.einsum("pk,ckx->cpx", asked, corners)
        found = lap_of(laps, charts, points.reshape(-1, 3), np.repeat(face, 4)).reshape(-1, 4)
        long, side = longest(corners)
        mixed = (found != found[:, :1]).any(axis=1) & (long > FINEST)
        done.append((corners[~mixed], face[~mixed], found[~mixed, 0]))
        corners, face = halved(corners[mixed], side[mixed]), np.repeat(face[mixed], 2)
    one, two, three = (np.concatenate(rows) for rows in zip(*done, strict=True))
    return one, two, three


def lap_of(laps: tuple[Lap, ...], charts: Charts, middles: Floats, face: Ints) -> Ints:
    """The lap (c,) that each place (c, 3) [m], recentred, on a face (c,) belongs to, -1 for none: of its
    sheet over the one that lies beneath, the lap whose open edge is nearest."""
    surface = charts.surface
    below = beneath(charts, middles, face)
    found = np.full(len(face), -1)
    lines = [lap.edge - surface.centre for lap in laps]
    for pair in sorted({(lap.upper, lap.lower) for lap in laps}):
        one, two = (surface.part_names.index(name) for name in pair)
        own = [n for n, lap in enumerate(laps) if (lap.upper, lap.lower) == pair]
        rows = np.flatnonzero((surface.face_part[face] == one) & (below == two))
        if len(rows):
            away = np.stack([_distance(middles[rows], lines[n]) for n in own])
            found[rows] = np.array(own)[away.argmin(axis=0)]
    return found


def beneath(charts: Charts, middles: Floats, face: Ints) -> Ints:
    """The part (c,) that lies under places (c, 3) [m], recentred, on faces (c,): the first on their dry
    side within what a cover may stand off, their own layers left out; -1 for none."""
    surface = charts.surface
    way = -surface.normals[face]
    start = middles + surface.centre
    gone = np.zeros(len(face))
    found = np.full(len(face), -1)
    open_rows = np.arange(len(face))
    for _ in range(LAYERS):
        from_here = start[open_rows] + (gone[open_rows] + START)[:, None] * way[open_rows]
        away, hit = charts.caster.first_hit(from_here, way[open_rows], RESTING)
        gone[open_rows] += START + np.where(hit >= 0, away, np.inf)
        part = np.where(hit >= 0, surface.face_part[hit], -1)
        own = (part == surface.face_part[face[open_rows]]) & (gone[open_rows] < RESTING)
        found[open_rows[~own]] = part[~own]
        open_rows = open_rows[own]
    return found


def _distance(points: Floats, line: Floats) -> Floats:
    """How far points (n, 3) lie from a polyline (k, 3), (n,) [m]."""
    start, run = line[:-1], np.diff(line, axis=0)
    size = np.maximum((run**2).sum(axis=1), 1e-18)
    share = np.clip(((points[:, None] - start) * run).sum(axis=2) / size, 0, 1)
    off = points[:, None] - start - share[..., None] * run
    return np.asarray(np.linalg.norm(off, axis=2).min(axis=1))
