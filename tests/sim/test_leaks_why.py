"""The course of a leak's water against exact geometry, and the sentences that tell it."""

from __future__ import annotations

import re
from dataclasses import replace
from math import cos, hypot, inf, pi, radians, sin

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from meshes.build import build
from meshes.parts import Assembly, Part, Role
from sim.blown import Wind, blown
from sim.charts import Charts
from sim.fates import Fate
from sim.ground import Ground
from sim.leaks import Leak, find_leaks, leaks_of_paths
from sim.leaks_came import worth_telling
from sim.leaks_causes import Cause
from sim.leaks_edge import Edge, edge_passed, way_under
from sim.leaks_figures import amount_words, gust_words, mm
from sim.leaks_run import Stretch
from sim.ponds import Ponds
from sim.rain import place, rain
from sim.site import Site
from sim.spills import Spills
from sim.storm import weather_the
from sim.trace import Paths, record, trace
from sim.wind import stagnation_pressure
from tests.sim.hollows import basin
from tests.sim.lapped import THIN, first_leak, head_lap, side_lap
from tests.sim.sheets_for_laps import along, on_slope
from tests.sim.test_leaks import (
    COTTAGE,
    WRONG,
    behind_upstand,
    leaks_of,
    rained_on,
    row,
    run_under,
)

PITCH = radians(30)
GRAVITY = 9.80665
START = 0.9 / cos(PITCH)
"""How far up the slope drops start that come down at y = 0.9 [m]."""
LONGEST = 200


def sentences(text: str) -> list[str]:
    """A text cut at full stops that end a sentence."""
    return re.split(r"(?<=\.) (?=[A-Z])", text)


def reads_well(leak: Leak) -> None:
    """Two to four sentences of at most 200 letters that name the parts, with figures and no gaps."""
    told = sentences(leak.why)
    assert 2 <= len(told) <= 4, leak.why
    assert all(sentence.endswith(".") for sentence in told), leak.why
    assert max(map(len, told)) <= LONGEST, leak.why
    for part in leak.parts:
        assert f"the {part}" in leak.why, (part, leak.why)
    assert not re.search(r"\bnan\b|\binf\b|  |\bNone\b| ,|\.\.", leak.why), leak.why
    assert re.search(r"\d", leak.why), leak.why


def test_the_course_of_water_under_an_upper_edge() -> None:
    """Derived, 30 degrees: it runs from 1.039 to 0.6 m up the slope, beneath the sheet, 1 mm off, on to
    0.3 m, which is 150 mm lower, and falls from there onto the cloth."""
    (leak,), _, _ = leaks_of(run_under(), row(40, 0.9, 1.0))
    course = leak.course
    assert [(one.part, one.fall) for one in course.run] == [("covering", 0.0)]
    assert course.run[0].length == pytest.approx(START - 0.6, abs=2e-3)
    assert (course.landed_on, course.edge) == ("covering", Edge.UPPER)
    assert course.slit == pytest.approx(0.001, abs=1e-6)
    assert course.beneath.length == pytest.approx(0.3, abs=3e-3)
    assert course.beneath.inward == pytest.approx(0.3, abs=3e-3)
    assert course.beneath.sank == pytest.approx(0.15, abs=2e-3)
    assert (course.beneath.rise, course.blown, course.push, course.depth) == (0.0, 0.0, 0.0, 0.0)
    assert course.beneath.pressure == pytest.approx(0.0, abs=1e-6)
    assert course.lower == pytest.approx(course.beneath.sank + course.fell, abs=2e-3)
    reads_well(leak)
    for words in ("440 mm along it", "upper edge of the soaker", "1 mm above the covering",
                  "300 mm in from the edge", "150 mm lower", "100 % of the rain"):  # fmt: skip
        assert words in leak.why


