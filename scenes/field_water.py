"""Water on faces: how much runs over them, how thick its film is, and how much of them it wets."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError
from meshes.parts import Role
from scenes.field_cells import Cells, barycentric, neighbours
from scenes.stage_fields import Field, even_scale, ratio_scale
from sim.charts import Charts
from sim.events import NOT_ON_A_FACE, Event
from sim.exposure import chart_exposures
from sim.film import flow_with_shear, thickness_with_shear
from sim.shares import evenly
from sim.shear import wind_shear
from sim.site import FACING_DOWN
from sim.thickness import THICKEST, THINNEST
from sim.tolerances import LEVEL
from sim.trace import Paths, record
from sim.water import GRAVITY, SURFACE_TENSION, VISCOSITY, WATER_DENSITY
from sim.wind import blow

if TYPE_CHECKING:
    from scenes.run import Result

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_DROPS: Final = 4_000
"""Drops whose whole ways are added up, evenly picked."""
STEP: Final = 0.024
"""A way is taken to pieces of this length [m], shorter than the cells that it crosses."""
NEIGHBOURS: Final = 12
"""A cell shares its water with so many, itself counted."""
ROUND: Final = 0.15
"""Cells are small this near to the flashings [m]."""
L_MIN: Final = 6e4
"""Flow, m3/s to l/min."""
WETTING: Final = radians(60)
"""Angle at which water meets a weathered sheet or a tile (assumption; clean metal is wetted better, a coated
one worse)."""

SIDE: Final = "Shown on the side of each face that is meant for the weather."


@dataclass(frozen=True, slots=True, eq=False)
class Running:
    """Water on the wet sides of cells: corners (c, 3, 3) [m], recentred, and face (c,) of each; flow per
    width (c,) [m2/s], and of it what runs as a film and not as a rill in a fold; way (c, 3), unit, that
    it goes in the mean, nil where it goes all ways alike."""

    corners: Floats
    face: Ints
    flow: Floats
    film: Floats
    way: Floats

    def kept(self, rows: NDArray[np.bool_]) -> Running:
        """The same on some of the cells (c,)."""
        return Running(
            self.corners[rows], self.face[rows], self.flow[rows], self.film[rows], self.way[rows]
        )


def water_field(result: Result, name: str) -> Field:
    """The flow, the film or the wetness of a result, on the wet sides of faces that water was seen on.

    Raises SceneError where none was.
    """
    running = running_on(result)
    if name == "flow":
        values = L_MIN * running.flow
        low, high, ticks = ratio_scale(values, decades=2)
        label, unit, log = "Water that runs over a face", "l/min per m", True
        note = "By a face's breadth. Plain: no water was seen."
    else:
        running = running.kept(running.film > 0)
        pull, shear = _driven(result, running)
        log = False
        if name == "film":
            values = 1000 * film_of(running.film, pull, shear)
            low, high, ticks = even_scale(float(values.max()))
            label, unit = "Thickness of the film of water", "mm"
            note = "Plain: no film was seen. Rills in folds are left out."
        else:
            values = 100 * wet_share(running.film, pull, shear)
            low, high = 0.0, 100.0
            ticks = tuple((float(k), str(k)) for k in (0, 25, 50, 75, 100))
            label, unit = "How much of a face's breadth is wet", "%"
            note = "Too little water for a film runs in rills. Plain: dry, no water was seen."
    surface = result.charts.surface
    return Field(
        name=name, label=label, unit=unit, low=low, high=high, ticks=ticks, log=log,
        triangles=running.corners + surface.centre, values=values, note=f"{note} {SIDE}",
        parts=surface.part_names, part=surface.face_part[running.face],
    )  # fmt: skip


def film_of(flow: Floats, pull: Floats, shear: Floats) -> Floats:
    """Thickness (c,) [m] of films that carry a flow per width (c,) [m2/s], within what the films of the
    model may be; pull (c,) [m/s2] and shear (c,) [Pa] along the way that they go."""
    return np.clip(thickness_with_shear(flow, pull, shear), THINNEST, THICKEST)


def wet_share(flow: Floats, pull: Floats, shear: Floats) -> Floats:
    """Share (c,), 0 to 1, of a face's breadth that a flow per width (c,) [m2/s] wets.

    A film thinner than `thinnest_whole` does not hold together: the water then runs in rills as thick as
    that, on a share of the breadth. pull, shear: as `film_of`.
    """
    whole = flow_with_shear(thinnest_whole(pull), np.abs(pull), np.abs(shear))
    return np.minimum(flow / np.maximum(whole, 1e-12), 1.0)


def thinnest_whole(pull: Floats) -> Floats:
    """The thinnest film (c,) [m] that closes over a dry patch, from the pull along the face (c,) [m/s2].

    At the patch's edge the film's stagnation pressure must outdo the surface tension that pulls it back:
    rho^3 g^2 h^5 / (15 mu^2) = sigma (1 - cos angle). Source: Hartley and Murgatroyd, Int. J. Heat Mass
    Transfer 7 (1964) 1003 (memory), at an angle of WETTING.
    """
    gravity = np.maximum(np.abs(pull), GRAVITY * LEVEL)
    back = 15 * SURFACE_TENSION * (1 - cos(WETTING)) * VISCOSITY**2 / WATER_DENSITY
    return np.asarray((back / gravity**2) ** 0.2)


def near_flashings(charts: Charts) -> tuple[Floats, Floats]:
    """Bounds, low and high (3,) [m], recentred, round the flashings; round all where there are none."""
    surface = charts.surface
    sheets = np.isin(surface.face_part, surface.parts_with(Role.FLASHING))
    points = surface.vertices[surface.faces[sheets] if sheets.any() else surface.faces]
    return points.min(axis=(0, 1)) - ROUND, points.max(axis=(0, 1)) + ROUND


def running_on(result: Result) -> Running:
    """The water of a result on its faces, added up over cells from whole ways of its drops.

    A drop of flow Q that runs a length l over a cell of area A adds Q l / A. Each cell takes the mean over
    itself and the nearest ones that lie as it does, for few ways cross any one. Raises SceneError where
    none runs on a wet side.
    """
    charts, drops = result.charts, result.drops
    rows = evenly(len(drops), MOST_DROPS)
    paths = record(charts, drops, rows)
    scale = max(1.0, float(drops.flow.sum() / drops.flow[rows].sum()))
    surface = charts.surface
    cells = Cells.of(surface.vertices[surface.faces], near_flashings(charts))
    face, point, carried, step, rill = _stretches(paths, scale * drops.flow[rows])
    point = point - surface.centre
    cell = cells.at(face, barycentric(point, surface.vertices[surface.faces[face]]))
    count = len(cells.face)
    flow = np.bincount(cell, carried, count).astype(float)
    film = np.bincount(cell, np.where(rill, 0.0, carried), count).astype(float)
    way = np.stack([np.bincount(cell, step[:, k], count) for k in range(3)], axis=1)
    part = surface.face_part[cells.face].astype(np.int64)
    near = neighbours(cells, part, surface.normals[cells.face], NEIGHBOURS)
    flow, film, area, way = (sums[near].sum(axis=1) for sums in (flow, film, cells.areas, way))
    wet = np.flatnonzero(flow > 0)
    if not len(wet):
        raise SceneError("There is no water to show: none runs on the weather side of any face")
    size = np.linalg.norm(way[wet], axis=1, keepdims=True)
    return Running(
        cells.corners[wet], cells.face[wet], flow[wet] / area[wet], film[wet] / area[wet],
        np.divide(way[wet], size, out=np.zeros((len(wet), 3)), where=size > 0),
    )  # fmt: skip


def _stretches(
    paths: Paths, flow: Floats
) -> tuple[Ints, Floats, Floats, Floats, NDArray[np.bool_]]:
    """What of paths (k,) with their flows (k,) [m3/s] runs on wet sides, in short stretches (n,): face,
    middle (n, 3) [m], flow times length, flow times the step (n, 3), and whether it runs in a fold."""
    here = np.flatnonzero(~np.isin(paths.kind[:-1], NOT_ON_A_FACE) & (paths.chart[:-1] % 2 == 0))
    step = paths.points[here + 1] - paths.points[here]
    length = np.linalg.norm(step, axis=1)
    here, step, length = here[length > 0], step[length > 0], length[length > 0]
    parts = np.ceil(length / STEP).astype(np.int64)
    of = np.repeat(np.arange(len(here)), parts)
    rank = np.arange(len(of)) - (np.cumsum(parts) - parts)[of]
    middle = paths.points[here][of] + ((rank + 0.5) / parts[of])[:, None] * step[of]
    amount = np.repeat(flow, np.diff(paths.start))[here] / parts
    rill = paths.kind[here] == Event.SLID
    return (
        (paths.chart[here] // 2)[of], middle, (amount * length)[of], (amount[:, None] * step)[of],
        rill[of],
    )  # fmt: skip


def _driven(result: Result, running: Running) -> tuple[Floats, Floats]:
    """Pull [m/s2] and shear [Pa] (c,) on films along the ways that they go.

    In still air gravity along the face; a level face counts as tilted by LEVEL, as in `sim.thickness`.
    """
    charts, weather = result.charts, result.scene.weather
    normals = charts.surface.normals[running.face]
    if weather.gust == 0.0:
        drive = charts.drive - (normals @ charts.drive)[:, None] * normals
        pull = np.maximum(np.linalg.norm(drive, axis=1), GRAVITY * LEVEL)
        return pull, np.zeros(len(pull))
    pull = running.way @ charts.drive
    wind = blow(weather.from_angle)
    seen = np.where(charts.normals[:, 2] < FACING_DOWN, 0.0, chart_exposures(charts, wind[None])[0])
    drag = wind_shear(charts, seen, weather.gust, wind, weather.drag)[2 * running.face]
    return pull, (drag * running.way).sum(axis=1)
