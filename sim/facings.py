"""Which ways a covering falls: the slopes it has, whatever waves and steps run over them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

WINDOW_CELL = 0.2
"""A third of the square over which the covering's fall is averaged [m]: troughs, noses and single tiles
are narrower than the square, slopes broader."""
APART = 0.5
"""Two falls that differ by more than this share of the greater are of two slopes: the falls to both
sides of a ridge differ by 2, those at a hip by 1.4; what a wave leaves after averaging by less."""
LEVEL_APART = 0.05
"""And by more than this [1], under which a roof is level."""
NO_FARTHER = 1.5
"""Faces that lie off the planes of the other slopes no farther than this times what noses and waves make
them lie off their own are no slope: an average over both sides of a ridge found them."""
NOTHING = 0.001
"""And this more [m]: a bedding gap, which is no slope."""
FEWEST = 0.02
"""Falls are looked for until less than this share of the covering in plan is left."""
MOST = 8
"""Slopes looked for at most."""
TRIED = 64
"""Squares tried for the fall that most of the covering has."""


def facings(middle: Floats, fall: Floats, area: Floats) -> Ints:
    """Number of the slope (n,) that each face of a covering is of, the largest slope first.

    middle (n, 3) [m] of the faces; fall (n, 2): rise of each in a metre along x and y [1]; area (n,)
    in plan [m2], above 0. The falls that the covering has on average over WINDOW_CELL's squares tell
    what slopes there may be, the planes through their faces which there are; then each face is of the
    slope whose fall is nearest its own.
    """
    average, weight = _averaged(middle[:, :2], fall, area)
    number = _nearest(_kinds(average, weight), fall)
    planes = _planes(number, middle, fall, area)
    while len(planes) > 1:
        off = np.abs(middle[:, 2:] - middle[:, :2] @ planes[:, :2].T - planes[:, 2])
        rows = np.arange(len(off))
        own = _rough(off[rows, number], number, area)
        off[rows, number] = np.inf
        excess = _rough(off.min(axis=1), number, area) - NO_FARTHER * own
        least = int(excess.argmin())
        if excess[least] > NOTHING:
            break
        number = _nearest(np.delete(planes, least, axis=0)[:, :2], fall)
        planes = _planes(number, middle, fall, area)
    share = np.bincount(number, area)
    return np.argsort(np.argsort(-share, kind="stable"), kind="stable")[number]


def _rough(off: Floats, number: Ints, area: Floats) -> Floats:
    """Root mean square (k,) [m] of distances (n,) of faces of each number."""
    mean: Floats = np.sqrt(np.bincount(number, area * off**2) / np.bincount(number, area))
    return mean


def _planes(number: Ints, middle: Floats, fall: Floats, area: Floats) -> Floats:
    """Rise along x and y and height over the origin (k, 3) of the planes through faces of each number."""
    planes = []
    for row in range(int(number.max()) + 1):
        mine = number == row
        root = np.sqrt(area[mine])[:, None]
        base = np.column_stack([middle[mine, :2], np.ones(mine.sum())])
        plane, _, rank, _ = np.linalg.lstsq(base * root, middle[mine, 2] * root[:, 0], rcond=1e-9)
        if rank < 3:
            rise = np.average(fall[mine], axis=0, weights=area[mine])
            high = np.average(middle[mine, 2] - middle[mine, :2] @ rise, weights=area[mine])
            plane = np.append(rise, high)
        planes.append(plane)
    return np.array(planes)


def _averaged(middle: Floats, fall: Floats, area: Floats) -> tuple[Floats, Floats]:
    """Mean fall (c, 2) over the nine cells round each cell that holds faces, and the area (c,) in that
    cell."""
    cell = np.floor((middle - middle.min(axis=0)) / WINDOW_CELL).astype(np.int64) + 1
    wide = int(cell[:, 0].max()) + 2
    key, each = np.unique(cell[:, 1] * wide + cell[:, 0], return_inverse=True)
    each = each.reshape(-1)
    own = np.column_stack(
        [np.bincount(each, area * value, len(key)) for value in (*fall.T, np.ones(len(area)))]
    )
    total = np.zeros_like(own)
    for step in (a * wide + b for a in (-1, 0, 1) for b in (-1, 0, 1)):
        at = np.minimum(np.searchsorted(key, key + step), len(key) - 1)
        total += np.where((key[at] == key + step)[:, None], own[at], 0.0)
    mean: Floats = total[:, :2] / total[:, 2:]
    return mean, np.asarray(own[:, 2], dtype=np.float64)


def _kinds(fall: Floats, weight: Floats) -> Floats:
    """Different falls (k, 2), the one that most weight has first; at least one."""
    kinds: list[Floats] = []
    left, least = np.arange(len(fall)), FEWEST * weight.sum()
    while len(left) and len(kinds) < MOST and (weight[left].sum() > least or not kinds):
        some = left[:: len(left) // TRIED + 1]
        like = _alike(fall[some, None], fall[None, left])
        best = like[(like * weight[left]).sum(axis=1).argmax()]
        mine = left[best]
        kinds.append(np.average(fall[mine], axis=0, weights=weight[mine]))
        left = left[~best]
    return np.array(kinds)


def _alike(one: Floats, other: Floats) -> Flags:
    size = np.maximum(np.linalg.norm(one, axis=-1), np.linalg.norm(other, axis=-1))
    away = np.linalg.norm(one - other, axis=-1)
    return np.asarray(away <= np.maximum(APART * size, LEVEL_APART))


def _nearest(kinds: Floats, fall: Floats) -> Ints:
    """Which of the kinds (k, 2) each fall (n, 2) is nearest to; numbers of those that any is."""
    away = np.linalg.norm(fall[:, None] - kinds, axis=2)
    found = np.unique(away.argmin(axis=1), return_inverse=True)[1]
    return found.reshape(-1).astype(np.int64)
