"""The wind of a stage: which way it blows, and its words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenes.say_weather import wind_words
from sim.wind import blow


@dataclass(frozen=True, slots=True, eq=False)
class Wind:
    """blow (3,): level unit vector of the way the air moves; side, speed: words for where it comes
    from and how strong its gust is."""

    blow: NDArray[np.float64]
    side: str
    speed: str

    @staticmethod
    def of(weather: Mapping[str, Any]) -> Wind:
        """The wind of a weather as findings.json holds it."""
        side, speed = wind_words(weather)
        return Wind(blow(radians(weather["from_deg"])), side, speed)
