"""A small house for the picture tests: a coursed slope, a stack and four folded sheets, by hand."""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin
from types import SimpleNamespace

import numpy as np

from meshes.parts import Assembly, Part, Role
from sim.fates import Fate

PITCH = radians(40)
HALF, DEPTH = 0.295, 0.440
SLOPE_DEPTH = DEPTH / cos(PITCH)


def on_slope(x: float, s: float, n: float) -> tuple[float, float, float]:
    """Point at x across, s up the slope and n square to it [m]."""
    return (x, s * cos(PITCH) - n * sin(PITCH), s * sin(PITCH) + n * cos(PITCH))


def sheet(name: str, role: Role, *strips: list[tuple[float, float, float]]) -> Part:
    """A part of plane polygons (each a fan)."""
    vertices: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    for strip in strips:
        first = len(vertices)
        vertices += strip
        faces += [(first, first + k, first + k + 1) for k in range(1, len(strip) - 1)]
    return Part(name, role, np.array(vertices), np.array(faces))


def _patch(x0, x1, s0, s1, n0, n1):
    return [on_slope(x0, s0, n0), on_slope(x1, s0, n0), on_slope(x1, s1, n1), on_slope(x0, s1, n1)]


def _covering() -> Part:
    strips = []
    for course in range(-12, 20):
        low, high = course * 0.1, course * 0.1 + 0.1
        for x0, x1 in ((-1.0, -HALF - 0.01), (-HALF - 0.01, HALF + 0.01), (HALF + 0.01, 1.0)):
            if abs(x0 + x1) < 0.1 and high > 0 and low < SLOPE_DEPTH + 0.15:
                continue
            strips.append(_patch(x0, x1, low, high, 0.0, -0.012))
            strips.append(_patch(x0, x1, low, low, -0.012, 0.0))
    return sheet("covering", Role.COVERING, *strips)


def _stack(height: float = 1.2) -> Part:
    def ring(half, front, back, z):
        return [(-half, front, z), (half, front, z), (half, back, z), (-half, back, z)]

    body = (ring(HALF, 0, DEPTH, -0.4), ring(HALF, 0, DEPTH, height))
    cap = (ring(HALF + 0.04, -0.04, DEPTH + 0.04, height),)
    cap += (ring(HALF + 0.04, -0.04, DEPTH + 0.04, height + 0.06),)
    rings = [*body, *cap]
    walls = [
        [low[k], low[(k + 1) % 4], high[(k + 1) % 4], high[k]]
        for low, high in pairwise(rings)
        for k in range(4)
    ]
    return sheet("stack", Role.STACK, *walls, rings[-1])


def house() -> Assembly:
    """Covering, stack, apron, two sides, back gutter and the inside plane."""
    out, up, wide = HALF + 0.15, 0.003, HALF + 0.05
    g = SLOPE_DEPTH
    apron = sheet(
        "front apron",
        Role.FLASHING,
        _patch(-wide, wide, -0.15, -0.001, up, up),
        [(x, -0.001, z) for x, z in ((-HALF, 0.003), (HALF, 0.003), (HALF, 0.15), (-HALF, 0.15))],
    )
    sides = []
    for name, sign in (("left side flashing", -1), ("right side flashing", 1)):
        a, b = sorted((sign * (HALF + 0.001), sign * out))
        x = sign * (HALF + 0.001)
        wall = [on_slope(x, -0.03, 0.004), on_slope(x, g, 0.004)]
        wall += [on_slope(x, g, 0.069), on_slope(x, -0.03, 0.069)]
        cover = _patch(a, b, -0.1, g + 0.1, up + 0.001, up + 0.001)
        sides.append(sheet(name, Role.FLASHING, cover, wall))
    z = on_slope(0, g, 0.0)[2]
    sole = [(-out, DEPTH, z + 0.01), (out, DEPTH, z + 0.01)]
    sole += [(out, DEPTH + 0.15, z + 0.013), (-out, DEPTH + 0.15, z + 0.013)]
    leg = [(-out, DEPTH + 0.15, z + 0.013), (out, DEPTH + 0.15, z + 0.013)]
    leg += [(out, DEPTH + 0.25, z + 0.13), (-out, DEPTH + 0.25, z + 0.13)]
    upstand = [(-HALF, DEPTH + 0.001, z + 0.01), (HALF, DEPTH + 0.001, z + 0.01)]
    upstand += [(HALF, DEPTH + 0.001, z + 0.13), (-HALF, DEPTH + 0.001, z + 0.13)]
    gutter = sheet("back gutter", Role.FLASHING, sole, leg, upstand)
    inside = [(-1.0, -1.0, -0.9), (1.0, -1.0, -0.9), (1.0, 1.5, -0.9), (-1.0, 1.5, -0.9)]
    floor = sheet("inside", Role.INSIDE, inside)
    return Assembly((_covering(), _stack(), apron, *sides, gutter, floor))


def answer(*, leaking: bool) -> SimpleNamespace:
    """Findings in the shape that the stage reads: one leak and one short lap, or none."""
    edge = np.array([on_slope(-HALF - 0.05, -0.15, 0.003), on_slope(HALF + 0.05, -0.15, 0.003)])
    gone_in = np.array(on_slope(0.1, -0.001, 0.14))
    leak = SimpleNamespace(
        id=1, way_in="over the top edge of the front apron", point=gone_in, share=0.0123
    )
    lap = SimpleNamespace(
        id=1, upper="front apron", lower="covering", where="front",
        ok=False, length=0.09, needed=0.15, edge=edge,
    )  # fmt: skip
    shares = (("shed", 0.9877), ("inside", 0.0123)) if leaking else (("shed", 1.0),)
    water = [SimpleNamespace(fate=fate, share=share) for fate, share in shares]
    return SimpleNamespace(
        water=water,
        leaks=[leak] if leaking else [],
        laps=[lap] if leaking else [],
        behind=0.0,
        standing=[],
    )


def water(*, leaking: bool) -> tuple[SimpleNamespace, np.ndarray]:
    """Straight ways down the covering, and with `leaking` ten behind the apron down to the floor;
    and the fate of each."""
    lines = []
    for x in np.linspace(-0.95, 0.95, 160):
        low = SLOPE_DEPTH + 0.2 if abs(x) < HALF + 0.1 else -1.1
        lines.append([on_slope(x, 1.6, 0.004), on_slope(x, low, 0.004)])
    fates = [Fate.SHED] * len(lines)
    if leaking:
        for x in np.linspace(-0.1, 0.2, 10):
            lines.append([(x, y, z) for y, z in ((-0.0012, 0.4), (-0.0005, 0.15), (-0.0005, -0.9))])
            fates.append(Fate.INSIDE)
    start = np.cumsum([0, *(len(line) for line in lines)])
    points = np.array([point for line in lines for point in line])
    return SimpleNamespace(start=start, points=points), np.array(fates)
