"""The wave of a profiled covering across the roof, and how far a cover must reach past a crest."""

from __future__ import annotations

from math import ceil, floor

import numpy as np

from meshes.line import Line
from meshes.spec import Roof

PAST_CREST = 0.25  # of the wave's pitch: a cover's edge lies on the far flank, off the trough
LEVELS = ((0.0, 1.0), (0.15, 1.0), (0.35, 0.0), (0.65, 0.0), (0.85, 1.0))
"""One wave, crest to crest, as shares of its pitch and depth: level crests and troughs, straight
flanks. Invented: no maker's profile."""


def wave_of(roof: Roof, left: float, right: float) -> Line:
    """Rows (x, h) [m] from x = left to x = right: two rows of nought where the covering has no wave.

    A crest stands over x = 0; h is nought in the troughs and the wave's depth on the crests.
    """
    if roof.covering != "profiled":
        return np.array([(left, 0.0), (right, 0.0)])
    pitch = roof.wave_pitch
    first, last = floor(left / pitch) - 1, ceil(right / pitch) + 1
    rows = [
        ((number + share) * pitch, level * roof.wave_depth)
        for number in range(first, last)
        for share, level in LEVELS
    ]
    table = np.array(rows)
    inner = [row for row in rows if left + 1e-6 < row[0] < right - 1e-6]
    ends = [(x, float(np.interp(x, table[:, 0], table[:, 1]))) for x in (left, right)]
    return np.array([ends[0], *inner, ends[1]])


def past_a_crest(roof: Roof, x: float, side: int) -> float:
    """x [m] of a cover's outer edge at or beyond `x` that lies past a crest, on its far flank.

    side: +1 to the right, -1 to the left. Without a wave it is `x` itself.
    """
    if roof.covering != "profiled":
        return x
    pitch = roof.wave_pitch
    number = ceil((side * x) / pitch - PAST_CREST - 1e-9)
    return side * (number + PAST_CREST) * pitch
