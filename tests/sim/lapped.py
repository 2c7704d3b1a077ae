"""Two sheets that lap, over a plane that must stay dry, and the gust that first gets water there."""

from __future__ import annotations

from math import inf, radians, tan

import numpy as np

from meshes.parts import Assembly, Part, Role
from sim.gust import FirstLeak, first_leaks
from sim.site import Site

RHO_G, AIR = 998.2 * 9.80665, 1.204
THIN = 3e-4
"""Thickness of all films here [m]."""


def plate(
    name: str, role: Role, x: tuple[float, float], y: tuple[float, float], pitch: float, up: float
) -> Part:
    """A plane sheet on a slope that rises along y from the origin, `up` above it (upright) [m]."""
    corners = [(a, b, b * tan(pitch) + up) for a, b in ((x[0], y[0]), (x[1], y[0]))]
    corners += [(a, b, b * tan(pitch) + up) for a, b in ((x[1], y[1]), (x[0], y[1]))]
    return Part(name, role, np.array(corners), np.array([(0, 1, 2), (0, 2, 3)]))


def wall(name: str, x: tuple[float, float], y: float, pitch: float) -> Part:
    """What must stay dry: a wall that a sheet through the origin rests on. Water that comes over that
    sheet's head clings to its back and runs down against the wall."""
    top = y * tan(pitch)
    corners = [(a, y, b) for a, b in ((x[0], top - 0.3), (x[1], top - 0.3))]
    corners += [(a, y, top) for a in (x[1], x[0])]
    return Part(name, Role.INSIDE, np.array(corners), np.array([(0, 1, 2), (0, 2, 3)]))


def head_lap(pitch_deg: float, lap: float, *, half: float | None = None) -> Assembly:
    """A sheet that laps the upper edge of another by `lap` [m] along the slope, 1 mm over it."""
    pitch = radians(pitch_deg)
    run, wide = lap * np.cos(pitch), half or 4 * lap
    above = 0.001 / np.cos(pitch)
    # The lower sheet is the wider one: at the lap's ends water comes out on it, not round its sides.
    low = plate("low", Role.FLASHING, (-wide - 0.2, wide + 0.2), (-0.3, run), pitch, 0.0)
    high = plate("high", Role.FLASHING, (-wide, wide), (0.0, run + 0.5), pitch, above)
    return Assembly((low, high, wall("wall", (-wide - 0.2, wide + 0.2), -0.15, pitch)))


def side_lap(pitch_deg: float, width: float, length: float) -> Assembly:
    """A sheet that laps the left edge of another by `width`, over a run of `length` down the slope [m];
    it reaches as far down as that, where both end."""
    pitch = radians(pitch_deg)
    run = length * np.cos(pitch)
    above = 0.001 / np.cos(pitch)
    low = plate("low", Role.FLASHING, (-width, 0.5), (0.0, run), pitch, 0.0)
    high = plate("high", Role.FLASHING, (-width - 0.5, 0.0), (0.0, run), pitch, above)
    loft = plate("loft", Role.INSIDE, (-width - 0.5, -width + 0.01), (0.0, run), pitch, -0.05)
    return Assembly((low, high, loft))


def first_leak(
    assembly: Assembly,
    from_angle: float,
    *,
    size: float,
    drag: float = 0.005,
    pressure: float = 1.0,
) -> FirstLeak:
    """The first leak from one direction [rad]; size: longest edge of a triangle in the lap [m]."""
    site = Site.of(assembly, size=size)
    film = np.full(2 * len(site.ground.surface.faces), THIN)
    (leak,) = first_leaks(site, [from_angle], film, drag=drag, pressure=pressure)
    assert leak.gust < inf or leak.path is None
    return leak
