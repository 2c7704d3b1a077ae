"""What a cure must not break, on constructed cases; and the gust that a detail tried stands."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import pi
from typing import cast

import pytest

from meshes.spec import Detail
from scenes.assemble import assemble
from scenes.cures.check import (
    Before,
    Checked,
    asks_too_much,
    check,
    falls_of,
    left_over,
    too_far,
    ways_round,
)
from scenes.cures.families import COVERING
from scenes.cures.made import Made
from scenes.cures.quest import Quest, Target, key_of
from scenes.cures.targets import round_
from scenes.cures.trial import InWind
from scenes.faults.apply import with_faults
from scenes.faults.on_order import moved_before
from scenes.gust import laps_of, searched
from scenes.scene import in_weather, load


@cache
def asked() -> tuple[Quest, Before]:
    """The cottage with an apron's cover 40 mm short, in still rain: one lap to cure."""
    scene = with_faults(load("cottage"), ["cover too narrow@front=40"])
    assembly = assemble(scene)
    made, laps = Made.of(scene, assembly), laps_of(assembly)
    (lap,) = [lap for lap in laps if not lap.ok]
    target = Target(
        lap.id, (), key_of(lap), round_(lap), lap.length - lap.needed, needed=lap.needed
    )
    quest = Quest(made, assembly, scene.weather, 600, 600, 0, (target,))
    return quest, Before(frozenset(), {}, laps, (), asks_too_much(made))


def checked(**changes: object) -> Checked:
    """The lap made good, with something else changed as well."""
    quest, before = asked()
    detail = quest.made.detail
    good = replace(detail, apron=replace(detail.apron, cover=0.150))
    return check(quest, before, quest.made.but(changed(good, **changes)), [0])


def changed(detail: Detail, **changes: object) -> Detail:
    for table, values in changes.items():
        piece = replace(getattr(detail, table), **values)  # type: ignore[call-overload]
        detail = replace(detail, **{table: piece})  # type: ignore[arg-type]
    return detail


def test_a_cure_that_breaks_nothing() -> None:
    """Exact: the cover of 150 mm makes a lap of 150 mm, and nothing else is worse."""
    got = checked()
    assert got.breaks == ""
    assert got.lengths == {("front apron", "covering", "front"): pytest.approx((0.150, 0.150))}


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"gutter": {"lap": 0.090}}, "the lap of the back gutter over the left side flashing"),
        ({"apron": {"cover": 0.130}}, "the lap of the front apron over the covering"),
        ({"apron": {"cover": 0.150, "overhang": 0.470}}, "material of the front apron"),
        ({"gutter": {"leg": 0.9}}, "can't be built"),
    ],
)
def test_what_is_not_offered(changes: dict[str, object], told: str) -> None:
    """Constructed: another lap made short, the lap itself not long enough, a piece of 1,530 mm of a
    material that comes in 1,500, and what there is no room for."""
    assert told in checked(**changes).breaks


def test_a_leak_elsewhere_is_not_offered() -> None:
    """Constructed: the lap is long enough, but a side now lies over the gutter, where water gets in."""
    quest, before = asked()
    detail = changed(quest.made.detail, apron={"cover": 0.150})
    turned = moved_before(detail, "gutter", "left")
    got = check(quest, before, quest.made.but(turned), [0])
    assert "water would get in elsewhere" in got.breaks
    assert "left" in got.breaks


def test_what_is_left_of_a_leak() -> None:
    """Exact: over 1 % of what each let in before is still a leak, whatever others let in; one that was not
    told before is none at all."""
    before = {"a": 0.100, "b": 0.002}
    assert left_over(["a", "b"], before, {"a": 0.0009, "b": 0.00001, "c": 0.2}) == []
    assert left_over(["a", "b"], before, {"a": 0.0011, "b": 0.0001}) == ["a", "b"]
    assert left_over(["d"], before, {"d": 1e-6}) == ["d"]


class Blown:
    """A detail in wind, as far as it is asked: what each direction stands [m/s]."""

    def __init__(self, *stands: float) -> None:
        self.limits = stands

    def at(self, gust: float, way: int) -> frozenset[str]:
        return frozenset({"back gutter over covering"} if gust >= self.limits[way] else ())

    def stands(self, families: None, way: int, **asked: float) -> float:
        assert asked["from_gust"] == asked["most"]
        return self.limits[way]


def test_what_a_weaker_side_is_worth() -> None:
    """Constructed: from the eaves 29 m/s instead of 33 is told where another side gives way at 16 anyhow,
    and breaks the cure where none does, or where the weather's gust is 30. A fall of 5 % is none."""
    wind = cast(InWind, Blown(29.0, 16.0, 19.0))
    (fall,) = falls_of(wind, [0.0, pi / 2, pi], (33.0, 16.0, 20.0))
    assert (fall.from_angle, fall.stood, fall.stands) == (0.0, 33.0, 29.0)
    assert too_far([fall], (33.0, 16.0), 0.0) is None
    assert too_far([fall], (33.0, 40.0), 0.0) is fall
    assert too_far([fall], (33.0, 16.0), 30.0) is fall


def test_ways_round() -> None:
    """Exact: the weather's own side first, then seven more, 45 degrees apart."""
    ways = ways_round(pi / 2)
    assert ways[0] == pytest.approx(pi / 2)
    turns = sorted(round((way % (2 * pi)) / (pi / 4), 6) for way in ways)
    assert turns == list(range(8))


def test_the_gust_that_it_stands() -> None:
    """Agreement: what a trial finds in a gust is what the search of the first-leak gust finds: nothing
    2 % under it, and the covers' edges 2 % over it; its own narrowing ends there too."""
    scene = in_weather(load("cottage"), case_name="driving", from_deg=90.0)
    wind = InWind.of(assemble(scene), scene.weather, [pi / 2], seed=0)
    (first,) = searched(wind.site, scene.weather, [pi / 2], seed=0)
    assert wind.calm == frozenset()
    assert wind.at(0.98 * first.gust) <= {COVERING}
    families = wind.at(1.02 * first.gust) - {COVERING}
    assert families
    assert all("right" in family for family in families)
    assert wind.stands() == pytest.approx(first.gust, rel=0.01)
    assert wind.stands([], most=30.0) == float("inf")
