"""When drops pass the points of their paths, at the speed of the film that they run in."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from sim.events import NOT_ON_A_FACE, Event
from sim.film import mean_speed
from sim.trace import Paths
from sim.water import GRAVITY

Floats = NDArray[np.float64]

SLOWEST: Final = 0.03
"""Speed [m/s] that water is shown with at least: on level creases, and where wind drives it up, the
film's own speed down the slope tells nothing. An assumption, for pictures only."""


def passing_times(paths: Paths, film: Floats) -> Floats:
    """Seconds (n,) from the start of each path to each of its points.

    film (2m,): thickness on each chart [m]. On a face water goes at the mean speed of a film that runs
    along that piece of path (Nusselt), and not under SLOWEST; a fall takes as long as a fall without
    air does; standing takes no time.
    """
    points = paths.points
    step = np.zeros_like(points)
    step[:-1] = points[1:] - points[:-1]
    length = np.linalg.norm(step, axis=1)
    down = np.maximum(-step[:, 2], 0.0)
    sine = np.divide(down, length, out=np.zeros(len(length)), where=length > 0)
    speed = np.maximum(mean_speed(film[paths.chart], GRAVITY * sine), SLOWEST)
    took = length / speed
    fell = paths.kind == Event.FELL
    took = np.where(fell, np.sqrt(2 * down / GRAVITY), took)
    took[np.isin(paths.kind, NOT_ON_A_FACE) & ~fell] = 0.0
    took[paths.start[1:] - 1] = 0.0
    since = np.concatenate([[0.0], np.cumsum(took)])[:-1]
    return since - np.repeat(since[paths.start[:-1]], np.diff(paths.start))
