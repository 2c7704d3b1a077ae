"""Where drops are on the picture at any time: tracks across the page, and what hides them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scenes.stage_lines import hidden
from scenes.stage_sight import Sight
from sim.trace import Paths

Floats = NDArray[np.float64]

EVERY: Final = 0.04
"""A track has a point at least so often [s]."""
GOLDEN: Final = (5**0.5 - 1) / 2
"""Starts that are this share of a round apart never bunch."""
SHORTEST: Final = 0.5
"""A round takes so long at least [s]."""


@dataclass(frozen=True, slots=True, eq=False)
class Tracks:
    """k drops, each followed by another like it a round later. start (k + 1,): rows of each; time (n,)
    [s] since it landed; at (n, 2) [units of the page]; unseen (n,): whether something hides it there;
    enters (k,) [s]: when it gets behind the flashings, infinite for one that stays outside; a_round [s]: how
    long half of them take at most; begins (k,) [s]: when each first lands."""

    start: NDArray[np.int64]
    time: Floats
    at: Floats
    unseen: NDArray[np.bool_]
    enters: Floats
    a_round: float
    begins: Floats

    @staticmethod
    def of(paths: Paths, times: Floats, enters: Floats, sight: Sight) -> Tracks:
        """Paths (k,) with the times (n,) [s] at their points, and when each gets in (k,) [s], infinite for
        one that does not, under a camera."""
        start, time, points = [0], [], []
        for first, last in zip(paths.start[:-1], paths.start[1:], strict=True):
            own = times[first:last]
            count = max(2, int(np.ceil(own[-1] / EVERY)) + 1)
            when = np.linspace(0.0, own[-1], count)
            points.append(
                np.stack(
                    [np.interp(when, own, paths.points[first:last, k]) for k in range(3)], axis=1
                )
            )
            time.append(when)
            start.append(start[-1] + count)
        places = np.concatenate(points)
        a_round = max(float(np.median([own[-1] for own in time])), SHORTEST)
        return Tracks(
            np.array(start), np.concatenate(time), sight.camera.project(places),
            hidden(places, sight.camera.view.axes[2], sight.caster), enters, a_round,
            np.mod(GOLDEN * np.arange(len(time)), 1.0) * a_round,
        )  # fmt: skip

    def moment(self, seconds: float) -> tuple[Floats, NDArray[np.bool_], NDArray[np.bool_]]:
        """The drops that run at a time: where (j, 2), unseen (j,), and whether they are in (j,)."""
        at, unseen, behind = [], [], []
        for drop, since in enumerate(np.mod(seconds - self.begins, self.a_round).tolist()):
            first, last = self.start[drop], self.start[drop + 1]
            own = self.time[first:last]
            when = np.arange(since, own[-1], self.a_round)
            at.append(
                np.stack(
                    [np.interp(when, own, self.at[first:last, axis]) for axis in range(2)], axis=1
                )
            )
            unseen.append(self.unseen[first + np.searchsorted(own, when, "right") - 1])
            behind.append(when >= self.enters[drop])
        return np.concatenate(at), np.concatenate(unseen), np.concatenate(behind)
