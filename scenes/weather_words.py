"""The few words by which people tell of the weather that water came with. Light imports only."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

After = Literal["calm", "driving", "blocked"]
AFTER_WORDS: Final = (
    "after rain without wind (calm), with wind (driving), or with leaves in the gutter (blocked)"
)
SIDES_DEG: Final[Mapping[str, float]] = {"eaves": 0.0, "right": 90.0, "ridge": 180.0, "left": 270.0}
"""Sides of the roof, looking up the slope, as directions of wind [degrees]."""
