"""How far sheets must be stretched: bossed round corners, and dressed down over stepped courses."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, tan

import numpy as np

from meshes.around.corners import Run
from meshes.around.scheme import Scheme
from meshes.around.sheets import Sheet
from meshes.errors import require
from meshes.materials import MATERIALS
from meshes.plan import Corner
from meshes.rules import bossing_stretch

WORKED = 0.100  # [m] a bossed piece reaches at least so far past a corner: practice, no source
TIMES_HEIGHT = 3.0  # [1] and so many times its upstand's height there: practice, no source
MOST_PATCHES = 8  # [1] corners of a plan on which patches are made; rounder ones are worked
STRAIGHT_ON = 1e-6  # [rad] less is no corner


def worked_past(scheme: Scheme) -> float:
    """How far a bossed side or apron reaches past a corner, where there is room [m]."""
    detail = scheme.detail
    high = detail.sides.upstand / cos(detail.roof.pitch)
    later = max(("apron", "left"), key=detail.order.index)
    if later == "apron":
        high = detail.apron.upstand
    return max(WORKED, TIMES_HEIGHT * high)


def patched(scheme: Scheme) -> bool:
    """Whether the corners within a run are slit and patched."""
    few = len(scheme.plan.corners) <= MOST_PATCHES
    return scheme.detail.joint == "slit and patch" and few


def stretch_of(scheme: Scheme, sheet: Sheet, run: Run, name: str) -> float:
    """The greatest stretch that a piece asks for along its run, as a share.

    Raises PieceError where corners are to be bossed and its material can't be stretched so far.
    """
    points = list(run.points)
    for end, at in zip(run.ends, (0, -1), strict=True):
        if end.tongue:
            # The sheet goes on beneath the other piece, where its corners can be slit.
            points[at] = end.tongue[1]
    bossed = 0.0 if patched(scheme) else bossed_stretch(scheme, sheet, tuple(points))
    material = MATERIALS[scheme.detail.material]
    if scheme.detail.joint == "bossed":
        gives = f"{material.name} gives {100 * material.stretch:.0f} %"
        rule = (
            f"return or slit and patch here: bossing a corner of the {name} asks "
            f"{100 * bossed:.0f} % stretch, {gives}"
        )
        require(bossed <= material.stretch + 1e-9, "joint", "bossed", rule)
    return max(bossed, stepped_stretch(sheet, run.points))


def bossed_stretch(scheme: Scheme, sheet: Sheet, points: tuple[Corner, ...]) -> float:
    """The greatest stretch of an upstand at the corners within its run, as a share; at most 1.

    Each corner is worked along half of both its edges, to their ends where the run ends there, and
    turns as its foot does on the slope.
    """
    flat = cos(scheme.detail.roof.pitch)
    most = 0.0
    for number in range(1, len(points) - 1):
        ways, highs, longs = [], [], []
        corner = sheet.rim.at(points[number])
        high = sheet.top(*corner) - sheet.lie(corner).height(*corner)
        for other in (number - 1, number + 1):
            end = other in (0, len(points) - 1)
            dx, dy = (points[other][i] - points[number][i] for i in (0, 1))
            way = (dx, dy / flat)
            long = hypot(*way)
            ways.append(way)
            highs.append(high * hypot(dx, dy) / long)
            longs.append(long * (1.0 if end else 0.5))
        (ax, ay), (bx, by) = ways
        turn = pi - abs(atan2(ax * by - ay * bx, ax * bx + ay * by))
        if turn < STRAIGHT_ON:
            continue
        shortest = max(highs) * tan(turn / 2)
        most = max(most, bossing_stretch(max(highs), turn, max(min(longs), shortest)))
    return most


def stepped_stretch(sheet: Sheet, points: tuple[Corner, ...]) -> float:
    """The greatest stretch along the foot of an upstand that is dressed down over steps, as a share."""
    most = 0.0
    for a, b in zip(sheet.out(points), sheet.out(points)[1:], strict=False):
        foot = np.array(sheet.foot(a, b))
        steps = np.linalg.norm(np.diff(foot, axis=0), axis=1).sum()
        most = max(most, float(steps / np.linalg.norm(foot[-1] - foot[0])) - 1)
    return most if most > 1e-9 else 0.0
