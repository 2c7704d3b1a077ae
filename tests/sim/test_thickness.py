"""How thick the film is that the tracer's own drops make."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose

from meshes.errors import SceneError
from meshes.parts import Assembly
from sim.charts import Charts
from sim.film import nusselt_thickness, pull_on
from sim.rain import Drops, place, rain
from sim.thickness import ENOUGH, THICKEST, THINNEST, flow_per_width, thickness
from sim.trace import Paths, record
from tests.sim.shapes import box, pitched, sheet

RAIN = 75 / 3.6e6
THIRTY = np.radians(30)


def plane(run: float, cells: int, *, across: int = 4) -> Charts:
    """A plane at 30 degrees, 1 m wide and `run` [m] long in plan."""
    grid = np.linspace(0, 1, across + 1).tolist(), np.linspace(0, run, cells + 1).tolist()
    return Charts.of(Assembly((sheet(pitched(30.0), *grid),)))


def middles(charts: Charts) -> np.ndarray:
    """Centroid of each chart (2m, 3) [m]."""
    ends = charts.surface.vertices[charts.surface.faces]
    return np.repeat(ends.mean(axis=1) + charts.surface.centre, 2, axis=0)


def valley(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Two sides at 30 degrees that meet in a crease, which falls along y."""
    return np.abs(x) * np.tan(THIRTY) + 0.2 * y


def flow_of(charts: Charts, drops: Drops, rows: np.ndarray) -> np.ndarray:
    scale = float(drops.flow.sum() / drops.flow[rows].sum())
    return flow_per_width(charts, drops, record(charts, drops, rows), rows, scale)


@pytest.mark.parametrize(
    ("run", "expected_mm"), [(2.0, 0.295), (4.0, 0.371), (6.0, 0.425), (10.0, 0.504)]
)
def test_the_film_at_the_end_of_a_run(run: float, expected_mm: float) -> None:
    """Reference values, derived: 75 mm/h at 30 degrees, within 3 %. Every second drop stands for two."""
    charts = plane(run, 40)
    drops = rain(charts, 6000, seed=3, rain_m_s=RAIN)
    film = thickness(charts, flow_of(charts, drops, np.arange(0, len(drops), 2)))
    at_the_end = (middles(charts)[:, 1] < run / 40) & (np.arange(len(film)) % 2 == 0)
    assert film[at_the_end].mean() * 1e3 == pytest.approx(expected_mm, rel=0.03)
    # Nothing runs on the dry side.
    assert (film[1::2] == THINNEST).all()


def test_flow_grows_with_the_run_above() -> None:
    """Derived: q = rain times plan run above, in the mean over each row of cells, where four in five drops
    are left out at random; within three standard errors of a row's count."""
    charts = plane(4.0, 20)
    drops = rain(charts, 20_000, seed=4, rain_m_s=RAIN)
    rows = np.flatnonzero(np.random.default_rng(1).random(len(drops)) < 0.2)
    flow = flow_of(charts, drops, rows)[::2]
    row = np.floor(middles(charts)[::2, 1] / 0.2).astype(int)
    mean = np.bincount(row, weights=flow) / np.bincount(row)
    above = 4.0 - 0.2 * (np.arange(20) + 0.5)
    error = 3 / np.sqrt(len(rows) * above / 4.0)
    assert (np.abs(mean / (RAIN * above) - 1) < error).all()


def test_one_drop_counts_by_the_length_of_its_run() -> None:
    """Derived: flow times length over area, on both faces that a drop crosses; ENOUGH equal ones are
    sent, so that neither face looks at the other."""
    charts = plane(1.0, 1, across=1)
    start = np.tile([0.25, 0.75, 2.0], (ENOUGH, 1))
    drops = place(charts, start, (0, 0, -1), flow=1e-6)
    rows = np.arange(ENOUGH)
    flow = flow_of(charts, drops, rows)[::2]
    # The diagonal x = y parts the cell: 0.5 m in plan on the upper face, 0.25 m on the lower.
    upper = middles(charts)[::2, 1] > 0.5
    expected = ENOUGH * 1e-6 * np.where(upper, 0.5, 0.25) / 0.5
    assert_allclose(flow, expected, rtol=1e-4)


