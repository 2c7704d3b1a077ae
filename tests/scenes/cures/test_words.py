"""Words of cures: lengths before and after, pieces, places, and which of two cures is worth telling."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import pi

import numpy as np
import pytest

from scenes.assemble import assemble
from scenes.cures.check import Fall
from scenes.cures.cure import Cure, worth_it
from scenes.cures.families import family_words
from scenes.cures.lever import Lever, Work
from scenes.cures.made import Made
from scenes.cures.quest import Quest, Target, falls_short
from scenes.cures.search import Candidate, once_more, same_water
from scenes.cures.words import grouped, length_words, spans
from scenes.scene import in_weather, load


def test_lengths_before_and_after() -> None:
    """Contract: one lap; two that need the same; one of which less is asked afterwards."""
    assert length_words({1: (0.110, 0.150)}, {1: (0.150, 0.150)}) == (
        "150 mm long instead of 110, of 150 needed"
    )
    some = length_words(
        {1: (0.058, 0.100), 2: (0.070, 0.150), 3: (0.065, 0.150)},
        {1: (0.100, 0.100), 2: (0.150, 0.150), 3: (0.150, 0.150)},
    )
    assert some == (
        "100 mm long instead of 58, of 100 needed and 150 mm long instead of 65 to 70, of 150 needed"
    )
    other = length_words({2: (0.070, 0.150)}, {2: (0.047, 0.025)})
    assert other == "47 mm long, of 25 then needed, instead of 70 of 150"


def test_numbered_pieces_are_told_together() -> None:
    """Contract: those that differ by their number alone, three in a row by their ends."""
    names = ["front apron", "left soaker 1", "left step 3", "left soaker 2", "left step 1"]
    assert grouped(names) == ["front apron", "left soakers 1 and 2", "left steps 1 and 3"]
    assert grouped(["left soaker 2"]) == ["left soaker 2"]
    assert spans([7, 5, 1, 6, 3]) == "1, 3 and 5 to 7"


@pytest.mark.parametrize(
    ("family", "words"),
    [
        ("back gutter over covering (left)", "between the back gutter and the covering, left"),
        ("left side flashing over covering", "between the left side flashing and the covering"),
        ("past covering (right)", "past the covering, right"),
        ("straight in (left)", "straight from the sky, left"),
        ("back gutter and stack", "at the corner between the back gutter and the stack"),
        ("front apron", "behind the front apron"),
    ],
)
def test_where_water_gets_in(family: str, words: str) -> None:
    """Contract: no name of a leak is printed as the program keeps it."""
    assert family_words(family) == words


def test_a_side_that_stands_less() -> None:
    """Contract: the side by its name; a gust that was not looked for further is told as over that."""
    assert Fall(pi / 4, 33.14, 29.06).words() == (
        "in wind from the eaves and the right it stands 29.1 m/s instead of 33.1"
    )
    assert Fall(pi, 40.0, 37.0).words() == (
        "in wind from the ridge it stands 37.0 m/s instead of over 40.0"
    )


@cache
def cottage() -> Quest:
    """Nothing to be cured, for the words alone."""
    scene = in_weather(load("cottage"), case_name="driving")
    assembly = assemble(scene)
    return Quest(Made.of(scene, assembly), assembly, scene.weather, 1, 1, 0, ())


def test_how_far_the_best_falls_short() -> None:
    """Exact: of a gust of 23.7 m/s, of rain, and of a length."""
    here = cottage()
    leak = Target(1, ("x",), None, np.zeros((1, 3)), -5.0)
    assert falls_short(here, leak, -3.6) == "stands 20.1 m/s of 23.7"
    by_rain = replace(leak, by_rain=True)
    assert falls_short(here, by_rain, -0.0123) == "still lets in 1.2 % of the rain"
    lap = replace(leak, families=(), lap=("a", "b", "left"))
    assert falls_short(here, lap, -0.030) == "leaves the lap 30 mm too short"


def test_leaks_of_the_same_water_go_together() -> None:
    """Exact: a leak whose water goes in only where that of a cured one does is cured with it; a lap, which
    has no water, and a leak that has more, aren't."""
    ways = [("a", "b"), ("b",), ("b", "c"), ()]
    targets = [Target(n, way, None, np.zeros((1, 3)), -1.0) for n, way in enumerate(ways)]
    assert same_water(targets, [0]) == (0, 1)
    assert same_water(targets, [1, 3]) == (1, 3)
    assert same_water(targets, [2]) == (1, 2)


def test_a_candidate_once_more() -> None:
    """Exact: a step on, twice at most, where it doesn't quite hold; to the usual measure where a lap would
    be too short before that; not at all beyond it, or for two levers."""
    lever = Lever(
        words="x", work=Work.COVERING, start=0.190, far=0.020, step=0.005, usual=0.040,
        put=lambda thing, _: thing,
    )  # fmt: skip
    one = Candidate((3,), (0.125,), (0,))
    step = once_more(one, lever, "water still gets in behind the apron")
    assert step is not None
    assert (step.values, step.retries) == ((pytest.approx(0.120),), 1)
    assert once_more(replace(one, retries=2), lever, "it doesn't stand the gust") is None
    usual = once_more(one, lever, "the lap of the underlay over the gutter would be too short")
    assert usual is not None
    assert usual.values == (pytest.approx(0.040),)
    assert once_more(usual, lever, "the lap of the a over the b would be too short") is None
    assert once_more(replace(one, values=(0.030,)), lever, "can't be built: so") is None
    assert once_more(replace(one, numbers=(3, 4)), lever, "it doesn't stand the gust") is None


def cure(leaks: tuple[int, ...], metal: float, anew: int, work: Work = Work.ANEW) -> Cure:
    made = cottage().made
    lever = Lever(words="x", work=work, start=0.1, far=0.3, step=0.005, put=lambda thing, _: thing)
    return Cure(
        leaks=leaks, laps=(), levers=(lever,), values=(0.2,), was=made, now=made, stands=None,
        stood=None, lengths={}, short={}, metal=metal, anew=tuple(f"piece {n}" for n in range(anew)),
    )  # fmt: skip


def test_cures_that_are_worth_telling() -> None:
    """Contract: one for more leaks that takes no more goes before; one that takes less metal for fewer stays;
    one with far more pieces goes, unless it is less work."""
    few, more = cure((3,), 0.0, 1), cure((1, 2, 3), 0.0, 1)
    assert worth_it([few, more]) == [more]
    small, large = cure((1,), 0.3, 1), cure((1, 2), 1.2, 1)
    assert worth_it([small, large]) == [small, large]
    strip, whole = cure((1,), 0.2, 1), cure((1,), 0.4, 9)
    assert worth_it([strip, whole]) == [strip]
    assert worth_it([strip, cure((1,), 0.4, 3)])[1:]
    dressed = cure((1,), 0.4, 9, Work.DRESS)
    assert worth_it([strip, dressed]) == [strip, dressed]
    assert worth_it([few, few]) == [few, few]


def test_what_is_cured_and_what_is_not() -> None:
    """Contract: where other leaks remain, rain is kept out there alone; a price follows what is done; the
    sentence of what it takes begins with a capital."""
    one = cure((1,), 0.0, 1)
    assert (
        one.words("lead")
        == "x 100 -> 200 mm: keeps this weather's rain out. No more metal; cut anew: piece 0."
    )
    assert replace(one, others=True).does() == "keeps this weather's rain out there"
    falls = (Fall(0.0, 33.0, 29.0),)
    assert (
        replace(one, falls=falls)
        .does()
        .endswith("rain out; but in wind from the eaves it stands 29.0 m/s instead of 33.0")
    )
