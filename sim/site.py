"""A detail made ready for storms: its ground, its gaps and ponds, and what each wind does to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly
from sim.blown import Blows
from sim.charts import Charts
from sim.exposure import chart_exposures, exposures
from sim.gap_pressure import border_pressure, gap_drive_per_q, gap_field
from sim.gap_surface import storm_surface
from sim.gaps import Gaps
from sim.ground import Ground
from sim.ponds import Ponds
from sim.shear import wind_shear
from sim.spills import Spills
from sim.wind import blow, gust_of_pressure

Floats = NDArray[np.float64]

ONE_PASCAL = gust_of_pressure(1.0)
"""Gust [m/s] with a stagnation pressure of 1 Pa."""


FACING_DOWN = -0.1
"""Upward part of the normal of a face below which wind drags no film along it: an assumption."""


@dataclass(frozen=True, slots=True, eq=False)
class Site:
    """What all winds have in common. ground: fine enough for wind; still: its charts in still air,
    on which full hollows spill; gaps: where sheets lie near each other; ponds: the hollows; known: the
    winds that were asked for last, and what they do."""

    ground: Ground
    still: Charts
    gaps: Gaps
    ponds: Ponds
    known: dict[tuple[float, ...], list[Blows]] = field(default_factory=dict, repr=False)

    @staticmethod
    def of(assembly: Assembly, *, size: float = 0.035) -> Site:
        """The site of an assembly; size: longest edge of a triangle in a lap [m]. Raises what
        `storm_surface` raises."""
        ground = Ground.of(storm_surface(assembly, size=size), many=True)
        bare = Charts.on(ground)
        ponds = Ponds.of(bare)
        still = bare.going_on(Spills(ponds))
        return Site(ground, still, Gaps.of(still), ponds)

    def blows(self, from_angles: Sequence[float] | Floats) -> list[Blows]:
        """What winds from each of the angles (k,) [rad] do; many at once cost little more than one.

        The last answer is kept: one wind is often asked for again, in other gusts or with another drag.
        """
        asked = tuple(float(angle) for angle in from_angles)
        if asked not in self.known:
            found = self._blows(asked)
            self.known.clear()
            self.known[asked] = found
        return list(self.known[asked])

    def _blows(self, from_angles: Sequence[float]) -> list[Blows]:
        winds = np.stack([blow(angle) for angle in from_angles])
        charts, caster = self.still, self.ground.caster
        # What hangs under a face drips off; the air beneath eaves and verges stands.
        seen = np.where(charts.normals[:, 2] < FACING_DOWN, 0.0, chart_exposures(charts, winds))
        border = border_pressure(
            charts,
            self.gaps,
            winds,
            lambda points, normals, ways: exposures(caster, points, normals, ways),
        )
        push = gap_drive_per_q(charts, self.gaps, gap_field(self.gaps, border))
        return [
            Blows(wind_shear(charts, seen[k], ONE_PASCAL, winds[k], 1.0), push[k], border[k])
            for k in range(len(winds))
        ]
