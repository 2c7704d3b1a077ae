"""A stack through the ridge of a roof: rain on both slopes, water over both eaves, wind from all sides."""

from __future__ import annotations

from math import fsum, pi, radians, sqrt, tan

import numpy as np
import pytest

from meshes.parts import Assembly, Part
from sim.blown import Wind
from sim.charts import Charts
from sim.driving_rain import driving_rain
from sim.drop_sizes import MM_H, best_share_below, fall_speed
from sim.fates import Fate
from sim.findings import find
from sim.gust import first_leaks
from sim.laps import measure_laps
from sim.rain import rain
from sim.site import Site
from sim.storm import weather_the
from sim.surface import Surface
from sim.trace import trace
from tests.sim.shapes import box, sheet
from tests.sim.sheets_for_laps import along

RAIN, WIND, DROPS = 20 * MM_H, 12.0, 40_000
WIDE, DEEP = 2.0, 1.5  # of the roof, and of one slope in plan [m]
BROAD, LONG, TALL = 0.6, 0.4, 0.8  # the box, and its height over the ridge [m]


def gable(pitch_deg: float, *, lines: int = 2) -> Part:
    """z = -|y| tan(pitch)."""
    rise = tan(radians(pitch_deg))
    ys = np.append(-np.linspace(DEEP, 0, lines)[:-1], np.linspace(0, DEEP, lines))
    return sheet(lambda x, y: -rise * np.abs(y) + 0 * x, [-WIDE / 2, WIDE / 2], ys)


def stack() -> Part:
    return box((-BROAD / 2, -LONG / 2, -1.0), (BROAD / 2, LONG / 2, TALL), name="stack")


@pytest.mark.parametrize("pitch_deg", [17.5, 40])
def test_calm_rain_lands_on_both_slopes_and_leaves_over_both_eaves(pitch_deg: float) -> None:
    """Derived: 6 m2 in plan, halves alike; nothing is lost or unresolved, and nothing held but what
    stands on the level top of the box. To three standard errors."""
    charts = Charts.of(Assembly((gable(pitch_deg), stack())))
    drops = rain(charts, DROPS, seed=1, rain_m_s=RAIN)
    assert len(drops) == DROPS
    assert fsum(drops.flow) == pytest.approx(2 * WIDE * DEEP * RAIN, rel=1e-12)
    got = trace(charts, drops)
    on_top = drops.points[:, 2] > TALL - 1e-6
    assert (got.fate[on_top] == Fate.HELD).all()
    assert (got.fate[~on_top] == Fate.SHED).all()
    flow = drops.flow[~on_top]
    over = got.end[~on_top, 1]
    assert np.abs(over) == pytest.approx(DEEP, abs=3e-4)
    front, back = fsum(flow[over < 0]), fsum(flow[over > 0])
    assert front + back == pytest.approx(fsum(flow), rel=1e-12)
    assert front == pytest.approx(back, abs=3 * sqrt(fsum(flow**2)))
    # Neither slope's water crosses the ridge.
    assert (np.sign(over) == np.sign(drops.points[~on_top, 1])).all()


def by_size() -> tuple[np.ndarray, np.ndarray]:
    """Rain on a level area by drop size [m/s], and how far across each goes in one down."""
    edges = np.linspace(1e-4, 5.8e-3, 4001)
    below = best_share_below(edges, RAIN)
    below[0], below[-1] = 0.0, 1.0
    speed = fall_speed((edges[1:] + edges[:-1]) / 2)
    falling = np.diff(below) * speed
    return falling * (RAIN / falling.sum()), WIND / speed


@pytest.mark.parametrize("pitch_deg", [17.5, 40])
@pytest.mark.parametrize("from_deg", [0, 50, 90, 180])
def test_each_slope_catches_by_its_own_pitch(pitch_deg: float, from_deg: float) -> None:
    """Derived: 1 + s tan(pitch) cos(turned) an area in plan of the slope that looks to the wind, 1 less
    that of the other, nil for drops flatter than it; by Best's shares, integrated. To three standard
    errors."""
    charts = Charts.of(Assembly((gable(pitch_deg),)))
    drops = rain(charts, DROPS, seed=3, rain_m_s=RAIN, wind_m_s=WIND, from_angle=radians(from_deg))
    falling, across = by_size()
    for side in (-1, 1):
        onto = -side * np.cos(radians(from_deg)) * tan(radians(pitch_deg))
        due = WIDE * DEEP * fsum(falling * np.maximum(0.0, 1 + across * onto))
        mine = drops.flow[drops.points[:, 1] * side > 0]
        assert fsum(mine) == pytest.approx(due, abs=3 * sqrt(fsum(mine**2)))


@pytest.mark.parametrize("pitch_deg", [17.5, 40])
@pytest.mark.parametrize("from_deg", [0, 90, 180])
def test_the_faces_of_a_stack_on_the_ridge_catch_the_driving_rain(
    pitch_deg: float, from_deg: float
) -> None:
    """Derived: a face square to the wind gets wind x rain / mean fall speed an area; one behind
    nothing; within three standard errors, though its shadow ends beyond the eaves."""
    charts = Charts.of(Assembly((gable(pitch_deg), stack())))
    drops = rain(charts, DROPS, seed=1, rain_m_s=RAIN, wind_m_s=WIND, from_angle=radians(from_deg))
    normal = charts.normals[drops.chart]
    drop = LONG / 2 * tan(radians(pitch_deg))
    area = {0: BROAD * (TALL + drop), 90: LONG * (TALL + drop / 2), 180: BROAD * (TALL + drop)}
    toward = np.array([np.sin(radians(from_deg)), -np.cos(radians(from_deg))])
    lit = (charts.part[drops.chart] == 1) & (normal[:, :2] @ toward > 0.5)
    got, error = fsum(drops.flow[lit]), sqrt(fsum(drops.flow[lit] ** 2))
    due = driving_rain(RAIN, WIND) * area[from_deg]
    assert error < 0.08 * due
    assert got == pytest.approx(due, abs=3 * error)
    assert not ((charts.part[drops.chart] == 1) & (normal[:, :2] @ toward < -0.5)).any()


