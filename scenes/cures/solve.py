"""The least that a lever must be moved to cure a target: a root, found by Brent's method."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import inf

import numpy as np

from meshes.parts import Assembly
from scenes.cures.lever import Lever, Work
from scenes.cures.levers import levers_of
from scenes.cures.made import Made
from scenes.cures.near import touches
from scenes.cures.quest import LAP_ROUNDING, Quest, Target, spare
from scenes.cures.trial import InWind, Shares, in_still_air
from scenes.gust import laps_of
from sim.laps import Lap

COARSE = 0.03
"""Share of a gust to which it is narrowed down while a root is sought: its sign is exact."""
ENOUGH = 1.3
"""Gusts over the design gust times this count as this: a root lies at the design gust."""
DRY = 1e-3
"""What a detail that lets in no water has to spare, as a share of all water: any number above nought."""
LEAST_LACK = 1e-6
"""A target lacks this at least, in its own unit."""
FINE = 0.25
"""Share of a step to within which a root is sought."""
MORE_STEPS = 4
"""Steps that a rounded root may be moved on until a trial says that it holds."""
BUILDS = 6
"""Halvings on the way to the farthest value that can be built."""


@dataclass(frozen=True, slots=True)
class Solved:
    """What a lever does. values: of each target by its place in the quest, the least value that cures
    it; far: what each has to spare at the far end, as `Target.margin`; tried: details tried."""

    values: dict[int, float]
    far: dict[int, float]
    tried: int


@dataclass(slots=True, eq=False)
class Trials:
    """Details on the way of a lever, each tried once. at: what is made at a value of the lever."""

    quest: Quest
    at: Callable[[float], Assembly | None]
    built: dict[float, Assembly | None] = field(default_factory=dict)
    measured: dict[float, tuple[Lap, ...]] = field(default_factory=dict)
    blown: dict[float, InWind] = field(default_factory=dict)
    rained: dict[float, Shares] = field(default_factory=dict)

    def assembly(self, value: float) -> Assembly | None:
        """What is built at a value; None where it can't be."""
        if value not in self.built:
            self.built[value] = self.at(value)
        return self.built[value]

    @property
    def tried(self) -> int:
        """Details that water or laps were tried on."""
        return len(self.measured.keys() | self.blown.keys() | self.rained.keys())

    def seen(self, target: Target) -> tuple[float, ...]:
        """Values at which what a target is judged by is known already, the far end among them."""
        if target.lap is not None:
            return tuple(self.measured)
        return tuple(self.blown) or tuple(self.rained)

    def margin(self, target: Target, value: float) -> float:
        """What a target has to spare at a value: above nought where it is cured."""
        made = self.assembly(value)
        if made is None:
            return -inf
        if target.lap is not None:
            if value not in self.measured:
                self.measured[value] = laps_of(made)
            return spare(self.measured[value], target.lap) + LAP_ROUNDING
        if not self.quest.windy or target.by_rain:
            lost = self._rains(value, made)
            share = sum(lost.get(family, 0.0) for family in target.families)
            return -share if share > 0 else DRY
        wind = self._wind(value, made)
        design = self.quest.weather.gust
        most = ENOUGH * design
        stands = wind.stands(target.families, most=most, fineness=COARSE)
        # A gust that is narrowed down from above may end on the design gust itself.
        if wind.at(design) & frozenset(target.families):
            return min(stands - design, -LEAST_LACK)
        return max(min(stands, most) - design, LEAST_LACK)

    def _wind(self, value: float, made: Assembly) -> InWind:
        quest = self.quest
        if value not in self.blown:
            self.blown[value] = InWind.of(
                made, quest.weather, [quest.weather.from_angle], seed=quest.seed
            )
        return self.blown[value]

    def _rains(self, value: float, made: Assembly) -> Shares:
        quest = self.quest
        if value not in self.rained:
            if quest.windy:
                got = self._wind(value, made).rains(drops=quest.drops, seed=quest.seed)
            else:
                got = in_still_air(made, quest.weather, drops=quest.drops, seed=quest.seed)
            self.rained[value] = got
        return self.rained[value]


