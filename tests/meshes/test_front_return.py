"""The side flashing's return onto the stack's front face: its edges close the corner to the apron."""

from __future__ import annotations

from math import radians, tan
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from meshes.build import build, pieces
from meshes.piece import TIGHT, Piece
from meshes.spec import Sides
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import place
from sim.trace import record, trace
from tests.meshes.crossings import distances
from tests.meshes.details import COVERINGS, ORDERS, detail

CORNER = 0.295  # x of the stack's right front corner [m]
EAVES = -0.9  # y above which the underlay must stay dry [m]
GRAVITY = 9.80665


def corners(piece: Piece, name: str) -> NDArray[np.float64]:
    """Corners (k, 3) of the facet named."""
    row = piece.facets.polygons[piece.facets.names.index(name)]
    return piece.facets.points[list(row)]


@pytest.mark.parametrize("covering", COVERINGS)
@pytest.mark.parametrize("pitch", [20, 40, 50])
@pytest.mark.parametrize("fit", ["dressed", "resting"])
def test_lips_lie_on_the_apron(covering: str, pitch: float, fit: str) -> None:
    """Exact geometry: every lip's free edge lies within 2 um of the apron, along its whole length, and
    the return's foot too; the cover's own edge is a gap off (0.6 mm or more). Past the stack's corner,
    beside the nose of the turn-in, the top lip has no apron to lie on for a fifth of a gap.
    """
    told: dict[str, Any] = {"cover_fit": fit}
    made = pieces(detail(pitch, covering, **told))
    apron = made["apron"].part()
    side = made["right"]
    front = corners(side, "front return")[:, 1].max()
    for name in ("return top lip", "return inner lip"):
        lip = corners(side, name)
        free = lip[lip[:, 1] > front + 1e-9]
        assert len(free) >= 2
        points = _along(free)
        assert distances(points[points[:, 0] <= CORNER], apron).max() < 2 * TIGHT, name
        assert free[:, 0].max() < CORNER + 0.21e-3
    foot = corners(side, "front return")
    foot = foot[foot[:, 2] < foot[:, 2].min() + 1e-9]
    assert distances(_along(foot), apron).max() < 2 * TIGHT
    below = distances(corners(side, "cover lip"), apron)
    assert (below < 2 * TIGHT).sum() >= len(below) // 2 - 1
    assert ((below < 2 * TIGHT) | (below > 0.0006)).all()


def _along(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points between each two that follow each other, in order of x and z."""
    ordered = points[np.lexsort([points[:, 2], points[:, 0]])]
    shares = np.linspace(0, 1, 11)[:, None, None]
    return (ordered[:-1] + shares * (ordered[1:] - ordered[:-1])).reshape(-1, 3)


@pytest.mark.parametrize("pitch", [20, 40, 60])
def test_the_top_edge_falls_away_from_the_corner(pitch: float) -> None:
    """Own choice, 30 degrees: in front of the stack, and from the turn-in's nose on, which it joins."""
    side = pieces(detail(pitch))["right"]
    lip = corners(side, "return top lip")
    outer, inner = lip[:, 0] > CORNER, lip[:, 0] < CORNER
    run = np.ptp(lip[:, 0])
    fall = lip[outer, 2].max() - lip[inner, 2].max()
    assert fall == pytest.approx(run * tan(radians(30)), rel=1e-9)
    nose = corners(side, "turn-in")
    on_nose = [p for p in lip[outer] if np.linalg.norm(nose - p, axis=1).min() < 1e-9]
    assert len(on_nose) == 2


def test_a_longer_return_keeps_half_its_height() -> None:
    """Own edge case: on a 90 mm return the fall would use up the upstand."""
    side = pieces(detail(40, sides=Sides(corner_return=0.09, upstand=0.03)))["right"]
    front = corners(side, "front return")
    inner = front[front[:, 0] < front[:, 0].min() + 1e-9]
    whole = front[:, 2].max() - front[:, 2].min()
    assert np.ptp(inner[:, 2]) == pytest.approx(whole / 2, abs=1e-4)


def test_a_return_tucked_under_the_apron_has_no_lips() -> None:
    """Practice: what lies under the apron's upstand can't be dressed down onto it."""
    side = pieces(detail(40, order=ORDERS["apron over sides"]))["right"]
    assert "front return" in side.facets.names
    assert not [name for name in side.facets.names if "lip" in name]


@pytest.mark.parametrize("push", [2.0, 6.0, 20.0])
@pytest.mark.parametrize("mirror", [1.0, -1.0])
@pytest.mark.parametrize("covering", COVERINGS)
def test_water_pushed_to_the_corner_runs_off_over_the_return(
    covering: str, mirror: float, push: float
) -> None:
    """Derived: what runs down the apron's upstand above the return, or down its cover beside it, and is
    pushed up the slope and at the corner by up to twice its weight, stays on top. Without lips much of
    it ran in behind the return, round the corner and off the apron's return onto the underlay. (At the
    eaves, far below, what is pushed up the slope drips onto it.)"""
    made = build(detail(40, covering))
    charts = Charts.of(made, (mirror * push, 3.0, -GRAVITY))
    x = np.linspace(0.22, 0.2945, 150) * mirror
    on_the_upstand = np.column_stack([x, np.full(150, -0.1), np.full(150, 0.11)])
    on_the_cover = np.column_stack([x, np.full(150, -0.05), np.full(150, 0.3)])
    for start, way in ((on_the_upstand, (0.0, 1.0, 0.0)), (on_the_cover, (0.0, 0.0, -1.0))):
        drops = place(charts, start, way)
        assert len(drops) == 150
        paths = record(charts, drops, np.arange(150))
        underlay = [part.name for part in made].index("underlay")
        under = charts.part[paths.chart] == underlay
        assert not (under & (paths.points[:, 1] > EAVES)).any()
        assert (trace(charts, drops).fate != Fate.INSIDE).all()
