"""Lines of points in the upright plane up the slope: (y, z) rows [m], y rising."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

Line = NDArray[np.float64]

NARROW = 1e-7  # [m] points of a line closer than this in y stand on one upright


def offset(line: Line, distance: float) -> Line:
    """The line `distance` [m] above `line`, parallel to each of its legs, mitred at its corners."""
    along = np.diff(line, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    up = np.column_stack([-along[:, 1], along[:, 0]])
    first, last = line[0] + up[0] * distance, line[-1] + up[-1] * distance
    turn = (up[:-1] + up[1:]) / (1 + (up[:-1] * up[1:]).sum(axis=1))[:, None]
    return np.vstack([first, line[1:-1] + turn * distance, last])


def between(line: Line, low: float, high: float, marks: Iterable[float] = ()) -> Line:
    """The part of a line from y = low to y = high, with a point at each mark that lies between.

    Where the line is upright at an end, the end farther along it from inside is taken.
    Raises ValueError when the line does not reach.
    """
    if low < line[0, 0] - NARROW or high > line[-1, 0] + NARROW:
        raise ValueError(f"line runs {line[0, 0]:.4f} to {line[-1, 0]:.4f}, not {low} to {high}")
    inside = line[(line[:, 0] > low + NARROW) & (line[:, 0] < high - NARROW)]
    part = np.vstack([[low, height(line, low)], inside, [high, height(line, high)]])
    for mark in marks:
        if low + NARROW < mark < high - NARROW and np.abs(part[:, 0] - mark).min() > NARROW:
            at = int(np.searchsorted(part[:, 0], mark))
            part = np.insert(part, at, [mark, height(line, mark)], axis=0)
    return part


def height(line: Line, y: float) -> float:
    """Height z [m] of the line over y; on an upright leg, of its lower end."""
    at = int(np.searchsorted(line[:, 0], y - NARROW))
    at = min(max(at, 1), len(line) - 1)
    (y0, z0), (y1, z1) = line[at - 1], line[at]
    if y1 - y0 < NARROW:
        return float(min(z0, z1))
    return float(z0 + (z1 - z0) * (y - y0) / (y1 - y0))