def solve(quest: Quest, number: int, wanted: Sequence[int]) -> Solved:
    """What the lever of this number does for the targets `wanted`, by their places in the quest.

    Its far end is tried first. Where that cures, the least value is the root of what the target has to
    spare, rounded outward to the lever's step, and tried once more.
    """
    lever = levers_of(quest.made)[number]
    trials = Trials(quest, lambda value: lever.put(quest.made, value).assembly_or_none())
    far = _farthest(trials, lever)
    made = None if far is None else trials.assembly(far)
    if far is None or made is None:
        return Solved({}, {}, 0)
    near = [
        row
        for row in wanted
        # What is known to be broken, or to lie in the way, is always worth a trial.
        if lever.known
        or lever.work <= Work.MEND
        or touches(
            quest.assembly, made, quest.targets[row].way, grown=quest.targets[row].lap is not None
        )
    ]
    margins = {row: trials.margin(quest.targets[row], far) for row in near}
    values: dict[int, float] = {}
    for row in [row for row in near if margins[row] > 0]:
        value = far if lever.whole else _least(trials, lever, quest.targets[row], far)
        if value is not None:
            values[row] = value
    return Solved(values, margins, trials.tried)


def _least(trials: Trials, lever: Lever, target: Target, far: float) -> float | None:
    """The least value that cures a target, rounded to the lever's step; None when none holds."""
    low, high, lacks = lever.start, far, target.margin
    # Details that were tried for other targets cost little to ask again.
    for known in sorted(trials.seen(target), key=lambda x: abs(x - lever.start)):
        if (margin := trials.margin(target, known)) > 0:
            high = known
            break
        low, lacks = known, max(margin, target.margin)
    found = root(lambda x: trials.margin(target, x), low, high, lacks, lever.step)
    value = lever.outward(found)
    if (value - far) * (far - lever.start) > 0:
        value = far
    step = lever.step if far > lever.start else -lever.step
    before = value - step
    near = (found - before) / step <= FINE and (before - lever.start) / step > FINE
    if near and lever.outward(before) == before:
        # The root may lie on the mark before, for all that is known of it.
        value = before if trials.margin(target, before) > 0 else value
    for _ in range(MORE_STEPS):
        if trials.margin(target, value) > 0:
            return value
        following = lever.beyond(value)
        if following is None:
            return None
        value = following
    return None


def root(
    spare_at: Callable[[float], float], start: float, far: float, at_start: float, step: float
) -> float:
    """Where what there is to spare passes nought, between a start that lacks `at_start` and a far end
    that has some to spare, to within FINE of a step.

    Brent's method (R. P. Brent, Algorithms for Minimization without Derivatives, 1973), as SciPy has it.
    """
    from scipy.optimize import brentq

    def f(x: float) -> float:
        if x == start:
            return min(at_start, -LEAST_LACK)
        got = spare_at(float(x))
        return got if np.isfinite(got) else min(at_start, -LEAST_LACK)

    found: float = brentq(f, start, far, xtol=step * FINE, rtol=1e-9, maxiter=60)
    return found


def _farthest(trials: Trials, lever: Lever) -> float | None:
    """The value nearest to the far end that can be built; None for none but the start."""
    if trials.assembly(lever.far) is not None:
        return lever.far
    if lever.whole:
        return None
    good, bad = lever.start, lever.far
    for _ in range(BUILDS):
        middle = lever.outward((good + bad) / 2)
        if middle in (good, bad):
            break
        if trials.assembly(middle) is None:
            bad = middle
        else:
            good = middle
    return None if good == lever.start else good


def both(quest: Quest, numbers: tuple[int, int], row: int) -> tuple[float | None, int]:
    """How far along, 0 to 1 of the way to both far ends, two levers together cure one target; None when
    they don't; and the details tried."""
    levers = [levers_of(quest.made)[number] for number in numbers]
    trials = Trials(quest, lambda t: together(quest, levers, t).assembly_or_none())
    target = quest.targets[row]
    if trials.assembly(1.0) is None or trials.margin(target, 1.0) <= 0:
        return None, trials.tried
    if all(lever.whole for lever in levers):
        return 1.0, trials.tried
    finest = min(lever.step / abs(lever.far - lever.start) for lever in levers if not lever.whole)
    share = root(lambda t: trials.margin(target, t), 0.0, 1.0, target.margin, finest)
    for _ in range(MORE_STEPS):
        if trials.margin(target, share) > 0:
            return share, trials.tried
        share = min(1.0, share + finest)
    return None, trials.tried


def values_along(levers: Sequence[Lever], share: float) -> list[float]:
    """The value of each lever a share of the way to its far end, rounded outward to its step."""
    return [lever.outward(lever.start + share * (lever.far - lever.start)) for lever in levers]


def together(quest: Quest, levers: Sequence[Lever], share: float) -> Made:
    """What is made with both levers a share of the way to their far ends."""
    made = quest.made
    if share <= 0:
        return made
    for lever, value in zip(levers, values_along(levers, share), strict=True):
        made = lever.put(made, value)
    return made
