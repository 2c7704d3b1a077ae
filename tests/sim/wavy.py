"""Coverings whose troughs carry the water: waves in courses, with or without a ridge."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from meshes.parts import Part, Role

GAUGE = 0.3


def wave(kind: str, x: np.ndarray, depth: float = 0.03, period: float = 0.2) -> np.ndarray:
    """Height of a profile at x: pointed, or with flat crests and troughs [m]."""
    share = np.abs((x / period) % 1 - 0.5) * 2
    return depth * (share if kind == "pointed" else np.clip(2 * share - 0.5, 0, 1))


def profiled(
    kind: str,
    pitch_deg: float,
    *,
    courses: int = 8,
    hole: bool = False,
    ridge_at: float = np.inf,
    gauge: float = GAUGE,
    shape: tuple[float, float] = (0.03, 0.2),
    nose: float = 0.02,
) -> Part:
    """Wavy courses (shape: depth and period of the wave), each `nose` thick at its lower edge, with an
    upright face there; beyond a ridge at y = ridge_at they fall the other way. A hole is 0.6 m wide,
    from y = 0.9 to 1.3."""
    run = gauge * np.cos(np.radians(pitch_deg))
    xs = np.unique(np.append(np.arange(-1.5, 1.5 + 1e-9, 0.025), [-0.3, 0.3]))
    ys = np.unique(np.append(np.arange(courses + 1) * run, [0.9, 1.3] if hole else []))
    tilt = np.tan(np.radians(pitch_deg)) - nose / run
    points, faces = [], []

    def height(x: np.ndarray, y: np.ndarray, own: np.ndarray) -> np.ndarray:
        """Of course `own`, at (x, y)."""
        noses = own * run * np.tan(np.radians(pitch_deg))
        return noses + (y - own * run) * tilt + wave(kind, x, *shape)

    def quad(a: list[float], b: list[float], c: list[float], d: list[float]) -> None:
        faces.extend([[len(points) + k for k in rows] for rows in ((0, 1, 2), (0, 2, 3))])
        points.extend([a, b, c, d])

    for low, high in pairwise(ys):
        own = np.floor(low / run + 1e-9)
        for left, right in pairwise(xs):
            if hole and abs(left + right) < 0.6 and 0.9 <= low < 1.3 - 1e-9:
                continue
            ends = [(left, low), (right, low), (right, high), (left, high)]
            quad(*([x, y, float(height(x, y, own))] for x, y in ends))
            if own > 0 and abs(low - own * run) < 1e-9:
                below = [[x, low, float(height(x, low, own - 1))] for x in (left, right)]
                above = [[x, low, float(height(x, low, own))] for x in (right, left)]
                quad(*below, *above)
    made = np.array(points)
    if ridge_at < np.inf:
        # The other side is the mirror image of this one, up to the ridge.
        keep = made[np.array(faces)][:, :, 1].max(axis=1) <= ridge_at + 1e-9
        face = np.array(faces)[keep]
        image = made * [1, -1, 1] + [0, 2 * ridge_at, 0]
        both = np.concatenate([face, face[:, ::-1] + len(made)])
        return Part("covering", Role.COVERING, np.concatenate([made, image]), both)
    return Part("covering", Role.COVERING, made, np.array(faces))