def test_the_course_of_water_behind_an_upstand() -> None:
    """Derived: it meets the wall at 0.4 m, runs down it to the upstand's top at 0.15 m, 3 mm before the
    wall, down behind it to the wall's foot and falls 0.35 m."""
    (leak,), _, _ = leaks_of(behind_upstand(), row(10, -1.0, 0.5), (0.0, 1.0, -0.1))
    course = leak.course
    assert course.run[0].length == pytest.approx(0.25, abs=2e-3)
    assert course.slit == pytest.approx(0.003, abs=1e-6)
    assert course.edge is Edge.UPPER
    assert course.fell == pytest.approx(0.35, abs=2e-3)
    assert course.lower == pytest.approx(0.50, abs=2e-3)
    assert course.landed_at == "front"
    reads_well(leak)
    for words in ("lands on the front of the wall", "250 mm down it", "stands 3 mm off the wall",
                  "runs down 150 mm", "falls about 350 mm", "reaches the loft"):  # fmt: skip
        assert words in leak.why


@pytest.mark.parametrize("wide", [0.0015, 0.004])
def test_the_slit_is_that_of_the_mesh(wide: float) -> None:
    """Derived: the sheet over water at the way in is as far off as it was put."""
    tiles = along(on_slope(PITCH, 0.3, 1.2), -0.5, 0.5, name="covering", role=Role.COVERING)
    sheet = along(on_slope(PITCH, -0.2, 0.6, wide), -0.5, 0.5, name="soaker")
    (leak,), _, _ = leaks_of([tiles, sheet, run_under()[2]], row(8, 0.9, 1.0))
    assert leak.course.slit == pytest.approx(wide, abs=1e-6)
    assert f"{mm(wide)} above the covering" in leak.why


def test_a_push_moves_water_aside_by_its_share_of_the_drive() -> None:
    """Derived: on a face at pitch t water runs along (push, g sin t), so of a run of length L it moves
    L push / sqrt(push^2 + (g sin t)^2) aside."""
    charts = Charts.of(Assembly(tuple(run_under())), (-2.0, 0.0, -GRAVITY))
    drops = place(charts, row(9, 0.9, 1.0, half=0.05), (0.0, 0.0, -1.0))
    (leak,) = find_leaks(charts, drops, trace(charts, drops))
    course = leak.course
    down = START - 0.6
    assert course.push == pytest.approx(2.0)
    assert course.blown == pytest.approx(down * 2.0 / (GRAVITY * sin(PITCH)), rel=0.01)
    assert course.run[0].length == pytest.approx(hypot(down, course.blown), rel=0.01)
    reads_well(leak)
    assert f"the push moves it {mm(course.blown)} aside" in leak.why
    assert "the push of 2 m/s2" in leak.why


def test_water_that_goes_across_more_than_down_is_said_to() -> None:
    """Derived: under a push of 12 m/s2 a run at 30 degrees goes 12 aside for every 4.9 down it, which is
    93 % of its length, so that no words tell of a fall."""
    charts = Charts.of(Assembly(tuple(run_under())), (-12.0, 0.0, -GRAVITY))
    drops = place(charts, row(5, 0.56, 1.0, half=0.02) + np.array([0.3, 0, 0]), (0.0, 0.0, -1.0))
    (leak,) = find_leaks(charts, drops, trace(charts, drops))
    run = leak.course.run[0].length
    assert leak.course.blown / run == pytest.approx(12 / hypot(12, GRAVITY * sin(PITCH)), rel=0.01)
    reads_well(leak)
    assert f"on the covering is pushed about {mm(run)} across it." in leak.why


def decided(assembly: Assembly, from_angle: float, size: float) -> tuple[Leak, float]:
    """The leak of the first gust [m/s] that lets water in, and that gust."""
    found = first_leak(assembly, from_angle, size=size)
    assert found.path is not None
    assert found.fate is not None
    assert found.charts is not None
    (leak,) = leaks_of_paths([found.charts], found.path, [found.fate])
    return leak, found.gust


