"""A level channel that takes water along its length and lets it fall freely at its end.

Inflow comes in square to the channel and brings no push along it, and the bed gives no friction: the
force Q^2 / (g A) + A ybar is then the same all along (spatially varied flow; standard hydraulics
texts). At the free end the flow is critical; deepest it stands where the flow divides.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require
from sim.channel_section import Section
from sim.water import GRAVITY

Floats = NDArray[np.float64]

STEADY_DEPTH = 0.004
"""Depth under which surface tension governs [m] (practice: 1.5 times the capillary length of water)."""
PARTS = 64
"""Into so many the bounds of a depth are divided at a time, which costs hardly more than into two."""
ROUNDS = 14
"""Enough for 80 halvings."""
CLOSE = 1e-15
"""Bounds as near as this to each other, as a share of the depth, are one."""
DEEPEST = 100.0
"""No depth is looked for beyond this [m]."""


def critical_depth(section: Section, flow: ArrayLike) -> Floats:
    """Depth at which the flow passes with the least energy, Q^2 T / (g A^3) = 1, shape of flow [m].

    flow: 0 or more [m3/s]. In a section that widens at a ledge, the lowest such depth.
    """
    square = _flow(flow) ** 2 / GRAVITY

    def force(y: Floats) -> Floats:
        width = section.top_width(y)
        cube = section.area(y) ** 3
        return np.divide(cube, width, out=np.zeros_like(cube), where=width > 0)

    return _solved(force, square)


def deepest(section: Section, flow: ArrayLike, end: ArrayLike | None = None) -> Floats:
    """Depth where the flow divides, far from the free end that takes it, shape of flow [m].

    flow: through that end, 0 or more [m3/s]; end: its critical depth, where that is known. Rectangle:
    sqrt(3) times the critical depth; trough with one upright wall: 2.5^(1/3) times.
    """
    at_end = critical_depth(section, flow) if end is None else np.asarray(end, dtype=np.float64)
    return _solved(section.first_moment, _force(section, _flow(flow), at_end))


def most_flow(section: Section, depth: float) -> float:
    """The flow through its free end [m3/s] with which a channel stands this deep [m], 0 or more.

    The inverse of `deepest`.
    """
    require(0 <= depth <= DEEPEST, "depth", depth, f"0 to {DEEPEST:g} m", SceneError)

    def moment(y: Floats) -> Floats:
        width = section.top_width(y)
        square = section.area(y) ** 2
        through = np.divide(square, width, out=np.zeros_like(square), where=width > 0)
        return section.first_moment(y) + through

    end = _solved(moment, section.first_moment(depth))
    width = float(section.top_width(end))
    return float(np.sqrt(GRAVITY * section.area(end) ** 3 / width)) if width > 0 else 0.0


def profile(
    section: Section, flow_per_m: float, length: float, *, points: int = 65
) -> tuple[Floats, Floats]:
    """Distance from where the flow divides (points,) [m], and the depth there (points,) [m].

    flow_per_m: taken in along the channel, above 0 [m3/s m]; length: from the divide to the free end,
    above 0 [m]; the last point is the free end, at critical depth. For a rectangle (x / L)^2 =
    s (1.5 - 0.5 s^2), s the depth over the critical one.
    """
    require(flow_per_m > 0, "flow per metre", flow_per_m, "above 0 m3/s m", SceneError)
    require(length > 0, "length", length, "above 0 m", SceneError)
    require(points >= 2, "points", points, "at least 2", SceneError)
    flow = flow_per_m * length
    end = float(critical_depth(section, flow))
    divide = float(deepest(section, flow, end))
    # Depth falls off with the square of the distance from the divide: even steps need its root.
    depth = divide - (divide - end) * np.linspace(0.0, 1.0, points) ** 2
    spare = np.maximum(section.first_moment(divide) - section.first_moment(depth), 0.0)
    x = np.sqrt(GRAVITY * section.area(depth) * spare) / flow_per_m
    x[-1] = length
    return x, depth


def surface_tension_governs(depth: ArrayLike) -> NDArray[np.bool_]:
    """Whether water is so shallow that these depths [m] are only indicative, shape of depth."""
    return np.asarray(depth, dtype=np.float64) < STEADY_DEPTH


def half_round_capacity(area: float) -> float:
    """What a nominally level half-round eaves gutter with a section of `area` [m2] carries [m3/s].

    0.9 x 2.78e-5 A^1.25 L/s, A in mm2: EN 12056-3 (memory).
    """
    require(area >= 0, "area of the gutter", area, "0 or more m2", SceneError)
    return 0.9 * 2.78e-5 * (area * 1e6) ** 1.25 * 1e-3


def _flow(flow: ArrayLike) -> Floats:
    q = np.asarray(flow, dtype=np.float64)
    low = float(q.min(initial=0.0))
    require(low >= 0 and bool(np.isfinite(q).all()), "flow", low, "0 or more m3/s", SceneError)
    return q


def _force(section: Section, flow: Floats, depth: Floats) -> Floats:
    """Q^2 / (g A) + A ybar [m3]; nil for no flow."""
    area = section.area(depth)
    push = np.divide(flow**2 / GRAVITY, area, out=np.zeros_like(area), where=area > 0)
    return push + section.first_moment(depth)


def _solved(rising: Callable[[Floats], Floats], target: ArrayLike) -> Floats:
    """Depth at which a function that rises from nil reaches its target, shape of target [m]."""
    goal = np.asarray(target, dtype=np.float64)
    low, high = np.zeros(goal.shape), np.full(goal.shape, DEEPEST)
    reached = bool((rising(high) >= goal).all())
    require(reached, "depth of the channel", "more", f"at most {DEEPEST:g} m", SceneError)
    share = np.linspace(0.0, 1.0, PARTS + 1).reshape(-1, *(1 for _ in goal.shape))
    for _ in range(ROUNDS):
        if bool((high - low <= CLOSE * high).all()):
            break
        between = low + (high - low) * share
        between[-1] = high
        first = (rising(between[1:]) >= goal).argmax(axis=0)[None]
        low, high = (np.take_along_axis(between, first + k, axis=0)[0] for k in (0, 1))
    return np.where(goal > 0, high, 0.0)
