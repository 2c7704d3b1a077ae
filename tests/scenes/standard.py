"""The shipped scenes with one thing changed, rained on: what several tests of the verdict share."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians
from typing import Any

import numpy as np
from numpy.typing import NDArray

from meshes.build import build
from meshes.parts import Assembly
from meshes.spec import Detail
from scenes.scene import load
from sim.charts import Charts
from sim.fates import Fate
from sim.rain import Drops, rain
from sim.trace import Trace, trace

HEAVY = 75 / 3.6e6  # design rain 75 mm/h [m/s] (Approved Document H, seen)
GRAVITY = 9.80665
BEHIND = (Fate.UNDERLAY, Fate.INSIDE)

SIDES_OVER_GUTTER = ("apron", "gutter", "left", "right", "underlay")
APRON_OVER_SIDES = ("left", "right", "apron", "gutter", "underlay")
GUTTER_OVER_UNDERLAY = ("apron", "left", "right", "underlay", "gutter")


@dataclass(frozen=True, slots=True, eq=False)
class Rained:
    """One detail after rain."""

    assembly: Assembly
    charts: Charts
    drops: Drops
    trace: Trace

    def count(self, *fates: Fate) -> int:
        """How many drops ended with one of the fates."""
        return int(np.isin(self.trace.fate, fates).sum())

    def touched(self, name: str) -> NDArray[np.bool_]:
        """(n,) whether each drop touched a part."""
        index = [part.name for part in self.assembly].index(name)
        return (self.trace.parts_touched >> np.uint64(index)) & np.uint64(1) == 1


def shipped(name: str) -> Detail:
    """The measurements of a scene of the library."""
    detail = load(name).detail
    assert detail is not None
    return detail


def pitched(detail: Detail, pitch_deg: float) -> Detail:
    """The same stack at another pitch, tall enough for it."""
    roof = replace(detail.roof, pitch=radians(pitch_deg))
    return replace(detail, roof=roof, stack=replace(detail.stack, height=1.8))


def without_turn_ins(detail: Detail) -> Detail:
    """No piece enters the stack."""
    return replace(
        detail,
        apron=replace(detail.apron, turn_in=0.0),
        sides=replace(detail.sides, turn_in=0.0),
        gutter=replace(detail.gutter, turn_in=0.0),
    )


def rained_on(
    detail: Detail,
    drops: int = 20_000,
    *,
    push: tuple[float, float, float] = (0.0, 0.0, 0.0),
    seed: int = 0,
    **weather: Any,
) -> Rained:
    """Rain on a detail and follow the water; push [m/s2] is added to gravity."""
    made = build(detail)
    charts = Charts.of(made, (push[0], push[1], push[2] - GRAVITY))
    released = rain(charts, drops, seed=seed, rain_m_s=HEAVY, **weather)
    return Rained(made, charts, released, trace(charts, released))
