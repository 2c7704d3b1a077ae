"""Rays asked in kernels, against the same questions asked one by one of the plain caster."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenes.assemble import assemble
from scenes.scene import load
from sim.cast import Caster, PlainCaster
from sim.charts import Charts
from sim.events import NOT_ON_A_FACE
from sim.looks import NEXT, layers, sees_any
from sim.looks_along import met_along
from sim.rain import rain
from sim.tolerances import STANDOFF
from sim.trace import record

Floats = NDArray[np.float64]


@pytest.fixture(scope="module")
def charts() -> Charts:
    return Charts.of(assemble(load("cottage")))


def places(charts: Charts, count: int) -> tuple[Floats, Floats]:
    """Points off faces, recentred, and the normals there."""
    face = np.arange(len(charts.surface.faces))[:: len(charts.surface.faces) // count]
    normal = charts.surface.normals[face]
    middle = charts.surface.vertices[charts.surface.faces[face]].mean(axis=1)
    return middle - 0.02 * normal, normal


def test_layers_are_what_single_rays_meet_in_turn(charts: Charts) -> None:
    """Brute force in numpy, ray after ray."""
    plain, centre = PlainCaster.of(charts.surface), charts.surface.centre
    points, ways = places(charts, 150)
    away, face = layers(charts.caster, points, ways, 0.05, 4)
    gone = np.zeros(len(points))
    for layer in range(4):
        t, hit = plain.first_hit(points + gone[:, None] * ways + centre, ways, 0.05)
        met = (hit >= 0) & (gone + t <= 0.05)
        assert (face[layer] == np.where(met, hit, -1)).all()
        assert away[layer][met] == pytest.approx((gone + t)[met], abs=1e-12)
        gone = np.where(met, gone + t + NEXT, 1.0)
    assert (face[0] >= 0).sum() > 100 > (face[3] >= 0).sum()


def test_sky_is_seen_where_one_of_the_rays_is_free(charts: Charts) -> None:
    """Brute force in numpy."""
    plain, centre = PlainCaster.of(charts.surface), charts.surface.centre
    points, _ = places(charts, 150)
    ways = np.array([[0.0, 0.0, 1.0], [0.3, 0.0, 0.9], [0.0, -0.5, 0.8]])
    free = np.stack(
        [~plain.any_hit(points + centre, np.broadcast_to(w, points.shape)) for w in ways]
    )
    seen = sees_any(charts.caster, points, ways)
    assert (seen == free.any(axis=0)).all()
    assert seen.any()
    assert not seen.all()


def test_what_lies_over_pieces_of_path_is_found_though_most_charts_are_never_asked(
    charts: Charts,
) -> None:
    """Every look of every piece as a single ray of the caster: nothing may be sorted out too early."""
    surface, step, reach = charts.surface, 0.05, 0.6
    drops = rain(charts, 300, seed=4, rain_m_s=2e-5)
    paths = record(charts, drops, np.arange(len(drops)))
    counts = np.array([name.startswith(("stack", "left", "back")) for name in surface.part_names])
    counts = counts[surface.face_part]
    asked = (np.arange(len(paths.points)) % 3 > 0) & ~np.isin(paths.kind, NOT_ON_A_FACE)
    found = met_along(
        charts.caster, surface, paths.points, paths.chart, asked, counts,
        step=step, lift=STANDOFF, reach=reach, facing=0.02,
    )  # fmt: skip
    assert not found[~asked].any()
    after = np.minimum(np.arange(len(paths.points)) + 1, len(paths.points) - 1)
    along = paths.points[after] - paths.points
    looks = np.ceil(np.linalg.norm(along, axis=1) / step).astype(int) + 1
    row = np.repeat(np.arange(len(looks)), looks)
    share = (np.arange(len(row)) - np.repeat(np.cumsum(looks) - looks, looks) + 0.5) / looks[row]
    normal = charts.normals[paths.chart[row]]
    start = paths.points[row] + share[:, None] * along[row] + STANDOFF * normal
    _, face = Caster.of(surface).first_hit(start, normal, reach)
    own = surface.face_part[paths.chart[row] // 2]
    hit = (face >= 0) & counts[face] & (surface.face_part[face] != own)
    hit &= np.abs((surface.normals[face] * normal).sum(axis=1)) > 0.02
    expected = np.zeros(len(looks), dtype=bool)
    np.logical_or.at(expected, row, hit)
    assert (found == (expected & asked)).all()
    assert 20 < found.sum() < asked.sum() / 2
