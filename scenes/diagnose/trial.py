"""One suspect tried: the detail built so, in calm rain, in gusts, and with its gutter blocked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians
from typing import Final, NamedTuple

import numpy as np

from meshes.errors import SceneError
from meshes.parts import Assembly
from scenes.assemble import assemble
from scenes.diagnose.suspects import Suspect
from scenes.faults.apply import with_faults
from scenes.gust import site_of
from scenes.scene import Scene
from scenes.weather import case
from scenes.weather_words import After
from sim.charts import Charts
from sim.comes_out import ComesOut, Rained, Stormed, still_charts
from sim.rain import rain

CALM, DRIVING = case("calm"), case("driving")
MM_H: Final = 1 / 3.6e6
SHARES: Final = (0.5, 0.75, 1.0)
"""Gusts that are tried, against that of the weather case `driving`: nobody measured the gust that brought
the water in, so each is as likely. An assumption."""
GUSTS: Final = tuple(share * DRIVING.gust_m_s for share in SHARES)
ALL_ROUND: Final = tuple(radians(angle) for angle in (0, 90, 180, 270))
"""Directions [rad] that are tried where none is told."""
LEAVES: Final = "leaves in the gutter"
DROPS: Final = 5000
SAME_PLACE: Final = 0.1
"""Water that comes out this near to other water [m] can't be told from it."""
KEPT: Final = 150
"""Drops that stand for all that gets behind in one weather."""


class State(NamedTuple):
    """One weather of a trial: still rain; or a gust, by the numbers of its wind and of GUSTS; or still
    rain with the gutter blocked."""

    wind: int = -1
    gust: int = -1
    blocked: bool = False


@dataclass(frozen=True, slots=True)
class Trial:
    """A suspect in a scene, and the weathers to try it in. angles (k,) [rad]: winds; blocked: whether
    to try it with leaves in both ends of the gutter; seed: of the rain."""

    scene: Scene
    suspect: Suspect
    angles: tuple[float, ...]
    blocked: bool
    seed: int


@dataclass(frozen=True, slots=True, eq=False)
class Tried:
    """Where its water comes out. calm: in still rain; driven: for each wind of the trial, in each of
    GUSTS; blocked: None where that wasn't tried. wrong: why it can't be built, "" where it can."""

    calm: ComesOut
    driven: tuple[tuple[ComesOut, ...], ...] = ()
    blocked: ComesOut | None = None
    wrong: str = ""

    def states(
        self, after: After | None, winds: Sequence[int] | None = None
    ) -> dict[State, ComesOut]:
        """In each of the weathers that `after` may mean, none for what can't be built; winds: numbers of
        those that count, None for all."""
        if self.wrong:
            return {}
        chosen = range(len(self.driven)) if winds is None else winds
        driven = {
            State(wind=wind, gust=gust): self.driven[wind][gust]
            for wind in chosen
            for gust in range(len(GUSTS))
        }
        if after == "driving":
            return driven
        if after == "blocked":
            return {} if self.blocked is None else {State(blocked=True): self.blocked}
        return ({} if after == "calm" else driven) | {State(): self.calm}

    def beyond(self, right: Tried) -> Tried:
        """The same without what comes out where it does when nothing is wrong, in the same weather: for
        that water no fault is to blame."""
        if self.wrong:
            return self
        driven = tuple(
            tuple(own.beyond(other, SAME_PLACE) for own, other in zip(gusts, others, strict=True))
            for gusts, others in zip(self.driven, right.driven, strict=True)
        )
        blocked = self.blocked
        if blocked is not None and right.blocked is not None:
            blocked = blocked.beyond(right.blocked, SAME_PLACE)
        return Tried(self.calm.beyond(right.calm, SAME_PLACE), driven, blocked, self.wrong)


def tried(trial: Trial) -> Tried:
    """Build the suspect's detail and let it rain. What can't be built is told in `wrong`."""
    try:
        weathers = Weathers.of(trial)
    except SceneError as error:
        return Tried(ComesOut.none(), wrong=str(error))

    def found(state: State) -> ComesOut:
        return weathers.rained(state).comes_out(most=KEPT, threads=1)

    driven = tuple(
        tuple(found(State(wind=wind, gust=gust)) for gust in range(len(GUSTS)))
        for wind in range(len(trial.angles))
    )
    return Tried(found(State()), driven, found(State(blocked=True)) if trial.blocked else None)


@dataclass(frozen=True, slots=True, eq=False)
class Weathers:
    """A suspect's detail, built and ready for each of a trial's weathers. still: its charts and the
    rain that falls in still air; storm: None where no wind is tried."""

    trial: Trial
    assembly: Assembly
    still: Rained
    storm: Stormed | None

    @staticmethod
    def of(trial: Trial) -> Weathers:
        """Build it. Raises SceneError."""
        scene = trial.suspect.on(trial.scene)
        weather = scene.weather
        assembly = assemble(scene)
        if not trial.angles:
            return Weathers(trial, assembly, _still(still_charts(assembly), trial.seed), None)
        site = site_of(scene, assembly)
        still = _still(site.still, trial.seed)
        storm = Stormed.of(
            site, np.array(trial.angles), still.drops[0], drag=weather.drag,
            pressure=weather.pressure, threads=1,
        )  # fmt: skip
        return Weathers(trial, assembly, still, storm)

    def rained(self, state: State) -> Rained:
        """The drops of one weather. Raises SceneError for a gutter that can't be blocked."""
        if state.blocked:
            return _still(still_charts(self.blocked()), self.trial.seed)
        if self.storm is None or state.wind < 0:
            return self.still
        return self.storm.rained(
            state.wind, GUSTS[state.gust], rain_m_s=DRIVING.rain_mm_h * MM_H, drops=DROPS,
            seed=self.trial.seed,
        )  # fmt: skip

    def blocked(self) -> Assembly:
        """The detail with leaves in both ends of its gutter; itself where they are the suspect."""
        suspect = self.trial.suspect
        if any(one.fault.name == LEAVES for one in suspect.faults):
            return self.assembly
        return assemble(with_faults(suspect.on(self.trial.scene), [LEAVES]))


def _still(charts: Charts, seed: int) -> Rained:
    return Rained(charts, (rain(charts, DROPS, seed=seed, rain_m_s=CALM.rain_mm_h * MM_H),))
