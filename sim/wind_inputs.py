"""What a wind is told by, and its bounds. Loads nothing, so that scene files are checked quickly."""

from __future__ import annotations

from typing import Final

DRAG: Final = 0.005
"""Usual drag coefficient of wind on a film [1]; 0.003 to 0.01 (from memory, unsure: an input)."""
STRONGEST_DRAG: Final = 0.05
"""Greatest drag coefficient that is tried [1]: five times the greatest known of (practice)."""
MOST_GUST: Final = 75.0
"""Greatest gust [m/s], 270 km/h, in which roofs don't stay on (practice)."""
MOST_PRESSURE: Final = 2.0
"""Greatest factor on the wind's pressure at open edges [1] (practice)."""
CALM: Final = 0.3
"""Gust [m/s] under which none is told from another: force 0 of the Beaufort scale ends there (memory)."""
