"""Bend lines of a flat sheet: those of one fold in one line, and from where each is measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import pi

import numpy as np
from numpy.typing import NDArray

from meshes.blank import Bend

SAME_LINE = 1e-7  # [m] bends so near to one line are on it
SAME_ANGLE = 1e-6  # [rad] and turn by the same angle
NEARLY = (
    0.05  # [rad] an edge that runs so nearly along a bend is measured from, at both of its ends
)
LONG_ENOUGH = 0.5  # [1] an edge to measure from is at least so much of the bend's length
LONG_ANYHOW = 0.100  # [m] or so long
DRESSED = 0.006  # [m] a narrower edge is dressed to what lies below it, not folded along a line


@dataclass(frozen=True, slots=True, eq=False)
class From:
    """A straight edge of the outline that a bend is parallel to, or nearly, and how far off it is.

    edge: (2, 2) [m]; name: "lower edge" and the like where it lies on the blank's rectangle, else "edge";
    ends: from the bend's two ends square to the edge [m], alike where they are parallel.
    """

    edge: NDArray[np.float64]
    name: str
    ends: tuple[float, float]

    @property
    def distance(self) -> float:
        """From the middle of the bend [m]."""
        return sum(self.ends) / 2


@dataclass(frozen=True, slots=True, eq=False)
class Fold:
    """One bend line. line: (2, 2) [m], from left to right, or upwards; angle: turn from flat [rad],
    above nought towards the wet side (up); beside: the panels' names to its left (above a level line)
    and to its right; measured: None where no edge is parallel to it; then its ends are measured from the
    lower left corner."""

    line: NDArray[np.float64]
    angle: float
    beside: tuple[str, str]
    measured: From | None

    @property
    def up(self) -> bool:
        """Whether it folds towards the wet side."""
        return self.angle > 0

    @property
    def length(self) -> float:
        """Of the bend line [m]."""
        return float(np.linalg.norm(self.line[1] - self.line[0]))

    @property
    def is_dressed(self) -> bool:
        """Whether it only turns a narrow edge, or is as short as one is narrow: dressed by hand."""
        narrow = self.measured is not None and self.measured.distance < DRESSED
        return narrow or self.length < DRESSED


def is_hem(one: Fold, other: Fold) -> bool:
    """Whether two bend lines, a hair apart, turn the sheet right over: a hem or a welt."""
    along = (one.line[1] - one.line[0]) / one.length
    off = other.line - one.line[0]
    apart = np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]).max()
    low, high = sorted((off @ along).tolist())
    beside = min(high, one.length) - max(low, 0.0) > one.length / 2
    turned = abs(abs(one.angle + other.angle) - pi) < NEARLY
    return bool(SAME_LINE < apart < DRESSED and beside and turned)


def folds_of(
    bends: Sequence[Bend],
    names: Mapping[int, str],
    outlines: Sequence[NDArray[np.float64]],
    size: tuple[float, float],
) -> tuple[Fold, ...]:
    """The bend lines of a flat sheet that lies from (0, 0) to `size` [m], lowest first.

    bends: as `lay_flat.Flat` has them; names: of the panels, by the numbers that the bends have.
    """
    edges = [
        np.array([a, b]) for ring in outlines for a, b in pairwise(np.vstack([ring, ring[:1]]))
    ]
    found = []
    for line, angle, sides in _joined(bends, names):
        beside = tuple(_listed(side) for side in sides)
        assert len(beside) == 2
        found.append(Fold(line, angle, beside, measured_from(line, edges, size)))
    return tuple(
        sorted(found, key=lambda fold: tuple(np.round(fold.line.mean(axis=0)[::-1], 6).tolist()))
    )


def measured_from(
    line: NDArray[np.float64], edges: Sequence[NDArray[np.float64]], size: tuple[float, float]
) -> From | None:
    """The nearest side of the blank's rectangle, else the nearest edge, that is parallel to a line, or
    nearly, and lies across from it; where the nearest is that of a narrow edge, that one; else None."""
    along = line[1] - line[0]
    length = float(np.linalg.norm(along))
    along = along / length
    found = []
    for edge in _likely(np.asarray(edges), along, min(LONG_ENOUGH * length, LONG_ANYHOW)):
        way = edge[1] - edge[0]
        long = float(np.linalg.norm(way))
        if long < min(LONG_ENOUGH * length, LONG_ANYHOW):
            continue
        if abs(along[0] * way[1] - along[1] * way[0]) > NEARLY * long:
            continue
        off = line - edge[0]
        ends = (way[0] * off[:, 1] - way[1] * off[:, 0]) / long
        if ends[0] * ends[1] < 0:
            continue
        near, far = np.abs(ends).tolist()
        low, high = sorted(float((point - line[0]) @ along) for point in edge)
        across = min(high, length) - max(low, 0.0)
        if near + far > SAME_LINE and across > min(long, length) / 4:
            found.append(From(edge, _edge_name(edge, size), (near, far)))
    if not found:
        return None
    nearest = min(found, key=lambda one: one.distance)
    if nearest.distance < DRESSED:
        return nearest
    return min(found, key=lambda one: (one.name == "edge", one.distance))


def _likely(
    edges: NDArray[np.float64], along: NDArray[np.float64], least: float
) -> NDArray[np.float64]:
    """Of edges (n, 2, 2) [m] those as long, and as nearly along a way, as one to measure from must be; all
    at once, and so with a hair to spare."""
    ways = edges[:, 1] - edges[:, 0]
    longs = np.hypot(ways[:, 0], ways[:, 1])
    aside = np.abs(along[0] * ways[:, 1] - along[1] * ways[:, 0])
    return edges[(longs > least - SAME_LINE) & (aside < NEARLY * longs + SAME_LINE)]


def _edge_name(edge: NDArray[np.float64], size: tuple[float, float]) -> str:
    names = ((1, 0.0, "lower edge"), (1, size[1], "upper edge"), (0, 0.0, "left edge"),
             (0, size[0], "right edge"))  # fmt: skip
    for axis, at, name in names:
        if np.abs(edge[:, axis] - at).max() < SAME_LINE:
            return name
    return "edge"


Line = tuple[NDArray[np.float64], float, tuple[list[str], list[str]]]


def _joined(bends: Sequence[Bend], names: Mapping[int, str]) -> list[Line]:
    """Bends that touch, on one line and by one angle, as one."""
    lines = []
    for bend in bends:
        line, sides = bend.line, ([names[bend.panels[0]]], [names[bend.panels[1]]])
        if tuple(np.round(line[0], 7)) > tuple(np.round(line[1], 7)):
            line, sides = line[::-1], sides[::-1]
        lines.append((line, bend.angle, sides))
    lines.sort(key=lambda one: tuple(np.round(one[0].ravel(), 7).tolist()))
    return [one for some in _by_angle(lines) for one in _merged(some)]


def _by_angle(lines: Sequence[Line]) -> list[list[Line]]:
    """Lines that may be one: by their angles, each group in its order."""
    order = sorted(range(len(lines)), key=lambda at: lines[at][1])
    groups: list[list[int]] = []
    for at in order:
        if groups and lines[at][1] - lines[groups[-1][-1]][1] <= SAME_ANGLE:
            groups[-1].append(at)
        else:
            groups.append([at])
    return [[lines[at] for at in sorted(group)] for group in groups]


def _merged(lines: list[Line]) -> list[Line]:
    """Lines of one angle, those that touch on one line as one."""
    done = False
    while not done:
        done = True
        for first, one in enumerate(lines):
            for second in range(first + 1, len(lines)):
                if (both := _one_of(one, lines[second])) is not None:
                    lines[first] = both
                    del lines[second]
                    done = False
                    break
            if not done:
                break
    return lines


def _one_of(one: Line, two: Line) -> Line | None:
    """Two lines as one, or None when they don't touch, or turn differently."""
    if abs(one[1] - two[1]) > SAME_ANGLE:
        return None
    along = one[0][1] - one[0][0]
    length = float(np.linalg.norm(along))
    along = along / length
    off = two[0] - one[0][0]
    if np.abs(along[0] * off[:, 1] - along[1] * off[:, 0]).max() > SAME_LINE:
        return None
    low, high = (off @ along).tolist()
    if low > length + SAME_LINE or high < -SAME_LINE:
        return None
    ends = np.array([one[0][0] + along * min(low, 0.0), one[0][0] + along * max(high, length)])
    left, right = (a + b for a, b in zip(one[2], two[2], strict=True))
    return ends, one[1], (left, right)


def _listed(names: Sequence[str]) -> str:
    """Names once each, in their order: `cover 1, cover 2`."""
    return ", ".join(dict.fromkeys(names))