def test_the_course_of_water_that_a_wind_drives_up_a_lap() -> None:
    """Derived: up a lap of 60 mm at 30 degrees it rises 30 mm, under the whole stagnation pressure,
    which in the lap's middle falls evenly from the open edge to the head. 24 m/s is more than the 22.1
    m/s that lift water so far, and its drag moves films uphill."""
    site = Site.of(head_lap(30, 0.06), size=0.015)
    film = np.full(2 * len(site.ground.surface.faces), THIN)
    (blows,) = site.blows([0.0])
    wind = Wind(24.0, 0.0)
    charts = blown(site.ground, blows, wind, film, still=site.still, ponds=site.ponds)
    drops = place(charts, row(3, -0.03, 0.5, half=0.02), (0.0, 0.0, -1.0))
    (leak,) = find_leaks(charts, drops, trace(charts, drops))
    under = leak.course.beneath
    assert leak.cause is Cause.DRIVEN_UP_A_LAP
    assert leak.course.edge is Edge.LOWER
    assert under.rise == pytest.approx(0.030, abs=0.002)
    assert under.inward == pytest.approx(0.060, abs=0.003)
    assert under.pressure == pytest.approx(wind.stagnation, rel=0.05)
    assert under.lift == pytest.approx(998.2 * GRAVITY * under.rise)
    reads_well(leak)
    assert f"The wind lifts it {mm(under.rise)}" in leak.why
    assert f"takes a gust of {gust_words(under.lift)}" in leak.why


def test_the_course_of_water_that_a_wind_pushes_across_a_lap() -> None:
    """Derived: pushed across a side lap 40 mm wide it gets 40 mm in, by the whole stagnation pressure,
    which falls evenly across the lap away from its ends."""
    leak, gust = decided(side_lap(30, 0.04, 0.6), pi / 2, 0.015)
    under = leak.course.beneath
    assert leak.cause is Cause.BLOWN_ACROSS
    assert leak.course.edge is Edge.SIDE
    assert under.inward == pytest.approx(0.040, abs=0.003)
    assert under.sank > 5 * under.inward * sin(PITCH)
    assert under.pressure == pytest.approx(stagnation_pressure(gust), rel=0.1)
    reads_well(leak)
    assert f"{mm(under.sank)} lower" in leak.why
    assert f"about that of {mm(under.pressure / (998.2 * GRAVITY))} of water" in leak.why


def test_every_path_is_told_in_its_own_wind() -> None:
    """Derived: across one side lap 24 and 48 m/s press as their stagnation pressures do, one to four, and
    each is told so when both are told at once; as many charts as paths, or none is told."""
    site = Site.of(side_lap(30, 0.04, 0.6), size=0.015)
    film = np.full(2 * len(site.ground.surface.faces), THIN)
    (blows,) = site.blows([pi / 2])
    charts, paths, fates = [], [], []
    for gust in (24.0, 48.0):
        wind = Wind(gust, pi / 2)
        own = blown(site.ground, blows, wind, film, still=site.still, ponds=site.ponds)
        drops = place(own, [(0.005, 0.4, 0.5)], (0.0, 0.0, -1.0))
        fates.append(Fate(int(trace(own, drops).fate[0])))
        charts.append(own)
        paths.append(record(own, drops, np.array([0])))
    assert set(fates) == {Fate.INSIDE}
    calmer, wilder = leaks_of_paths(charts, Paths.joined(paths), fates)
    for leak, gust in ((calmer, 24.0), (wilder, 48.0)):
        assert leak.course.beneath.pressure == pytest.approx(stagnation_pressure(gust), rel=0.1)
    assert wilder.why != calmer.why
    with pytest.raises(ValueError, match="2 paths need as many charts"):
        leaks_of_paths(charts[:1], Paths.joined(paths), fates)


