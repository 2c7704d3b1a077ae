"""The head with which the wind drives water: into the gaps under covers, and at faces in the open."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from scenes.stage_fields import Field, check_field, even_scale
from sim.charts import Charts
from sim.exposure import chart_exposures, enclosed, exposures
from sim.gap_pressure import border_pressure, gap_field
from sim.gaps import Gaps
from sim.water import GRAVITY, WATER_DENSITY
from sim.wind import blow, stagnation_pressure

if TYPE_CHECKING:
    from scenes.run import Result

Floats = NDArray[np.float64]

NOTE: Final = (
    "A sheet that lies on another shows the pressure in the gap beneath it, every other face that of the "
    "wind square at it; suction is left out. So high can that pressure lift water."
)


def head_field(result: Result) -> Field:
    """The driving head of a result [mm of water] on every face. Raises SceneError in still air."""
    weather, charts = result.scene.weather, result.charts
    check_field("head", weather)
    most = 1000 * stagnation_pressure(weather.gust) / (WATER_DENSITY * GRAVITY)
    in_gaps, in_the_open = pressures(charts, blow(weather.from_angle))
    shown = np.where(np.isnan(in_gaps), in_the_open, weather.pressure * in_gaps)
    surface = charts.surface
    face = np.flatnonzero(surface.solid)
    values = most * shown[face]
    low, high, ticks = even_scale(most)
    return Field(
        name="head", label="Head of the wind that drives water", unit="mm of water", low=low, high=high,
        ticks=ticks, log=False, triangles=surface.vertices[surface.faces[face]] + surface.centre,
        values=values, note=NOTE, parts=surface.part_names, part=surface.face_part[face],
    )  # fmt: skip


def pressures(charts: Charts, wind: Floats) -> tuple[Floats, Floats]:
    """Pressure over the stagnation pressure, for each face (m,): in the gap that is shown of it, NaN where
    it lies in none, and on its wet side in the open, from one wind (3,), the way it blows.

    Of two gaps that of the dry side is shown: it is the one beneath a cover.
    """
    winds = wind[None]
    gaps = Gaps.of(charts)
    caster = charts.caster
    border = border_pressure(charts, gaps, winds, lambda p, n, w: exposures(caster, p, n, w))
    field = gap_field(gaps, border)[:, 0]
    at = np.full(len(gaps.faced), np.nan)
    at[gaps.floor] = field[gaps.nodes].mean(axis=1)
    wall = np.flatnonzero((gaps.faced >= 0) & np.isnan(at))
    at[wall] = at[gaps.faced[wall]]
    at[enclosed(charts)] = np.nan
    wet, dry = at[0::2], at[1::2]
    facing = np.clip(-charts.normals[0::2] @ wind, 0.0, 1.0)
    return np.where(np.isnan(dry), wet, dry), facing * chart_exposures(charts, winds)[0, 0::2]
