"""Saddles behind wide stacks: their height, planes and valleys on the mesh, and where water goes."""

from __future__ import annotations

from math import atan, cos, radians, sqrt, tan

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.around.build import build_around, pieces_around
from meshes.around.saddle import ABOVE_NOSES
from meshes.parts import Assembly
from meshes.spec import BackGutter, Detail, Stack
from tests.meshes.around.details_around import SADDLE, Wet, around, not_shed

WIDTH, DEPTH, GAP = 1.2, 0.5, 0.001
IRC_ROWS = [(12, 2), (8, 3), (6, 4), (4, 6), (3, 8)]


def wide(pitch: float, gutter: BackGutter = SADDLE, covering: str = "one plane") -> Detail:
    """A stack 1200 mm wide at a pitch [rad], on a roof that is long enough behind it."""
    told = around(np.degrees(pitch), covering, roof={"above": 3.0})
    stack = Stack(width=WIDTH, depth=DEPTH, height=2.5)
    return Detail(roof=told.roof, stack=stack, gutter=gutter, gap=GAP)


def saddle_of(made: Assembly) -> NDArray[np.float64]:
    """Triangles (m, 3, 3) of the saddle's planes: those that fall sideways."""
    part = next(part for part in made if part.name == "saddle flashing")
    corners = part.vertices[part.faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    sideways = (np.abs(normals[:, 0]) > 0.1) & (np.abs(normals[:, 1]) < 1e-6)
    return corners[sideways & (normals[:, 2] > 0.3)]


@pytest.mark.parametrize(("rise", "share"), IRC_ROWS)
def test_height_against_the_code_rows(rise: int, share: int) -> None:
    """IRC Table R1003.20: a height of the width over 2, 3, 4, 6, 8 at 12:12, 8:12, 6:12, 4:12, 3:12
    (first row seen, others memory). The width is that between the upstands, which stand four bedding
    gaps off the stack's faces; the ridge is measured above the saddle's own base at the stack: the plane
    through the noses, the sheets' layers and what the valleys stand clear of them."""
    pitch = atan(rise / 12)
    planes = saddle_of(build_around(wide(pitch)))
    top = planes[..., 2].max()
    at_stack = planes[np.abs(planes[..., 1] - planes[..., 1].min()) < 1e-6][:, 1].min()
    base = at_stack * tan(pitch) + 3 * GAP / cos(pitch) + ABOVE_NOSES
    assert top - base == pytest.approx(WIDTH / share, rel=0.01)


@pytest.mark.parametrize("rise", [12, 8, 6, 4, 3])
def test_planes_ridge_and_valleys(rise: int) -> None:
    """Derived: planes of the roof's pitch that fall straight sideways; a level ridge; valleys at 45
    degrees in plan that fall at tan(pitch)/sqrt(2). The upstands stand 4 gaps off each side of the
    stack, which widens the base by 8 mm in 1200: 1 %."""
    pitch = atan(rise / 12)
    planes = saddle_of(build_around(wide(pitch)))
    normals = np.cross(planes[:, 1] - planes[:, 0], planes[:, 2] - planes[:, 0])
    falls = np.hypot(normals[:, 0], normals[:, 1]) / normals[:, 2]
    assert falls == pytest.approx(tan(pitch), rel=0.01)
    assert np.abs(normals[:, 1] / normals[:, 0]).max() < 1e-6

    points = planes.reshape(-1, 3)
    peak = points[points[:, 1].argmax()]
    ridge = points[np.abs(points[:, 0] - peak[0]) < 1e-6]
    assert np.ptp(ridge[:, 2]) < 1e-9
    for lower in (points[points[:, 0].argmin()], points[points[:, 0].argmax()]):
        way = peak - lower
        assert abs(way[0]) == pytest.approx(way[1], rel=0.01)
        assert way[2] / np.hypot(way[0], way[1]) == pytest.approx(tan(pitch) / sqrt(2), rel=0.015)


def test_water_splits_evenly_left_and_right() -> None:
    """By symmetry: of 2,000 drops let go over the roof behind the stack half pass it on each side,
    within three standard errors; all are shed."""
    detail = wide(radians(30), covering="plain tiles")
    wet = Wet.of(build_around(detail))
    random = np.random.default_rng(8)
    back = detail.stack.outline().back
    x, y = random.uniform(-0.6, 0.6, 2000), random.uniform(back + 0.1, back + 1.5, 2000)
    drops, ended = wet.fall(np.column_stack([x, y, np.full(2000, 5.0)]))
    assert not_shed(ended) == {}
    names = wet.charts.surface.part_names
    on_roof = np.array([names[part] != "stack" for part in wet.charts.part[drops.chart]])
    right = (ended.end[on_roof, 0] > 0).mean()
    assert abs(right - 0.5) < 3 * sqrt(0.25 / on_roof.sum())


def test_no_water_stands_on_a_saddle() -> None:
    """By construction: no hollow on its wet side holds a millilitre; and the level gutter's sole falls
    to a level crease along the stack, which a saddle's sheet has not."""
    level = {}
    for behind, name in (("saddle", "saddle flashing"), ("gutter", "back gutter")):
        gutter = SADDLE if behind == "saddle" else BackGutter()
        made = build_around(wide(radians(30), gutter, "plain tiles"))
        wet = Wet.of(made)
        names = wet.charts.surface.part_names
        part = (wet.charts.part == names.index(name)) & (np.arange(len(wet.charts.part)) % 2 == 0)
        holding = np.unique(wet.ponds.flooded[part & (wet.ponds.flooded >= 0)])
        assert (wet.ponds.volume[holding] < 1e-6).all()
        upstand = next(one for one in made if one.name == name)
        level[name] = _level_creases(upstand.vertices, upstand.faces)
    assert level["back gutter"] == pytest.approx(WIDTH, abs=0.02)
    assert level["saddle flashing"] == 0


def _level_creases(points: NDArray[np.float64], faces: NDArray[np.int32]) -> float:
    """Length [m] of level edges between a steep face and one that falls towards it from behind."""
    normals = np.cross(
        points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    )
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    edges: dict[tuple[int, int], list[int]] = {}
    for number, face in enumerate(faces):
        for a, b in zip(face, np.roll(face, -1), strict=True):
            edges.setdefault((min(a, b), max(a, b)), []).append(number)
    total = 0.0
    for (a, b), sides in edges.items():
        way = points[b] - points[a]
        if len(sides) != 2 or abs(way[2]) > 1e-9 or abs(way[1]) > 1e-6:
            continue
        up, flat = sorted(sides, key=lambda number: abs(normals[number, 2]))
        steep = abs(normals[up, 2]) < 1e-6 and normals[up, 1] > 0.9
        if steep and 1e-3 < -normals[flat, 1] / normals[flat, 2] < 0.05:
            total += abs(way[0])
    return total


@pytest.mark.parametrize(("width", "name"), [(0.75, "back gutter"), (0.80, "saddle flashing")])
def test_by_rule_a_saddle_stands_behind_stacks_over_30_inches(width: float, name: str) -> None:
    """IRC R1003.20: over 30 in (762 mm) along the ridge (seen)."""
    detail = around(
        35,
        stack=Stack(width=width, depth=0.5, height=2.0),
        gutter=BackGutter(behind="by rule"),
        roof={"above": 2.5},
    )
    assert pieces_around(detail)[-1].name == name


def test_a_told_height_is_kept() -> None:
    """By parameters: 150 mm high on a stack whose own rule would make it 346 mm."""
    gutter = BackGutter(behind="saddle", saddle_height=0.15)
    planes = saddle_of(build_around(wide(radians(30), gutter)))
    assert np.ptp(planes[..., 2]) == pytest.approx(0.15, abs=1e-6)