def test_runs_along_a_crease_make_no_film() -> None:
    """A valley takes all the water of its two sides; the film on them is theirs alone, not the rill's.
    Derived: the run on a side is 1 m across in plan, and as much longer as it falls aslant."""
    grid = np.linspace(-1, 1, 9).tolist(), np.linspace(0, 4, 9).tolist()
    charts = Charts.of(Assembly((sheet(valley, *grid),)))
    drops = rain(charts, 8000, seed=5, rain_m_s=RAIN)
    film = thickness(charts, flow_of(charts, drops, np.arange(len(drops))))
    tilt = np.hypot(np.tan(THIRTY), 0.2)
    run = np.hypot(1.0, 0.2 / np.tan(THIRTY))
    most = nusselt_thickness(RAIN * run, pull_on(np.arctan(tilt)))
    assert film.max() < 1.1 * most


def test_few_drops_give_an_even_film() -> None:
    """60 drops on 1600 faces: most faces are crossed by none or one. Own check: faces that look at
    neighbours have the true film to 0.3 of it (standard deviation; 0.44 without), hardly any is left
    without water (29 % without), and the mean is right within 7 %."""
    charts = plane(4.0, 40, across=20)
    drops = rain(charts, 60, seed=6, rain_m_s=RAIN)
    film = thickness(charts, flow_of(charts, drops, np.arange(len(drops))))[::2]
    share = film / nusselt_thickness(RAIN * (4 - middles(charts)[::2, 1]), pull_on(THIRTY))
    assert share.mean() == pytest.approx(1.0, abs=0.07)
    assert share.std() < 0.32
    assert (film == THINNEST).mean() < 0.08


def test_level_and_upright_charts_have_bounds() -> None:
    """Derived: no film where no water runs is under the thinnest; on a level sheet water that runs is a
    puddle, 2 sqrt(sigma / rho g) sin(45 degrees) = 3.86 mm high at a contact angle of 90 degrees."""
    charts = Charts.of(Assembly((box((0, 0, 0), (1, 1, 1)),)))
    film = thickness(charts, np.full(len(charts.normals), 1e-3))
    level = np.abs(charts.normals[:, 2]) > 0.5
    assert_allclose(film[level], 3.86e-3, rtol=1e-3)
    assert_allclose(film[~level], nusselt_thickness(1e-3, 9.80665))
    assert film[~level].max() < THICKEST
    assert (thickness(charts, np.zeros(len(charts.normals))) == THINNEST).all()
    # 0.05 mm is what the first 10 mm of a plane at 30 degrees carry.
    assert float(nusselt_thickness(RAIN * 0.01, pull_on(THIRTY))) == pytest.approx(5e-5, rel=0.01)


def test_the_same_bytes_whatever_the_threads() -> None:
    """Sums are made in the order of the rows."""
    charts = plane(2.0, 10)
    drops = rain(charts, 1000, seed=7, rain_m_s=RAIN)
    rows = np.arange(len(drops))
    one, two = (
        flow_per_width(charts, drops, record(charts, drops, rows, threads=k), rows, 1.0)
        for k in (1, 2)
    )
    assert one.tobytes() == two.tobytes()


def test_wrong_rows_and_scales_are_refused() -> None:
    """Our own wording: what, rule, value."""
    charts = plane(1.0, 1)
    drops = rain(charts, 10, seed=8, rain_m_s=RAIN)
    paths: Paths = record(charts, drops, np.arange(5))
    with pytest.raises(SceneError, match=r"paths must be 4, one a row\. Got paths = 5"):
        flow_per_width(charts, drops, paths, np.arange(4), 1.0)
    with pytest.raises(SceneError, match=r"scale must be at least 1. Got scale = 0\.5"):
        flow_per_width(charts, drops, paths, np.arange(5), 0.5)


def test_no_drops_no_flow() -> None:
    """Nothing recorded: every film is the thinnest."""
    charts = plane(1.0, 1)
    drops = rain(charts, 10, seed=8, rain_m_s=RAIN)
    none = np.zeros(0, dtype=np.int64)
    flow = flow_per_width(charts, drops, record(charts, drops, none), none, 1.0)
    assert (flow == 0).all()
    assert (thickness(charts, flow) == THINNEST).all()