@pytest.mark.parametrize("side", [1, -1])
def test_under_a_flap_the_way_in_goes_with_the_water(side: int) -> None:
    """Derived: a flap that stands across a slope, its edge down the fall line, is gone under level, to the
    side that the water goes; a sheet that lies on the slope keeps its own way in."""
    water = np.array([0.0, -sin(PITCH), cos(PITCH)])
    up_the_flap, flap = np.array([0.0, -sin(PITCH), cos(PITCH)]), np.array([1.0, 0.0, 0.0])
    moves = np.array([-0.04 * side, -0.01, -0.006])
    found = way_under(up_the_flap, flap, water, moves)
    assert found == pytest.approx([-side, 0.0, 0.0], abs=1e-12)
    assert edge_passed(found, water) is Edge.SIDE
    assert way_under(flap, water, water, moves) is flap


def test_the_depth_of_the_water_that_a_leak_came_out_of() -> None:
    """Derived: a basin stands 250 mm deep before it spills over the lowest place of its rim, and what
    spills falls 750 mm, past the rim, onto what must stay dry 500 mm below the floor."""
    loft = along([(-2.0, -0.5), (2.0, -0.5)], -2.0, 2.0, name="loft", role=Role.INSIDE)
    bowl = basin()
    sheet = Part("bowl", Role.FLASHING, bowl.vertices, bowl.faces[:, ::-1])
    ground = Ground.of(Assembly((sheet, loft)))
    bare = Charts.on(ground)
    charts = bare.going_on(Spills(Ponds.of(bare)))
    drops = place(charts, [(0.1, 0.0, 1.0), (-0.1, 0.1, 1.0)], (0.0, 0.0, -1.0))
    ends = trace(charts, drops)
    assert set(ends.fate) == {Fate.INSIDE}
    leaks = find_leaks(charts, drops, ends)
    assert {leak.cause for leak in leaks} == {Cause.OVERTOPPED}
    for leak in leaks:
        assert leak.course.depth == pytest.approx(0.25, abs=1e-6)
        assert leak.course.lower == pytest.approx(0.75, abs=2e-3)
        reads_well(leak)
        assert "stands 250 mm deep on the bowl" in leak.why


def test_a_fall_from_one_part_to_the_next_is_told() -> None:
    """Derived: off a sheet that ends 1 m over the covering water falls that far, less what the slope
    rises, and runs on there."""
    board = along([(0.7, 1.40), (0.9, 1.42)], -0.2, 0.2, name="board", role=Role.STACK)
    (leak,), _, _ = leaks_of([*run_under(), board], row(5, 0.85, 2.0, half=0.1))
    first, second = leak.course.run
    assert (first.part, second.part) == ("board", "covering")
    assert first.length == pytest.approx(hypot(0.15, 0.015), abs=1e-3)
    assert second.fall == pytest.approx(1.40 - 0.7 * np.tan(PITCH), abs=2e-3)
    assert second.length == pytest.approx(0.7 / cos(PITCH) - 0.6, abs=2e-3)
    reads_well(leak)
    assert f"falls {mm(second.fall)} onto the covering" in leak.why


def test_a_part_that_is_left_for_next_to_nothing_is_told_once() -> None:
    """Derived: 0.2 m and 0.1 m on one wall, with 1 mm on a sheet between them, are 0.3 m down the wall; a
    fall between them stays."""
    wall, sheet = Stretch("wall", Role.STACK, 0.2, 0.0), Stretch("sheet", Role.FLASHING, 0.001, 0.0)
    again = Stretch("wall", Role.STACK, 0.1, 0.0)
    (told,) = worth_telling((wall, sheet, again))
    assert (told.part, told.length) == ("wall", pytest.approx(0.3))
    assert len(worth_telling((wall, sheet, replace(again, fall=0.4)))) == 2


@pytest.mark.parametrize(
    ("into", "edge"),
    [((0, -1), Edge.UPPER), ((0, 1), Edge.LOWER), ((1, 0), Edge.SIDE), ((-1, 0), Edge.SIDE)],
)
@pytest.mark.parametrize("pitch_deg", [5, 40, 89])
@pytest.mark.parametrize("side", [1, -1])
def test_which_edge_it_is(into: tuple[int, int], edge: Edge, pitch_deg: int, side: int) -> None:
    """Derived: from its upper edge a sheet falls away, from its lower one it rises, whichever side."""
    pitch = radians(pitch_deg)
    up = np.array([0.0, cos(pitch), sin(pitch)])
    inward = into[0] * np.array([1.0, 0.0, 0.0]) + into[1] * up
    normal = side * np.array([0.0, -sin(pitch), cos(pitch)])
    assert edge_passed(inward, normal) is edge


