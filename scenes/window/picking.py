"""What is meant by a click: the mark, line or piece at a pixel. Pure geometry, and no renderer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scenes.stage_sight import Sight
from scenes.window.shown import Kind, Picked

Floats = NDArray[np.float64]

NEAR_MARK: Final = 14.0
NEAR_LINE: Final = 6.0
"""A leak's mark and a line are meant by a click so near to them [px]."""
UNDER: Final = 0.004
"""A line so far behind what is seen at the pixel still counts as lying on it [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """A line that can be picked, points (k, 3) [m], k >= 2; through: it shows through what hides it."""

    what: Picked
    points: Floats
    through: bool


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """A point (3,) [m] that can be picked; it shows through everything."""

    what: Picked
    point: Floats


def pick(
    sight: Sight, lines: Sequence[Line], marks: Sequence[Mark], x: float, y: float
) -> Picked | None:
    """What is meant by a click at (x, y) [px, right and down]: the nearest mark, else the nearest lap's
    edge, else the nearest path, each if near enough and in sight; else the piece seen there, by its
    place in the sight's stage; None where there is nothing."""
    spot = np.array([x, y])
    if marks:
        flat = sight.camera.project(np.array([mark.point for mark in marks]))
        away = np.linalg.norm(flat - spot, axis=1)
        if away.min() <= NEAR_MARK:
            return marks[int(away.argmin())].what
    piece, height = piece_at(sight, x, y)
    kinds: tuple[Kind, ...] = ("lap", "path")
    for kind in kinds:
        some = [line for line in lines if line.what.kind == kind]
        if some and (found := _nearest(some, sight, spot, height)):
            return found
    return None if piece is None else Picked("piece", piece)


def piece_at(sight: Sight, x: float, y: float) -> tuple[int | None, float]:
    """Place in the sight's stage of the piece seen at a pixel, None for none, and how far towards the
    viewer what is seen there lies from the origin [m]."""
    camera = sight.camera
    towards = camera.view.axes[2]
    reach = float(np.abs(sight.triangles - np.array(camera.focus)).sum(axis=2).max()) + 1.0
    origin = camera.unproject(np.array([[x, y]]), reach)
    distance, face = sight.caster.first_hit(origin, -towards[None])
    if face[0] < 0:
        return None, -np.inf
    return int(sight.owner[face[0]]), float(origin[0] @ towards - distance[0])


def _nearest(lines: Sequence[Line], sight: Sight, spot: Floats, height: float) -> Picked | None:
    """The line nearest to a pixel, within NEAR_LINE, that is in sight where it is nearest."""
    counts = np.array([len(line.points) for line in lines])
    points = np.concatenate([line.points for line in lines])
    first = np.delete(np.arange(len(points)), np.cumsum(counts) - 1)
    line = np.repeat(np.arange(len(lines)), counts - 1)
    flat = sight.camera.project(points)
    here, along = flat[first], flat[first + 1] - flat[first]
    length = np.einsum("ij,ij->i", along, along)
    offset = np.einsum("ij,ij->i", spot - here, along)
    share = np.divide(offset, length, out=np.zeros_like(length), where=length > 0).clip(0, 1)
    away = np.linalg.norm(here + share[:, None] * along - spot, axis=1)
    places = points[first] + share[:, None] * (points[first + 1] - points[first])
    through = np.array([one.through for one in lines])[line]
    seen = through | (places @ sight.camera.view.axes[2] >= height - UNDER)
    near = np.where(seen, away, np.inf)
    best = int(near.argmin())
    return lines[line[best]].what if near[best] <= NEAR_LINE else None
