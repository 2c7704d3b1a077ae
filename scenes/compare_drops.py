"""The same drops in two scenes: whether the rain is the same, and which drops change their fate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from scenes.scene import Weather
from sim.findings_rows import figure, millimetres

if TYPE_CHECKING:
    from sim.rain import Drops

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MISSED = "missed"
"""What a drop did that met nothing, or only what lies beyond the roof's bounds."""
NEARLY_SAME = 0.01
"""Rain is still called the same when no drop falls farther beside its place than this [m]: another order
of dressing sets the courses out some bedding gaps lower."""
SAME_LINE = 1e-6
"""Two drops fall along one line when their lines lie no farther apart than this [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Fates:
    """Where each of n released drops ended in one scene, in the order of their numbers.

    fate (n,) int8 of sim.fates.Fate, 0 for those that missed; share (n,): of all water that landed.
    """

    fate: NDArray[np.int8]
    share: Floats

    @staticmethod
    def of(drops: Drops, fate: NDArray[np.int8]) -> Fates:
        """Fates (k,) of the k drops that landed, put at the drops' own numbers."""
        ends = np.zeros(drops.released, dtype=np.int8)
        share = np.zeros(drops.released)
        ends[drops.drop] = fate
        share[drops.drop] = drops.flow / drops.flow.sum()
        return Fates(ends, share)


@dataclass(frozen=True, slots=True, eq=False)
class FateMatrix:
    """Drops by their fate in the first scene (row) and in the second (column), by the numbers of
    sim.fates.Fate: how many (6, 6), and the share of what landed in the first and in the second that
    they carry there (6, 6) each. Rows of `first` and columns of `second` add up to the runs' own
    shares."""

    drops: Ints
    first: Floats
    second: Floats

    @staticmethod
    def of(first: Fates, second: Fates) -> FateMatrix:
        """Of two runs with the same number of released drops."""
        from sim.fates import Fate

        kinds = len(Fate)
        cell = first.fate.astype(np.int64) * kinds + second.fate

        def added(weights: Floats | None = None) -> NDArray[Any]:
            return np.bincount(cell, weights, minlength=kinds**2).reshape(kinds, kinds)

        return FateMatrix(added(), added(first.share), added(second.share))

    def rows(self) -> list[dict[str, Any]]:
        """One row for every pair of fates that a drop has, in the order of the fates."""
        return [
            {
                "from": fate_name(a),
                "to": fate_name(b),
                "drops": int(self.drops[a, b]),
                "share_first": figure(float(self.first[a, b])),
                "share_second": figure(float(self.second[a, b])),
            }
            for a, b in np.argwhere(self.drops).tolist()
        ]

    def changed(self) -> dict[str, Any]:
        """Drops whose fate differs, and the share of both runs' water that they carry."""
        other = ~np.eye(len(self.drops), dtype=bool)
        return {
            "drops": int(self.drops[other].sum()),
            "share_first": figure(float(self.first[other].sum())),
            "share_second": figure(float(self.second[other].sum())),
        }


def differ(first: Fates, second: Fates) -> Ints:
    """Numbers (k,) of the drops whose fate differs."""
    return np.flatnonzero(first.fate != second.fate)


def fate_name(number: int) -> str:
    """The word for a fate's number in a result file."""
    from sim.fates import Fate

    return Fate(number).name.lower() if number else MISSED


def same_rain(first: Drops, second: Drops, weather: Weather, seed: int) -> dict[str, Any]:
    """How many drops fall alike in both (along one line and with one flow, or missed both), how many
    not, how far beside at most [mm], whether that is still the same rain, and how many landed in one of
    the two only."""
    _, a, b = np.intersect1d(first.drop, second.drop, assume_unique=True, return_indices=True)
    way = _ways(weather, first.released, seed)[first.drop[a]]
    across = np.cross(second.points[b] - first.points[a], way)
    beside = np.linalg.norm(across, axis=1) / np.linalg.norm(way, axis=1)
    alike = (beside <= SAME_LINE) & np.isclose(first.flow[a], second.flow[b], rtol=1e-9, atol=0)
    one_only = len(first) + len(second) - 2 * len(a)
    both_missed = first.released - len(a) - one_only
    farthest = float(beside.max(initial=0.0))
    return {
        "released": first.released,
        "alike": int(alike.sum()) + both_missed,
        "otherwise": int((~alike).sum()),
        "beside_mm": millimetres(farthest, 2),
        "same": farthest <= NEARLY_SAME,
        "landed_in_one_only": one_only,
    }


def _ways(weather: Weather, count: int, seed: int) -> Floats:
    """Along which way (n, 3) each drop falls, of any length: as sim.rain.rain tells."""
    if weather.gust > 0:
        from sim.drop_sizes import draw_diameters, fall_speed

        sizes = draw_diameters(np.random.default_rng([seed, 1]).random(count), weather.rain)
        across, down = np.full(count, weather.gust), fall_speed(sizes)
    else:
        across, down = (np.full(count, f(weather.slant)) for f in (np.sin, np.cos))
    side, up_slope = -np.sin(weather.from_angle), np.cos(weather.from_angle)
    return np.column_stack([side * across, up_slope * across, -down])
