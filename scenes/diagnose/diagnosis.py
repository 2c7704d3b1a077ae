"""A damp place explained: all suspects tried, two at once too, and put in the order of their probability."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require
from meshes.parts import Assembly, Role
from scenes import __version__
from scenes.assemble import assemble
from scenes.cautions import cautions_of
from scenes.diagnose.assumed import ASSUMED
from scenes.diagnose.nearest import Way, telling_state, way_in
from scenes.diagnose.ranking import Evidence, Ranked, ranked
from scenes.diagnose.suspects import Suspect, pairs, suspects
from scenes.diagnose.trial import ALL_ROUND, GUSTS, LEAVES, Trial, Tried, Weathers, tried
from scenes.faults.apply import told_of, with_faults
from scenes.faults.catalogue import CATALOGUE
from scenes.faults.fault import Fault
from scenes.in_processes import in_processes
from scenes.progress import Remarks
from scenes.scene import Scene
from scenes.weather_words import After
from sim.wind import direction_name

IN_PAIRS: Final = 4
"""Of the likeliest single suspects, how many are tried two by two."""
TOLD: Final = 8
"""Suspects that are told of at most."""
UNLIKELY: Final = 0.005
"""Suspects less likely than this are not told of, but for the first three without pairs."""
SHOWN: Final = 3


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What a householder tells. damp (k, 2) [m]: places on the ceiling in plan, from the middle of the
    stack's front; wind: where it came from [rad], None where nobody knows; after: which weather."""

    damp: NDArray[np.float64]
    wind: float | None
    after: After | None


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """A suspect that may explain the damp place. rank: 1 and up; way: its water's, the nearest to the
    first damp place; None where the model brings none in."""

    rank: int
    row: Ranked
    way: Way | None


@dataclass(frozen=True, slots=True, eq=False)
class Diagnosis:
    """What was seen in a scene, and what explains it, the likeliest first. tried: how many details were
    built and rained on; left: those that can't be built; seed: of the rain."""

    scene: Scene
    seen: Seen
    seed: int
    tried: int
    left: int
    explained: tuple[Explained, ...]

    def to_dict(self) -> dict[str, Any]:
        """What diagnosis.json holds (schema 1)."""
        seen = self.seen
        return {
            "schema": 1,
            "program": "stackrain",
            "version": __version__,
            "seed": self.seed,
            "scene": {
                "title": self.scene.title,
                "file": self.scene.file,
                "sha256": self.scene.sha256,
            },
            "seen": {
                "damp_mm": [[_mm(value) for value in place] for place in seen.damp.tolist()],
                "wind_from_deg": None if seen.wind is None else round(degrees(seen.wind), 3),
                "wind_from": None if seen.wind is None else direction_name(seen.wind),
                "after": seen.after,
            },
            "tried": self.tried,
            "not_built": self.left,
            "suspects": [_row(one) for one in self.explained],
            "assumed": list(ASSUMED),
            "cautions": list(cautions_of(self.scene.detail)),
        }


def diagnose(
    scene: Scene, seen: Seen, *, seed: int, processes: int | None = None,
    remarks: Remarks | None = None, among: Sequence[Fault] = CATALOGUE,
) -> Diagnosis:  # fmt: skip
    """Try every fault everywhere at three sizes, and the likeliest two by two, against what was seen.

    among: the faults that are tried. The same answer whatever the number of processes. Raises SceneError
    for a scene without measures, a damp place outside the ceiling, and a blocked gutter where there is
    none.
    """
    remarks = remarks or Remarks()
    single = suspects(scene, among)
    area = ceiling(assemble(scene), seen.damp)
    blocked = seen.after == "blocked"
    if blocked:
        assemble(with_faults(scene, [LEAVES]))
    angles = _angles(seen)

    def trial(suspect: Suspect) -> Trial:
        return Trial(scene, suspect, angles, blocked, seed)

    evidence = Evidence(seen.damp, seen.after, None, area)
    found = _tried([trial(one) for one in single], processes, remarks, "suspects")
    first = ranked(single, found, evidence)
    likeliest = [row.suspect for row in first if row.suspect.faults][:IN_PAIRS]
    two = pairs(likeliest, sum(one.prior for one in single))
    found += _tried([trial(one) for one in two], processes, remarks, "pairs of the likeliest")
    rows = ranked([*single, *two], found, evidence)
    told = [
        row for rank, row in enumerate(rows[:TOLD]) if rank < SHOWN or row.probability > UNLIKELY
    ]
    with remarks.step("Following the water of the first three"):
        explained = tuple(
            Explained(rank, row, _way(trial(row.suspect), row, seen) if rank <= SHOWN else None)
            for rank, row in enumerate(told, start=1)
        )
    left = sum(bool(one.wrong) for one in found)
    return Diagnosis(scene, seen, seed, len(found) - left, left, explained)


def _angles(seen: Seen) -> tuple[float, ...]:
    if seen.after in ("calm", "blocked"):
        return ()
    return ALL_ROUND if seen.wind is None else (seen.wind,)


def _tried(
    trials: Sequence[Trial], processes: int | None, remarks: Remarks, what: str
) -> list[Tried]:
    found = []
    tenths = 0
    for number, one in enumerate(in_processes(tried, trials, processes), start=1):
        found.append(one)
        if 10 * number // len(trials) > tenths:
            tenths = 10 * number // len(trials)
            remarks.say(f"{number} of {len(trials)} {what} tried")
    return found


def _way(trial: Trial, row: Ranked, seen: Seen) -> Way | None:
    state = telling_state(row.tried, seen.damp[0], seen.after)
    return None if state is None else way_in(Weathers.of(trial), state, seen.damp[0])


def ceiling(assembly: Assembly, damp: NDArray[np.float64]) -> float:
    """Area [m2] of the bounds of what must stay dry, in plan. Raises SceneError for a place outside."""
    inside = [part.vertices[:, :2] for part in assembly if part.role is Role.INSIDE]
    if not inside:
        raise SceneError("a damp place needs a scene with a part inside, where it can be seen")
    points = np.concatenate(inside)
    low, high = points.min(axis=0), points.max(axis=0)
    for place in damp:
        ends = [f"{_mm(a):g} to {_mm(b):g}" for a, b in zip(low, high, strict=True)]
        rule = f"within the ceiling, X {ends[0]} mm and Y {ends[1]} mm"
        got = ",".join(f"{_mm(value):g}" for value in place)
        require(bool(((low <= place) & (place <= high)).all()), "damp place", got, rule, SceneError)
    return float(np.prod(high - low))


def _row(one: Explained) -> dict[str, Any]:
    suspect, found, way = one.row.suspect, one.row.tried, one.way
    return {
        "rank": one.rank,
        "probability": round(one.row.probability, 4),
        "faults": told_of(suspect.faults),
        "in_calm_rain": bool(len(found.calm)),
        "in_gusts_m_s": [
            round(gust, 1)
            for number, gust in enumerate(GUSTS)
            if any(len(wind[number]) for wind in found.driven)
        ],
        "goes_in_mm": None if way is None else [_mm(value) for value in way.into.tolist()],
        "goes_in": None if way is None else way.where,
        "comes_out_mm": None if way is None else [_mm(value) for value in way.out.tolist()],
        "from_damp_mm": None if way is None else _mm(way.off),
        "reaches_inside": None if way is None else way.inside,
        "look": [fault.fault.look for fault in suspect.faults],
    }


def _mm(metres: float) -> float:
    return round(float(metres) * 1000, 1) + 0.0
