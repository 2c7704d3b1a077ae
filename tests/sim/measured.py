"""What surfaces are measured by when they are cut finer: lengths, areas, and how edges are shared."""

from __future__ import annotations

import numpy as np

from sim.surface import Surface


def lengths(surface: Surface) -> np.ndarray:
    ends = surface.vertices[surface.faces]
    return np.asarray(np.linalg.norm(ends - np.roll(ends, 1, axis=1), axis=2))


def areas(surface: Surface) -> np.ndarray:
    """Area of each part."""
    a, b, c = np.moveaxis(surface.vertices[surface.faces], 1, 0)
    return np.bincount(surface.face_part, np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2)


def edge_counts(surface: Surface) -> dict[int, float]:
    """Length of edges that have 1, 2, .. faces."""
    ends = surface.corners[surface.faces]
    rows = np.sort(np.concatenate([ends[:, [0, 1]], ends[:, [1, 2]], ends[:, [2, 0]]]), axis=1)
    edge, count = np.unique(rows, axis=0, return_counts=True)
    size = np.linalg.norm(surface.vertices[edge[:, 0]] - surface.vertices[edge[:, 1]], axis=1)
    return {int(k): float(size[count == k].sum()) for k in np.unique(count)}
