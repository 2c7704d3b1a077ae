"""Details that several tests build: the shipped stacks' measurements, by pitch, joint and order."""

from __future__ import annotations

from math import radians
from typing import Any

from meshes.spec import Detail, Roof, Stack

PLAIN_TILES: dict[str, Any] = {"gauge": 0.100, "thickness": 0.012, "head_lap": 0.065}
INTERLOCKING: dict[str, Any] = {
    "gauge": 0.345,
    "thickness": 0.025,
    "head_lap": 0.075,
    "double_lap": False,
}
ONE_PLANE: dict[str, Any] = {"covering": "plain"}
COVERINGS = {"plain tiles": PLAIN_TILES, "interlocking": INTERLOCKING, "one plane": ONE_PLANE}

ORDERS = {
    "usual": ("apron", "left", "right", "gutter", "underlay"),
    "sides over gutter": ("apron", "gutter", "left", "right", "underlay"),
    "apron over sides": ("left", "right", "apron", "gutter", "underlay"),
    "right side over gutter": ("apron", "left", "gutter", "right", "underlay"),
    "apron over left side": ("left", "apron", "right", "gutter", "underlay"),
    "gutter over underlay": ("apron", "left", "right", "underlay", "gutter"),
}


def detail(pitch_deg: float = 40, covering: str = "plain tiles", **changes: Any) -> Detail:
    """A 590 x 440 mm stack on the covering named, with the changes given."""
    roof = Roof(pitch=radians(pitch_deg), **COVERINGS[covering])
    settings: dict[str, Any] = {"roof": roof, "stack": Stack(width=0.59, depth=0.44, height=1.4)}
    return Detail(**(settings | changes))
