"""Small patches that a fluid solver and the tracer both get: a lap, right and reversed, and a level gutter.

All bodies are closed and thick, so that no particle passes through a sheet; both sides get the same
triangles. A lap lies in its slope's own frame (x across, y up the slope, z square to it), in which the
solver turns gravity; the tracer gets it turned up to its pitch. Invented.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np
import trimesh
from numpy.typing import NDArray

from meshes.parts import Assembly, Part, Role

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]

PITCH = radians(30)
THICK, APART, FILM = 0.010, 0.030, 0.010
"""Thickness of a sheet, how far apart two lie in a lap, and of the water let go on them [m]."""
SIDE = 0.40
"""Of the patch [m]."""
LAP = (0.14, 0.24)
"""Where the upper sheet begins and the lower one ends, up the slope [m]."""
LOWER_FED, UPPER_FED = (0.03, 0.11), (0.27, 0.37)
"""Where water is let go on each sheet, up the slope [m]: as far from the lap as it may splash or spread."""
TRAY, UNDER = -0.03, 0.30
"""Height of what lies behind the lap, and how far it reaches up the slope, all of it under sheets [m]."""
BESIDE = 0.01
"""How far past an edge water counts as gone [m]."""
RISES = 0.004
"""How much the sole rises from the front wall to the back one [m], as gutters behind stacks do: what comes
down runs to a level crease. On a sole that is level across, the tracer lets water stand."""
OFF = (-0.15, -0.03)
"""Where a gutter is fed off-centre, along it [m]."""
WIDE, WALL = 0.08, 0.10
"""Of the gutter, inside, and the height of its walls [m]."""
LIKE_WATER = 1.9e-4
"""Water's viscosity 1e-6 in lengths 33 times as large, by Froude's law [m2/s]. It acts within the water;
along sheets it slips, for two layers of particles can't tell how fast a film runs."""
LIKE_SYRUP = 2e-3
"""Of a liquid so thick [m2/s] that 30 mm of it run as a film of water does: friction at the sheet, to which
it sticks, counts for some eighty times as much as inertia. How a film divides depends on no viscosity."""


@dataclass(frozen=True)
class Patch:
    """Bodies in the patch's frame; its pitch [rad]; blocks of water let go, boxes (x, y, z) [m]; the most
    seconds to follow them; a name for the first of the two ways that water can take.

    lower_z [m]: middle of the lower sheet's thickness; None for a gutter. viscosity [m2/s], and whether
    the liquid sticks to the sheets."""

    name: str
    bodies: Assembly
    pitch: float
    blocks: tuple[Box, ...]
    seconds: float
    first: str
    lower_z: float | None
    viscosity: float = LIKE_WATER
    sticks: bool = False

    def gone(self, places: Floats) -> tuple[Bools, Bools]:
        """Which particles at these places (n, 3) went the first way, and which the other."""
        x, y, z = places.T
        if self.lower_z is None:
            # What sticks runs down the ends of the sole.
            past = np.where(z < 0, SIDE / 2, SIDE / 2 + BESIDE)
            return x < -past, x > past
        under = (z < self.lower_z) & (y < LAP[0] - BESIDE) & (y > 0)
        return under | ((z < -BESIDE) & (y > 0)), (y < -BESIDE)

    def fed(self, places: Floats) -> Bools:
        """Which places (n, 3) lie where water is let go."""
        x, y = places[:, 0], places[:, 1]
        within = np.zeros(len(places), dtype=bool)
        for (x0, x1), (y0, y1), _ in self.blocks:
            within |= (x > x0) & (x < x1) & (y > y0) & (y < y1)
        return within

    def to_ends(self) -> tuple[float, float]:
        """How far it is along a gutter from the middle of its feed to the first and the other end [m]."""
        middle = sum(self.blocks[0][0]) / 2
        return SIDE / 2 + middle, SIDE / 2 - middle

    def up(self) -> Floats:
        """The turn (3, 3) from the patch's frame to the level one: level = turn @ place."""
        c, s = cos(self.pitch), sin(self.pitch)
        return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])

    def turned_up(self) -> Assembly:
        """The bodies in the level frame."""
        turn = self.up()
        parts = [Part(p.name, p.role, p.vertices @ turn.T, p.faces) for p in self.bodies]
        return Assembly(tuple(parts))


def patches() -> dict[str, tuple[Patch, ...]]:
    """The patches of each case."""
    gutters = (_gutter("evenly", (-0.18, 0.18), 0.03), _gutter("off-centre", OFF, 0.06))
    syrup = replace(
        _gutter("off-centre, a liquid as thick as syrup", OFF, 0.095),
        viscosity=LIKE_SYRUP, sticks=True, seconds=5.0,
    )  # fmt: skip
    return {
        "right": (_lapped("right"),), "reversed": (_lapped("reversed"),), "gutter": gutters,
        "syrup": (syrup,),
    }  # fmt: skip


def _lapped(name: str) -> Patch:
    over = THICK + APART
    low, high = (0.0, over) if name == "right" else (over, 0.0)
    half, long = SIDE / 2, SIDE
    bodies = (
        _body("lower", Role.FLASHING, (-half, half), (0.0, LAP[1]), (low, low + THICK)),
        _body("upper", Role.FLASHING, (-half, half), (LAP[0], long), (high, high + THICK)),
        _body("left kerb", Role.STACK, (-half - THICK, -half), (-0.02, long + 0.02), (-0.01, 0.06)),
        _body("right kerb", Role.STACK, (half, half + THICK), (-0.02, long + 0.02), (-0.01, 0.06)),
        _body("behind", Role.INSIDE, (-half, half), (0.0, UNDER), (TRAY - THICK, TRAY)),
    )
    across = (-half + 0.02, half - 0.02)
    blocks = tuple(
        (across, fed, (bottom + THICK, bottom + THICK + FILM))
        for fed, bottom in ((LOWER_FED, low), (UPPER_FED, high))
    )
    first = "behind the lap"
    return Patch(f"{name} lap", Assembly(bodies), PITCH, blocks, 1.5, first, low + THICK / 2)


def _gutter(feed: str, along: tuple[float, float], deep: float) -> Patch:
    half = SIDE / 2
    sole = _body("sole", Role.FLASHING, (-half, half), (0.0, WIDE), (-THICK, 0.0))
    back_edge = (sole.vertices[:, 1] > 0) & (sole.vertices[:, 2] > -THICK / 2)
    lifted = sole.vertices + np.outer(back_edge, [0.0, 0.0, RISES])
    bodies = (
        Part("sole", Role.FLASHING, lifted, sole.faces),
        _body("front", Role.FLASHING, (-half, half), (-THICK, 0.0), (-THICK, WALL)),
        _body("back", Role.FLASHING, (-half, half), (WIDE, WIDE + THICK), (-THICK, WALL)),
    )
    blocks = ((along, (0.01, WIDE - 0.01), (0.0, deep)),)
    return Patch(f"gutter fed {feed}", Assembly(bodies), 0.0, blocks, 1.5, "left", None)


def _body(
    name: str, role: Role, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]
) -> Part:
    box = trimesh.creation.box(bounds=np.array([x, y, z]).T)
    return Part(name, role, np.asarray(box.vertices), np.asarray(box.faces))
