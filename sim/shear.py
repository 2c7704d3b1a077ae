"""The wind's drag on the films that it reaches."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.charts import Charts
from sim.film import film_drive
from sim.water import AIR_DENSITY
from sim.wind_inputs import DRAG

Floats = NDArray[np.float64]


def wind_shear(
    charts: Charts, exposure: ArrayLike, gust: float, blow: ArrayLike, drag: float = DRAG
) -> Floats:
    """Drag of the wind on each chart's film (2m, 3) [Pa], in the chart's plane.

    drag C_f rho_a / 2 e |U_t| U_t, where U_t is the wind less its part square to the chart. exposure
    e (2m,), 0 to 1; gust [m/s], not negative; blow (3,) unit, the way it blows. Raises SceneError
    outside.
    """
    require(bool(np.isfinite(gust)) and gust >= 0, "gust", gust, "0 or more, in m/s", SceneError)
    require(bool(np.isfinite(drag)) and drag >= 0, "drag", drag, "0 or more", SceneError)
    seen = np.asarray(exposure, np.float64)
    bounded = seen.shape == (len(charts.normals),) and bool(((seen >= 0) & (seen <= 1)).all())
    require(bounded, "exposure", seen.shape, "0 to 1, one for each chart", SceneError)
    normals = charts.normals
    way = np.asarray(blow, np.float64)
    wind = gust * (way - (normals @ way)[:, None] * normals)
    speed = np.linalg.norm(wind, axis=1)
    return (drag * AIR_DENSITY / 2 * seen * speed)[:, None] * wind


def shear_drive(shear: Floats, thickness: Floats) -> Floats:
    """Drive of a shear on films (2m, 3) [m/s2]; shear (2m, 3) [Pa], thickness (2m,) above 0 [m]."""
    return film_drive(shear, np.asarray(thickness)[:, None])
