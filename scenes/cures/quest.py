"""What cures are sought for, and everything that a process needs to try one."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from scenes.cures.families import Family
from scenes.cures.made import Made
from scenes.scene import Weather
from sim.laps import Lap

LapKey = tuple[str, str, str]
LAP_ROUNDING = 1e-4
"""A lap that is this much longer or shorter is as long [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """A leak or a short lap to cure.

    number: its id in the findings; families: of a leak, none for a lap; lap: of a lap, its upper and
    lower part and where it is; way (n, 3) [m]: the way that the leak's water takes, or the lap's edge;
    margin: what it lacks now, below nought: of the design gust [m/s], of all water [1], or of length
    [m]; by_rain: whether only the weather's own rain shows it, not water at every open edge; needed: of
    a lap, the length that the rule book asks [m], length: that which it has.
    """

    number: int
    families: tuple[Family, ...]
    lap: LapKey | None
    way: NDArray[np.float64]
    margin: float
    by_rain: bool = False
    needed: float = 0.0
    length: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Quest:
    """A scene's targets. made, assembly: as it is; weather: that it is run in; drops: of rain that each
    trial in it lets fall, rain: that each check does; targets: leaks, then laps."""

    made: Made
    assembly: Assembly
    weather: Weather
    drops: int
    rain: int
    seed: int
    targets: tuple[Target, ...]

    @property
    def windy(self) -> bool:
        """Whether the design gust is one at all."""
        return self.weather.gust > 0


def key_of(lap: Lap) -> LapKey:
    """What a lap is called in every detail tried."""
    return lap.upper, lap.lower, lap.where


def spare(laps: tuple[Lap, ...], key: LapKey) -> float:
    """By how much the shortest of the laps of a name is long enough [m]; minus infinity for none."""
    return min((lap.length - lap.needed for lap in laps if key_of(lap) == key), default=-inf)


def falls_short(quest: Quest, target: Target, margin: float) -> str:
    """How far a change that doesn't cure a target falls short, by what it has to spare then, below nought:
    "stands 20.1 m/s of 23.7"."""
    if target.lap is not None:
        return f"leaves the lap {-1000 * margin:.0f} mm too short"
    if not quest.windy or target.by_rain:
        return f"still lets in {-100 * margin:.2g} % of the rain"
    gust = quest.weather.gust
    return f"stands {max(gust + margin, 0.0):.1f} m/s of {gust:.1f}"
