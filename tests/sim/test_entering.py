"""Where paths get in, on sheets for which it is known."""

from __future__ import annotations

import numpy as np
import pytest

from meshes.parts import Assembly, Role
from sim.charts import Charts
from sim.entering import entering
from sim.fates import Fate
from sim.leaks import find_leaks
from sim.rain import place
from sim.trace import record, trace
from tests.sim.sheets_for_laps import along, on_slope
from tests.sim.test_leaks import DOWN, OFF, PITCH, below, row, run_under


def test_a_path_gets_in_under_the_edge_that_it_runs_under() -> None:
    """Exact: the top edge of the flashing lies at 0.6 m up the slope. Two computations: within a milli-
    metre the place that the leak is told at. Points before it lie higher up, those after it lower."""
    charts = Charts.of(Assembly(tuple(run_under())))
    drops = place(charts, row(12, 0.9, 1.0), DOWN)
    ends = trace(charts, drops)
    paths = record(charts, drops, np.arange(len(drops)))
    how = entering(charts, paths, ends.fate)
    assert np.isfinite(how.gets_in).all()
    there = how.there(paths.points)
    assert there[:, 1] == pytest.approx(0.6 * np.cos(PITCH), abs=2e-3)
    (leak,) = find_leaks(charts, drops, ends)
    assert np.abs(there[:, 1:] - leak.point[1:]).max() < 1e-3
    times = np.arange(len(paths.points), dtype=float)
    assert how.times(times) == pytest.approx(how.gets_in)
    for k, at in enumerate(how.gets_in):
        heights = paths.points[paths.start[k] : paths.start[k + 1], 2]
        before = int(at) - paths.start[k] + 1
        assert (heights[:before] >= there[k, 2] - 1e-9).all()
        assert (heights[before:] <= there[k, 2] + 1e-9).all()


def test_what_runs_behind_and_out_again_never_gets_in() -> None:
    """Exact: a flashing 1 mm over the covering from 0.2 to 0.6 m; the pieces between its ends are behind it,
    and only for drops that come down beside x = -0.1."""
    tiles = along(on_slope(PITCH, -0.5, 1.2), -0.5, 0.5, name="covering", role=Role.COVERING)
    sheet = along(on_slope(PITCH, 0.2, 0.6, OFF), -0.1, 0.5, name="soaker")
    charts = Charts.of(Assembly((tiles, sheet)))
    drops = place(charts, row(20, 0.9, 1.0), DOWN)
    ends = trace(charts, drops)
    paths = record(charts, drops, np.arange(20))
    how = entering(charts, paths, ends.fate)
    assert np.isinf(how.gets_in).all()
    assert np.isinf(how.times(np.zeros(len(paths.points)))).all()
    for k, first in enumerate(paths.start[:-1]):
        assert how.behind[first : paths.start[k + 1]].any() == (drops.points[k, 0] > -0.1)


def test_rain_straight_onto_the_underlay_is_in_from_its_beginning() -> None:
    charts = Charts.of(Assembly((below(),)))
    drops = place(charts, row(3, 0.0, 1.0), DOWN)
    ends = trace(charts, drops)
    assert set(ends.fate) == {Fate.UNDERLAY}
    paths = record(charts, drops, np.arange(3))
    assert entering(charts, paths, ends.fate).gets_in.tolist() == paths.start[:-1].tolist()


def test_every_path_needs_its_fate() -> None:
    charts = Charts.of(Assembly((below(),)))
    drops = place(charts, row(3, 0.0, 1.0), DOWN)
    paths = record(charts, drops, np.arange(3))
    with pytest.raises(ValueError, match="Got 2"):
        entering(charts, paths, np.array([Fate.SHED] * 2))
