"""The film on a level bed between two ends, from its own equation: another computation than shares."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import fsolve

from sim.water import GRAVITY, VISCOSITY

Floats = NDArray[np.float64]

THIN = 1e-5
"""Of the film at both ends [m]."""


def film_on_a_level_bed(feed: Floats, length: float) -> tuple[Floats, Floats]:
    """Thickness [m] at inner nodes (n,) evenly spread between two ends so far apart [m], and the flow per
    width [m2/s] between them and the ends (n + 1,), above 0 to the last.

    feed (n,) [m/s]: what comes down at the nodes. Steady, q = -g h^3 / (3 nu) dh/dx as it stands, in
    finite volumes of h.
    """
    dx = length / (len(feed) + 1)
    most = float(feed.sum() * dx)
    size = (12 * VISCOSITY * most * length / GRAVITY) ** 0.25

    def flow(inner: Floats) -> Floats:
        h = np.concatenate([[THIN], inner * size, [THIN]])
        cube = (np.abs(h[1:]) ** 3 + np.abs(h[:-1]) ** 3) / 2
        return np.asarray(-GRAVITY * cube * np.diff(h) / dx / (3 * VISCOSITY))

    def rest(inner: Floats) -> Floats:
        return np.asarray((np.diff(flow(inner)) - feed * dx) / most)

    inner, _, found, why = fsolve(rest, np.full(len(feed), 0.5), band=(1, 1), full_output=True)
    assert found == 1, why
    return inner * size, flow(inner)