def test_a_level_sheet_has_no_upper_edge() -> None:
    """Derived: nothing falls on it."""
    assert edge_passed(np.array([1.0, 0, 0]), np.array([0, 0, 1.0])) is Edge.NONE


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None)
@given(st.floats(0.0005, 20.0))
def test_lengths_are_rounded_by_little(length: float) -> None:
    """Derived: to one millimetre at 3 mm, to five at 20, to ten at 100: never by more than a sixth."""
    told = float(mm(length).removesuffix(" mm").replace(",", "")) / 1000
    assert told == pytest.approx(length, rel=0.17)
    assert told == pytest.approx(length, abs=0.005 + 1e-9)


@pytest.mark.parametrize(
    ("length", "told"),
    [(0.00123, "1.2 mm"), (0.001, "1 mm"), (0.0123, "12 mm"), (0.043, "45 mm"), (0.1437, "140 mm"),
     (1.2345, "1,230 mm")],
)  # fmt: skip
def test_lengths_as_they_are_told(length: float, told: str) -> None:
    """Derived from the steps of rounding."""
    assert mm(length) == told


@pytest.mark.parametrize("name", WRONG)
def test_every_leak_of_a_wrong_detail_reads_well(name: str) -> None:
    """The issue: two to four plain sentences with figures that name what the water ran along."""
    detail, weather, _, _ = WRONG[name]
    found, _, _, _ = rained_on(detail, drops=20000, **weather)
    assert found
    for leak in found:
        reads_well(leak)
        assert " is about " in leak.why
        assert ("% of the rain that lands" in leak.why) == (leak.share >= 0.001)


@pytest.mark.parametrize(
    ("share", "ml_min", "told"),
    [
        (0.19, 2860, "about 2.9 litres a minute, 19 % of the rain that lands"),
        (0.12, 996.0, "about 1 litre a minute, 12 % of the rain that lands"),
        (0.0893, 580.4, "about 580 ml a minute, 8.9 % of the rain that lands"),
        (0.0012, 8.14, "about 8.1 ml a minute, 0.12 % of the rain that lands"),
        (0.0009, 1.07, "about 21 drops a minute"),
        (0.0001, 0.46, "about 9 drops a minute"),
        (0.0001, 0.05, "about a drop a minute"),
        (0.00001, 0.01, "about a drop every 5 minutes"),
    ],
)
def test_amounts_as_a_householder_pictures_them(share: float, ml_min: float, told: str) -> None:
    """Derived from twenty drops to the millilitre; a share under a thousandth is left out."""
    assert amount_words(share, ml_min / 6e7) == told


def test_every_leak_in_a_wind_reads_well() -> None:
    """The issue, in 30 m/s of wind from the right at a cottage with short side covers: the figures of the
    lap stand beside those of the path, and no pressure is above that of the wind brought to rest."""
    short = replace(COTTAGE, sides=replace(COTTAGE.sides, cover=0.06))
    site = Site.of(build(short))
    fallen = rain(
        site.still, 3000, seed=0, rain_m_s=20 / 3.6e6, from_angle=pi / 2, wind_m_s=30.0
    )  # fmt: skip
    storm = weather_the(site, fallen, Wind(30.0, pi / 2))
    found = find_leaks(storm.charts, fallen, storm.trace)
    assert found
    for leak in found:
        reads_well(leak)
        assert leak.course.beneath.pressure < 1.05 * stagnation_pressure(30.0)
        assert leak.course.slit != inf
    across = [leak for leak in found if leak.cause is Cause.BLOWN_ACROSS and leak.course.lap]
    assert across
    assert "that the sheets lap there" in across[0].why
