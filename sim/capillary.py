"""How high water stands in a narrow gap by its surface tension alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.water import GRAVITY, SURFACE_TENSION, WATER_DENSITY


def capillary_rise(width: ArrayLike, *, contact_angle: float = 0.0) -> NDArray[np.float64]:
    """Height of the water held between two upright parallel plates, shape of `width` [m].

    h = 2 sigma cos(theta) / (rho g d). width: d between them, above 0 [m]; contact_angle: theta,
    0 to pi/2 [rad]; 0 (clean, wetted metal and tile) is the most that can be. Range: d well under the
    capillary length, 2.7 mm. Raises SceneError for others. Source: Jurin's law, derived.
    """
    gap = np.asarray(width, dtype=np.float64)
    require(bool((gap > 0).all()), "width of a gap", width, "above 0 m", SceneError)
    proper = 0 <= contact_angle <= np.pi / 2
    require(proper, "contact angle", contact_angle, "0 to pi/2 rad", SceneError)
    rise = 2 * SURFACE_TENSION * np.cos(contact_angle) / (WATER_DENSITY * GRAVITY * gap)
    return np.asarray(rise)
