"""Leaks: the places where water gets behind, each with its cause, its flow and where it comes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sim.charts import Charts
from sim.fates import Fate
from sim.laps import Lap, measure_laps
from sim.leaks_causes import ORDER, Cause, Causes, causes_of
from sim.leaks_course import Course, course_of
from sim.leaks_table import CHUNK, ONE_LEAK
from sim.leaks_ways import Flags, Floats, Ints, Reader, WaysIn
from sim.leaks_why import why
from sim.leaks_words import Story
from sim.places import Places
from sim.rain import Drops
from sim.shares import Whole
from sim.trace import Paths, Trace, record

Severity = Literal["inside", "underlay"]


@dataclass(frozen=True, slots=True, eq=False)
class Leak:
    """One place where water gets behind. Points (3,) [m] in the assembly's coordinates.

    id: 1 and up, the largest flow first; severity: the worst that its water does; way_in: in plain
    words; parts: the part the water ran on, and the part it went behind or fell past (one name when
    they are the same, or when it fell straight in); point: the middle of the ways in; arrives: where
    it reaches the inside, or else first meets the underlay; share and share_se: of all water that
    landed, and its standard error; flow [m3/s]; course: what a drop did that gets in at the point;
    why: that course in two to four plain sentences; rows: its drops.
    """

    id: int
    severity: Severity
    way_in: str
    parts: tuple[str, ...]
    cause: Cause
    point: Floats
    arrives: Floats
    share: float
    share_se: float
    flow: float
    course: Course
    why: str
    rows: Ints


def find_leaks(
    charts: Charts, drops: Drops, trace: Trace, *, laps: tuple[Lap, ...] | None = None
) -> tuple[Leak, ...]:
    """All leaks, the largest first. Every drop that ended on the underlay or inside is in one of
    them.

    The paths of those drops are walked again and read backwards: a way in is the last step from
    open to behind. Ways in of one cause, between the same two parts, and along one edge or near
    each other are one leak, with the stragglers beside them. laps: those measured, which reasons are
    told with; None: they are measured on these charts.
    """
    rows = np.flatnonzero(np.isin(trace.fate, (Fate.UNDERLAY, Fate.INSIDE)))
    if not len(rows):
        return ()
    reader = Reader.of(charts)
    chunks = [rows[at : at + CHUNK] for at in range(0, len(rows), CHUNK)]
    ways = WaysIn.joined([reader.ways_in(record(charts, drops, chunk)) for chunk in chunks])
    causes = causes_of(charts, ways)
    known = measure_laps(charts.surface, charts.caster) if laps is None else laps
    telling = _Telling(
        reader, ways, causes, trace.fate[rows], known, Places.of(charts.surface),
        lambda row: record(charts, drops, rows[[row]]),
    )  # fmt: skip
    found, whole = [], Whole.of(drops.flow)
    for number in range(causes.leak.max() + 1):
        here = np.flatnonzero(causes.leak == number)
        chosen = np.zeros(len(drops), dtype=bool)
        chosen[rows[here]] = True
        share, share_se = whole.share(chosen)
        flow = fsum(drops.flow[rows[here]])
        leak = telling.leak(here, (share, flow))
        found.append(replace(leak, share_se=share_se, rows=rows[here]))
    found.sort(key=lambda leak: (-leak.flow, tuple(leak.point.tolist())))
    return tuple(replace(leak, id=row + 1) for row, leak in enumerate(found))


def leaks_of_paths(charts: Sequence[Charts], paths: Paths, fates: Sequence[Fate]) -> list[Leak]:
    """The leak that each of some paths (of drops that ended behind) makes, told in the same words.

    Only the way in counts: shares and flows are those of one drop alone, and no words tell them. Paths
    begin in the open, where water stands that the wind drives in.
    charts: those that each of the paths was walked on, by which its pressures are told: all of one
    surface, in winds that may differ. Raises ValueError for another number of them.
    """
    if not len(paths):
        return []
    if not len(charts) == len(fates) == len(paths):
        raise ValueError(f"{len(paths)} paths need as many charts and fates")
    one = charts[0]
    reader = Reader.of(one)
    ways = reader.ways_in(paths, from_outside=True)
    telling = _Telling(
        reader, ways, causes_of(one, ways), np.array(fates, np.int8),
        measure_laps(one.surface, one.caster), Places.of(one.surface),
        lambda row: paths.some(np.array([row])),
    )  # fmt: skip
    found = []
    for row, own in enumerate(charts):
        in_its_wind = replace(telling, reader=replace(reader, charts=own))
        found.append(replace(in_its_wind.leak(np.array([row]), None), id=row + 1))
    return found


def went_behind(charts: Charts, paths: Paths) -> Flags:
    """Whether the drops of some paths (k,) ever ran behind a flashing, even if they came out again."""
    return Reader.of(charts).behind_a_flashing(paths)


@dataclass(frozen=True, slots=True, eq=False)
class _Telling:
    """What leaks are told from: the ways in (n,) of drops, their causes and their fates (n,), the laps
    measured, and the path of each drop by its row."""

    reader: Reader
    ways: WaysIn
    causes: Causes
    fate: NDArray[np.int8]
    laps: tuple[Lap, ...]
    places: Places
    path: Callable[[int], Paths]

    def leak(self, here: Ints, amount: tuple[float, float] | None) -> Leak:
        """The leak of the ways in `here` (k,), less its id; amount: its share [1] and flow [m3/s], None
        where one drop stands for itself."""
        causes, ways, surface = self.causes, self.ways, self.reader.charts.surface
        names, roles = surface.part_names, surface.part_roles
        inside = bool((self.fate[here] == Fate.INSIDE).any())
        worst = here[self.fate[here] == (Fate.INSIDE if inside else Fate.UNDERLAY)]
        main = here[_most_alike(causes, here)]
        point = _typical(causes.point[main])
        goals = surface.face_part[ways.goal // 2]
        goal = int(np.bincount(goals[worst]).argmax())
        one = main[0]
        came_from, behind = int(causes.came_from[one]), int(causes.behind[one])
        story = Story(
            cause=ORDER[causes.cause[one]], came_from=names[came_from],
            came_from_role=roles[came_from], behind=names[behind], past=bool(causes.past[one]),
            corner=tuple(names[part] for part in causes.corner[one] if part >= 0),
            where=self.places.words(point - surface.centre), goal=names[goal], goal_role=roles[goal],
        )  # fmt: skip
        # Only a drop that does what is told can show it.
        alike = main[np.isin(main, worst) & (goals[main] == goal)]
        told = alike if len(alike) else main
        typical = self._typical_of(told, point)
        course = course_of(
            self.reader, self.path(typical), ways, causes, typical, self.places, self.laps
        )
        parts = story.corner or tuple(dict.fromkeys((story.came_from, story.behind)))
        if story.cause is Cause.FELL_STRAIGHT_IN:
            parts = (story.goal,)
        share, flow = amount or (1.0, 1.0)
        return Leak(
            id=0, severity="inside" if inside else "underlay", way_in=story.way_in(), parts=parts,
            cause=story.cause, point=point, arrives=_typical(ways.arrives[worst]), share=share,
            share_se=0.0, flow=flow, course=course, why=why(story, course, amount),
            rows=here,
        )  # fmt: skip

    def _typical_of(self, told: Ints, point: Floats) -> int:
        """Of the ways in `told` (k,) as near to a point (3,) [m] as one leak is broad, or nearest to it,
        the one whose water came from as far as most."""
        away = np.linalg.norm(self.causes.point[told] - point, axis=1)
        near = told[away <= max(ONE_LEAK, float(away.min()))]
        came = np.linalg.norm(self.ways.landed[near] - self.causes.point[near], axis=1)
        return int(near[np.round(np.abs(came - np.median(came)), 9).argmin()])


def _most_alike(causes: Causes, rows: Ints) -> Flags:
    """Which of the rows (k,) have the cause and the parts that most of them have."""
    key = np.column_stack([causes.cause, causes.came_from, causes.behind, causes.corner])[rows]
    _, kind, count = np.unique(key, axis=0, return_inverse=True, return_counts=True)
    return kind.reshape(-1) == count.argmax()


def _typical(points: Floats) -> Floats:
    """The one of the points (n, 3) that lies nearest to their median."""
    away = np.linalg.norm(points - np.median(points, axis=0), axis=1)
    return points[np.round(away, 9).argmin()]
