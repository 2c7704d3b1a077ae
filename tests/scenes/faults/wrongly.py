"""Scenes with a fault in them, and what is measured on their parts [mm]."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from meshes.build import build
from meshes.parts import Assembly, Part
from meshes.spec import Detail
from scenes.faults.apply import made_wrong, with_faults
from scenes.scene import Scene, load

Probe = Callable[[Assembly], float]
Keep = Callable[[NDArray[np.float64]], NDArray[np.bool_]]
X, Y, Z = 0, 1, 2
remembered = lru_cache(maxsize=16)(build)


def scene(name: str) -> Scene:
    """A scene of the library, or `cottage` with its sides, corners or covers made another way."""
    if name in ("soakers", "slit", "two-part"):
        base = load("cottage")
        assert base.detail is not None
        return replace(base, detail=another(base.detail, name), file=f"{name}.toml")
    return load(name)


def another(detail: Detail, name: str) -> Detail:
    """The detail with soakers, slit corners, or in two parts."""
    if name == "soakers":
        return replace(detail, sides=replace(detail.sides, way="soakers"))
    if name == "slit":
        return replace(detail, joint="slit and patch")
    apron = replace(detail.apron, two_part=True)
    return replace(detail, apron=apron, gutter=replace(detail.gutter, two_part=True))


@lru_cache(maxsize=32)
def right(name: str) -> Assembly:
    """The scene's parts without a fault."""
    detail = scene(name).detail
    assert detail is not None
    return remembered(detail)


@lru_cache(maxsize=32)
def wrong(name: str, *faults: str) -> Assembly:
    """The scene's parts with faults."""
    return made_wrong(with_faults(scene(name), faults), remembered)


def changed(was: Assembly, now: Assembly) -> set[str]:
    """Names of parts that differ; a + or - before those that came or went."""
    before, after = ({part.name: part for part in one} for one in (was, now))
    found = {f"-{name}" for name in set(before) - set(after)}
    found |= {f"+{name}" for name in set(after) - set(before)}
    both = set(before) & set(after)
    return found | {name for name in both if not same(before[name], after[name])}


def same(a: Part, b: Part) -> bool:
    """Whether two parts have the same corners in the same faces, to a nanometre."""
    if a.faces.shape != b.faces.shape or a.vertices.shape != b.vertices.shape:
        return False
    return bool(np.allclose(a.vertices, b.vertices, rtol=0, atol=1e-9))


def lowest(name: str, axis: int, keep: Keep | None = None) -> Probe:
    """Least coordinate of a part's corners (those kept)."""
    return lambda made: 1000 * float(_kept(made, name, keep)[:, axis].min())


def highest(name: str, axis: int, keep: Keep | None = None) -> Probe:
    """Greatest coordinate of a part's corners (those kept)."""
    return lambda made: 1000 * float(_kept(made, name, keep)[:, axis].max())


def _kept(made: Assembly, name: str, keep: Keep | None) -> NDArray[np.float64]:
    points = made[name].vertices
    return points if keep is None else points[keep(points)]


def area(name: str) -> Probe:
    """Area of a part [mm2]."""
    return lambda made: float(_twice(made[name])[1].sum() / 2)


def in_plan(name: str) -> Probe:
    """Area of a part's faces seen from above [mm2]."""
    return lambda made: float(np.abs(_twice(made[name])[0][:, Z]).sum() / 2)


def _twice(part: Part) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    a, b, c = (1000 * part.vertices[part.faces[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    return cross, np.linalg.norm(cross, axis=1)


def sole(made: Assembly) -> float:
    """Breadth of the back gutter's sole: its nearly level faces over its length."""
    cross, size = _twice(made["back gutter"])
    level = np.abs(cross[:, Z]) > 0.99 * size
    points = made["back gutter"].vertices
    return float(size[level].sum() / 2 / (1000 * np.ptp(points[:, X])))


def fall(made: Assembly) -> float:
    """Fall of the back gutter's flattest faces to the stack [degrees]."""
    cross, size = _twice(made["back gutter"])
    unit = cross[size > 1] / size[size > 1, None]
    flat = unit[np.argmax(unit[:, Z])]
    return float(np.degrees(np.arctan2(-flat[Y], flat[Z])))


def volume(name: str) -> Probe:
    """Volume within a closed part [mm3]."""

    def probe(made: Assembly) -> float:
        part = made[name]
        a, b, c = (1000 * part.vertices[part.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)

    return probe


def height(name: str, x: float, y: float) -> Probe:
    """Height of a part's highest face over (x, y) [mm]."""

    def probe(made: Assembly) -> float:
        part = made[name]
        a, b, c = (1000 * part.vertices[part.faces[:, k]] for k in range(3))
        point = np.array([x, y])
        u, v = (b - a)[:, :2], (c - a)[:, :2]
        det = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        flat = np.abs(det) > 1e-6
        det = np.where(flat, det, 1.0)
        w = point - a[:, :2]
        s = (w[:, 0] * v[:, 1] - w[:, 1] * v[:, 0]) / det
        t = (u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]) / det
        on = flat & (s > -1e-9) & (t > -1e-9) & (s + t < 1 + 1e-9)
        return float((a[:, Z] + s * (b - a)[:, Z] + t * (c - a)[:, Z])[on].max())

    return probe


def over(upper: str, lower: str, x: float, y: float) -> Probe:
    """How far one part lies over another at (x, y): below nought where it lies under it [mm]."""
    return lambda made: height(upper, x, y)(made) - height(lower, x, y)(made)


def bodies(name: str) -> Probe:
    """Of how many pieces that hang together by their corners a part consists."""

    def probe(made: Assembly) -> float:
        part = made[name]
        _, corner = np.unique(np.round(part.vertices, 8), axis=0, return_inverse=True)
        rows = corner.ravel()[part.faces]
        pairs = np.vstack([rows[:, [0, 1]], rows[:, [1, 2]]])
        links = coo_array((np.ones(len(pairs)), pairs.T), shape=(corner.max() + 1,) * 2)
        return float(connected_components(links, directed=False)[0])

    return probe


def above_slope(name: str, pitch_deg: float) -> Probe:
    """How high above the plane through the noses a part reaches, square to it [mm]."""
    slope = radians(pitch_deg)
    return lambda made: float(
        1000
        * (made[name].vertices[:, Z] * cos(slope) - made[name].vertices[:, Y] * sin(slope)).max()
    )


def begins(name: str, y_from: int, y_to: int) -> Probe:
    """Least y [mm] between two, to 0.2 mm, at which a part lies in the middle."""

    def probe(made: Assembly) -> float:
        for y in np.arange(y_from, y_to, 0.2):
            try:
                height(name, 0, float(y))(made)
            except ValueError:
                continue
            return float(y)
        raise AssertionError(f"no {name} there")

    return probe
