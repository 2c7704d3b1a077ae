"""The least that a lever must be moved: Brent's root, against a plain scan and against exact figures."""

from __future__ import annotations

from functools import cache
from math import exp

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scenes.assemble import assemble
from scenes.cures.lever import Lever
from scenes.cures.levers import levers_of
from scenes.cures.made import Made
from scenes.cures.quest import Quest, Target, key_of, spare
from scenes.cures.solve import Trials, both, root, solve, together
from scenes.cures.targets import round_
from scenes.faults.apply import with_faults
from scenes.gust import laps_of
from scenes.in_processes import Workers
from scenes.scene import load

STEP = 0.005


@cache
def asked(name: str, *faults: str) -> Quest:
    """The short laps of a scene with faults, to be cured."""
    scene = with_faults(load(name), faults)
    assembly = assemble(scene)
    short = [lap for lap in laps_of(assembly) if not lap.ok]
    targets = tuple(
        Target(lap.id, (), key_of(lap), round_(lap), lap.length - lap.needed) for lap in short
    )
    made = Made.of(scene, assembly)
    return Quest(made, assembly, scene.weather, 1000, 1000, 0, targets)


def number_of(quest: Quest, words: str) -> int:
    return [lever.words for lever in levers_of(quest.made)].index(words)


@settings(derandomize=True, phases=(Phase.explicit, Phase.generate), deadline=None, max_examples=60)
@given(
    st.floats(0.02, 0.5), st.floats(0.05, 0.4), st.floats(0.05, 0.95),
    st.sampled_from(["line", "bent", "jump"]), st.booleans(),
)  # fmt: skip
def test_the_root(start: float, span: float, share: float, kind: str, down: bool) -> None:
    """Exact: whatever the way a margin rises through nought, within a quarter of a step of where."""
    far = start - span if down else start + span
    there = start + share * (far - start)
    ways = {
        "line": lambda u: u,
        "bent": lambda u: exp(4 * u) - 1,
        "jump": lambda u: 1.0 if u >= 0 else -0.3,
    }

    def margin(x: float) -> float:
        return float(ways[kind]((x - there) / (far - start)))

    found = root(margin, start, far, margin(start), STEP)
    assert abs(found - there) <= STEP / 4 + 1e-9


def test_a_short_lap_gets_its_own_measure_back() -> None:
    """Exact geometry: an apron's cover that is 40 mm short of 150 mm is cured by 150 mm, to the step of
    5 mm, though that is looked for as a root and the measured lap is no parameter."""
    quest = asked("cottage", "cover too narrow@front=40")
    (row,) = range(len(quest.targets))
    assert quest.targets[row].margin == pytest.approx(-0.040, abs=2e-4)
    solved = solve(quest, number_of(quest, "apron's cover"), [row])
    assert solved.values == {row: pytest.approx(0.150, abs=1e-9)}


def test_the_root_agrees_with_a_plain_scan() -> None:
    """Two computations: Brent's method and a scan of every step, of the underlay's lap over the
    gutter's top edge, measured on the meshes."""
    quest = asked("cottage", "underlay lap too short=20")
    (row,) = range(len(quest.targets))
    number = number_of(quest, "underlay over the gutter's top edge")
    lever = levers_of(quest.made)[number]
    found = solve(quest, number, [row]).values[row]
    key = quest.targets[row].lap
    assert key is not None
    marks = np.arange(lever.start, 0.110, STEP)
    enough = [
        value
        for value in marks
        if spare(laps_of(lever.put(quest.made, float(value)).assembly()), key) > -1e-4
    ]
    assert found == pytest.approx(min(enough), abs=1e-9)


def test_two_levers_together() -> None:
    """Exact: the underlay of `low` can't lap 150 mm over a gutter that goes up only as far, but can
    where the gutter goes farther; a step less of both is not enough."""
    quest = asked("low", "wrong lap for a low pitch")
    keys = [target.lap for target in quest.targets]
    row = keys.index(("upper underlay", "back gutter", "back"))
    names = ("underlay over the gutter's top edge", "gutter up under the covering")
    numbers = (number_of(quest, names[0]), number_of(quest, names[1]))
    assert solve(quest, numbers[0], [row]).values == {}
    share, tried = both(quest, numbers, row)
    assert share is not None
    assert tried > 1
    levers = [levers_of(quest.made)[number] for number in numbers]
    enough = together(quest, levers, share).assembly()
    assert spare(laps_of(enough), keys[row]) > -1e-4
    less = together(quest, levers, share - 0.1).assembly()
    assert spare(laps_of(less), keys[row]) < -1e-4


def test_the_same_in_two_processes() -> None:
    """Invariance: what two processes find side by side is what one finds, to the last bit."""
    quest = asked("cottage", "cover too narrow@front=40")
    words = ("apron's cover", "apron past the stack")
    rows = [(quest, number_of(quest, name), [0]) for name in words]
    answers = []
    for processes in (1, 2):
        with Workers(processes) as workers:
            answers.append(workers.map(solve, rows))
    assert answers[0] == answers[1]
    assert answers[0][0].values


def test_what_lies_elsewhere_is_not_tried() -> None:
    """Derived: no change to the gutter's welt touches the front apron's lap."""
    quest = asked("cottage", "cover too narrow@front=40")
    got = solve(quest, number_of(quest, "gutter's welt"), [0])
    assert (got.values, got.far, got.tried) == ({}, {}, 0)


def test_left_is_right_in_a_mirror() -> None:
    """Invariance: a short cover at the left has as much to spare at every value as one at the right,
    and so the same root."""
    spares = []
    for side in ("left", "right"):
        quest = asked("cottage", f"cover too narrow@{side}=60")
        lever = levers_of(quest.made)[number_of(quest, f"side cover at the {side}")]
        trials = made_at(quest, lever)
        spares.append([trials.margin(quest.targets[0], value) for value in (0.120, 0.150)])
    assert spares[0] == pytest.approx(spares[1], abs=1e-9)
    assert spares[0] == pytest.approx([-0.0299, 0.0001], abs=1e-6)


def made_at(quest: Quest, lever: Lever) -> Trials:
    """Details on the way of a lever."""
    return Trials(quest, lambda value: lever.put(quest.made, value).assembly_or_none())


def test_a_value_that_cannot_be_built_is_no_cure() -> None:
    """Derived: what can't be built has nothing to spare; the far end moves in to what can."""
    quest = asked("cottage", "gutter leg too short=80")
    number = number_of(quest, "gutter up under the covering")
    keys = [target.lap for target in quest.targets]
    row = keys.index(("covering", "back gutter", "back"))
    lever = levers_of(quest.made)[number]
    trials = made_at(quest, lever)
    assert trials.margin(quest.targets[row], lever.far) == -np.inf
    assert solve(quest, number, [row]).values == {row: pytest.approx(0.150, abs=1e-9)}
