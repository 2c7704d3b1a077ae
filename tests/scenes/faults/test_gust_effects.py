"""What every fault does to still rain and to the first-leak gust, and where a roofer would look."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenes.faults.asked import parsed
from scenes.faults.catalogue import CATALOGUE
from scenes.weather import CASES
from sim.fates import Fate
from tests.scenes.faults.effect_rows import ROWS, Box, Row
from tests.scenes.faults.weathered import Weathered, arrivals, ways_in, weathered

NEAR = 60.0
"""Leaks nearer to each other than this [mm] are one place."""
MOST = 0.6
"""Share of a leak's drops that come in at the place where a roofer would look: other places may leak
a little more too."""


def both(row: Row) -> tuple[Weathered, Weathered]:
    """The scene without the fault and with it."""
    beside = [row.beside] if row.beside else []
    return weathered(row.scene, *beside), weathered(row.scene, *beside, row.fault)


def share_within(points: NDArray[np.float64], box: Box) -> float:
    left, right, front, back = box
    x, y = points[:, 0], points[:, 1]
    return float(np.mean((x >= left) & (x <= right) & (y >= front) & (y <= back)))


def not_in(points: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """Those of the places (k, 3) that are near none of the others."""
    if not len(points) or not len(other):
        return points
    away = np.linalg.norm(points[:, None] - other[None], axis=2).min(axis=1)
    return points[away > NEAR]


def test_every_fault_has_a_row() -> None:
    """The issue: every fault has a test that shows what it does to the first-leak gust."""
    assert {parsed(row.fault).fault.name for row in ROWS} == {fault.name for fault in CATALOGUE}


def test_at_least_so_many_leak_in_some_weather_of_the_library() -> None:
    """The issue asks for 18; the test below shows of each that it leaks there, and where."""
    weathers = {case.name for case in CASES}
    leaking = [row for row in ROWS if row.weather]
    assert {row.weather for row in leaking} <= weathers
    assert all(row.where and row.effect != "none" for row in leaking)
    assert len({parsed(row.fault).fault.name for row in leaking}) >= 18


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_what_it_does_to_the_water_and_where(row: Row) -> None:
    """Reasoning about the detail, in the row; the same scene without the fault stands beside it, in the
    same weather. Where it leaks is practice: at the piece that is wrong."""
    right, wrong = both(row)
    if row.effect == "still":
        assert right.behind() == 0
        assert wrong.behind() > 0.001
    elif row.effect == "inside":
        assert right.behind(Fate.INSIDE) == 0
        assert wrong.behind(Fate.INSIDE) > 0.001
    else:
        assert right.behind() == wrong.behind() == 0
    if row.effect in ("gust", "none"):
        in_a_gust(row, right, wrong)
    if row.weather:
        in_its_weather(row, right, wrong)
    if row.short:
        more = wrong.laps_short() - right.laps_short()
        assert any(upper.startswith(row.short) for upper, _ in more)


def in_a_gust(row: Row, right: Weathered, wrong: Weathered) -> None:
    """Whether water at the open edges gets behind in the row's gust."""
    lets_in = wrong.mouths(row.gust, row.from_deg)
    assert len(right.mouths(row.gust, row.from_deg)) == 0
    assert (len(lets_in) > 0) == (row.effect == "gust")
    if row.effect == "none":
        assert len(right.mouths(row.more, row.from_deg)) > 0
    if row.effect == "gust" and row.where and not row.weather:
        assert share_within(lets_in, row.where) >= MOST


def in_its_weather(row: Row, right: Weathered, wrong: Weathered) -> None:
    """Whether it leaks where a roofer would look; leaks that the scene has without the fault, or near
    those, don't count."""
    if row.effect == "inside":
        before, after = arrivals(right), arrivals(wrong)
    else:
        before, after = (ways_in(made, row.weather, row.from_deg) for made in (right, wrong))
    fresh = not_in(after, before)
    assert len(fresh) > 1
    assert row.where is not None
    assert share_within(fresh, row.where) >= MOST