def test_in_a_valley_no_drop_counts_twice() -> None:
    """Derived: rain at 60 degrees from the upright doesn't come down on a slope of 45 that looks away
    from it; the one that looks to it gets 1 + tan 60 an area in plan, down to where the other's edge,
    1 m up, shades it: to (tan 60 - 1) / (tan 60 + 1) m from the valley. To three standard errors."""
    made = sheet(lambda x, y: np.abs(y) + 0 * x, [-1, 1], [-1, 0, 1])
    charts = Charts.of(Assembly((made,)))
    drops = rain(charts, 20_000, seed=1, rain_m_s=RAIN, slant=radians(60), from_angle=0.0)
    shade = (tan(radians(60)) - 1) / (tan(radians(60)) + 1)
    assert drops.points[:, 1].min() == pytest.approx(shade, abs=1e-3)
    assert (drops.chart % 2 == 0).all()
    due = 2 * RAIN * (1 + tan(radians(60))) * (1 - shade)
    assert fsum(drops.flow) == pytest.approx(due, abs=3 * sqrt(fsum(drops.flow**2)))


def details(pitch_deg: float, *, cover: float = 0.15) -> Assembly:
    """Two covers, one on each slope, each standing up against the stack's face; and what must stay dry
    below the opening."""
    rise = tan(radians(pitch_deg))
    half, run = LONG / 2, cover * np.cos(radians(pitch_deg))
    parts = [gable(pitch_deg, lines=6), stack()]
    for side, name in ((-1, "front cover"), (1, "back cover")):
        line = [(half + run, -(half + run) * rise + 0.001), (half, -half * rise + 0.001)]
        line.append((half, 0.15 - half * rise))
        line = [(side * y, z) for y, z in line]
        ends = (-BROAD / 2 - 0.1, BROAD / 2 + 0.1)
        part = along(line if side < 0 else line[::-1], *ends, name=name)
        parts.append(part)
    return Assembly(tuple(parts))


@pytest.mark.parametrize("pitch_deg", [17.5, 40])
def test_covers_on_both_slopes_are_measured_on_their_own(pitch_deg: float) -> None:
    """By construction: 150 mm along each slope, at the front and at the back; a cover 60 mm short is 60
    mm short on either."""
    for cover, ok in ((0.15, True), (0.09, False)):
        laps = measure_laps(Surface.of(details(pitch_deg, cover=cover)))
        found = {lap.upper: lap for lap in laps if lap.lower == "roof" and lap.width > 0.5}
        assert {lap.where for lap in found.values()} == {"front", "back"}
        for lap in found.values():
            assert lap.length == pytest.approx(cover, abs=1e-3)
            assert lap.ok is ok


def test_the_whole_machinery_runs_on_a_ridge() -> None:
    """The contract: nothing is unresolved, in still air or in a wind; flows add up; both slopes have
    mouths, and winds from front and back do the same to a detail that is its own mirror image."""
    site = Site.of(details(30.0))
    drops = rain(site.still, 4000, seed=1, rain_m_s=RAIN)
    got = trace(site.still, drops)
    assert not (got.fate == Fate.UNRESOLVED).any()
    found = find(site.still, drops, got, ponds=site.ponds)
    assert fsum(row.share for row in found.water) == pytest.approx(1, abs=1e-12)
    for angle in (0.0, pi / 2, pi):
        blown_drops = rain(site.still, 2000, seed=1, rain_m_s=RAIN, wind_m_s=WIND, from_angle=angle)
        storm = weather_the(site, blown_drops, Wind(WIND, angle))
        assert not (storm.trace.fate == Fate.UNRESOLVED).any()
    film = np.full(2 * len(site.ground.surface.faces), 2e-4)
    front, side, back = first_leaks(site, [0.0, pi / 2, pi], film)
    assert front.gust == pytest.approx(back.gust, rel=0.02)
    assert side.gust > 0


def test_the_two_slopes_may_be_two_parts() -> None:
    """By construction: the same roof as two parts catches the same drops in the same places."""
    rise = tan(radians(30))
    halves = tuple(
        sheet(lambda x, y: -rise * np.abs(y) + 0 * x, [-1, 1], ys, name=name)
        for name, ys in (("front", [-DEEP, 0.0]), ("back", [0.0, DEEP]))
    )
    one, two = (
        rain(Charts.of(Assembly(parts)), 2000, seed=1, rain_m_s=RAIN, wind_m_s=WIND)
        for parts in ((gable(30.0), stack()), (*halves, stack()))
    )
    assert (one.drop == two.drop).all()
    assert one.points == pytest.approx(two.points, abs=1e-9)
    assert one.flow == pytest.approx(two.flow, rel=1e-9)
