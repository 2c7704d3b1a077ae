"""Water that the wind drives: films by its drag, gaps by its pressure."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from sim.charts import Charts
from sim.film import thickness_with_shear
from sim.ground import Ground
from sim.legs import GathersTo
from sim.ponds import Ponds
from sim.shear import shear_drive
from sim.spills import SpillsOrBacksOut
from sim.thickness import THICKEST, THINNEST
from sim.wind import stagnation_pressure
from sim.wind_inputs import DRAG, MOST_GUST, MOST_PRESSURE, STRONGEST_DRAG

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Wind:
    """A wind at the roof. gust: its speed, 0 to 75 [m/s]; from_angle: where it comes from in plan, 0
    the eaves, pi/2 the right [rad]; drag: of wind on a film, 0 to 0.05 [1]; pressure: what its
    pressure on open edges is multiplied by, 0 to 2 [1]."""

    gust: float
    from_angle: float
    drag: float = DRAG
    pressure: float = 1.0

    def __post_init__(self) -> None:
        for name, most, unit in (
            ("gust", MOST_GUST, " m/s"), ("drag", STRONGEST_DRAG, ""),
            ("pressure", MOST_PRESSURE, ""),
        ):  # fmt: skip
            value = getattr(self, name)
            good = isfinite(value) and 0 <= value <= most
            require(good, name, f"{value:g}{unit}", f"0 to {most:g}{unit}", SceneError)
        require(isfinite(self.from_angle), "from_angle", self.from_angle, "finite", SceneError)

    @property
    def stagnation(self) -> float:
        """rho_a U^2 / 2 [Pa]."""
        return stagnation_pressure(self.gust)


@dataclass(frozen=True, slots=True, eq=False)
class Blows:
    """What one direction of wind does to a ground. drag_pa (2m, 3): shear on each chart [Pa] under a
    stagnation pressure of 1 Pa and a drag of 1; gap_drive (2m, 3): of the water in gaps [m/s2] under
    1 Pa; border (b,): pressure on the borders of gaps under 1 Pa."""

    drag_pa: Floats
    gap_drive: Floats
    border: Floats


def blown(
    ground: Ground, blows: Blows, wind: Wind, film: Floats, *, still: Charts, ponds: Ponds
) -> Charts:
    """Charts of a ground in a wind; film (2m,): thickness on each chart [m].

    Water that the drag holds up gathers until its weight wins: it goes on without drag, under
    gravity and the pressure in gaps. What is held there fills its hollow and spills, or backs out of
    its lap. still: the same ground in still air; ponds: its hollows.
    """
    onward = SpillsOrBacksOut(ponds, still)
    in_gaps = wind.pressure * wind.stagnation * blows.gap_drive
    heavy = Charts.on(ground, in_gaps, onward=onward)
    if wind.drag == 0 or wind.gust == 0:
        return heavy
    drag = shear_drive(wind.drag * wind.stagnation * blows.drag_pa, film)
    return Charts.on(ground, in_gaps + drag, level=False, onward=GathersTo(heavy))


def film_in_wind(charts: Charts, flow: Floats, shear: Floats, before: Floats) -> Floats:
    """Thickness (2m,) [m] of the films in a wind, within what `thickness` allows.

    flow per width (2m,) [m2/s] that was seen to cross each chart; shear (2m, 3) [Pa]; before (2m,):
    the thickness [m] that it crossed them at, which tells the way it went.
    """
    normals = charts.normals
    pull = charts.drive - (normals @ charts.drive)[:, None] * normals
    way = pull + shear_drive(shear, before)
    size = np.linalg.norm(way, axis=1, keepdims=True)
    way = way / np.where(size > 0, size, 1.0)
    found = thickness_with_shear(flow, (pull * way).sum(axis=1), (shear * way).sum(axis=1))
    return np.clip(found, THINNEST, THICKEST)
