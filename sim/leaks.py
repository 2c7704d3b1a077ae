"""Leaks: the places where water gets behind, each with its cause, its flow and where it comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Literal

import numpy as np

from sim.charts import Charts
from sim.fates import Fate
from sim.leaks_causes import ORDER, Cause, Causes, causes_of
from sim.leaks_table import CHUNK
from sim.leaks_ways import Flags, Floats, Ints, Reader, WaysIn
from sim.leaks_words import Story
from sim.places import Places
from sim.rain import Drops
from sim.shares import share_of
from sim.trace import Paths, Trace, record

Severity = Literal["inside", "underlay"]


@dataclass(frozen=True, slots=True, eq=False)
class Leak:
    """One place where water gets behind. Points (3,) [m] in the assembly's coordinates.

    id: 1 and up, the largest flow first; severity: the worst that its water does; way_in: in plain
    words; parts: the part the water ran on, and the part it went behind or fell past (one name when
    they are the same, or when it fell straight in); point: the middle of the ways in; arrives: where
    it reaches the inside, or else first meets the underlay; share and share_se: of all water that
    landed, and its standard error; flow [m3/s]; why: two plain sentences; cure: empty, for none was
    looked for; rows: its drops.
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
    why: str
    cure: str
    rows: Ints


def find_leaks(charts: Charts, drops: Drops, trace: Trace) -> tuple[Leak, ...]:
    """All leaks, the largest first. Every drop that ended on the underlay or inside is in one of
    them.

    The paths of those drops are walked again and read backwards: a way in is the last step from
    open to behind. Ways in of one cause, between the same two parts, and along one edge or near
    each other are one leak, with the stragglers beside them.
    """
    rows = np.flatnonzero(np.isin(trace.fate, (Fate.UNDERLAY, Fate.INSIDE)))
    if not len(rows):
        return ()
    reader = Reader.of(charts)
    chunks = [rows[at : at + CHUNK] for at in range(0, len(rows), CHUNK)]
    ways = WaysIn.joined([reader.ways_in(record(charts, drops, chunk)) for chunk in chunks])
    places = Places.of(charts.surface)
    causes = causes_of(charts, ways)
    found = []
    for number in range(causes.leak.max() + 1):
        here = np.flatnonzero(causes.leak == number)
        found.append(_leak(charts, drops, trace, ways, causes, rows, here, places))
    found.sort(key=lambda leak: (-leak.flow, tuple(leak.point.tolist())))
    return tuple(replace(leak, id=row + 1) for row, leak in enumerate(found))


def leaks_of_paths(charts: Charts, paths: Paths, fates: Sequence[Fate]) -> list[Leak]:
    """The leak that each of some paths (of drops that ended behind) makes, told in the same words.

    Only the way in counts: shares and flows are those of one drop alone.
    """
    count = len(paths)
    if not count:
        return []
    first, last = paths.start[:-1], paths.start[1:] - 1
    rows = np.arange(count)
    drops = Drops(
        paths.points[first],
        paths.chart[first],
        np.full((count, 3), 1 / 3),
        np.ones(count),
        rows,
        count,
    )
    none = np.zeros(count, np.int32)
    trace = Trace(
        np.array(fates, np.int8), paths.points[last], paths.chart[last], none.astype(np.uint64), none,
        none,
    )  # fmt: skip
    ways = Reader.of(charts).ways_in(paths)
    causes, places = causes_of(charts, ways), Places.of(charts.surface)
    one_by_one = [
        _leak(charts, drops, trace, ways, causes, rows, rows[k : k + 1], places)
        for k in range(count)
    ]
    return [replace(leak, id=number + 1) for number, leak in enumerate(one_by_one)]


def went_behind(charts: Charts, drops: Drops, trace: Trace, rows: Ints) -> Flags:
    """Whether drops (rows (k,) of `drops`) ever ran behind a flashing, even if they came out again.

    trace: theirs; drops that never touched a flashing's neighbour are walked again all the same.
    """
    if len(rows) and (rows.min() < 0 or rows.max() >= len(trace.fate)):
        raise IndexError(f"rows must be 0 to {len(trace.fate) - 1}")
    reader = Reader.of(charts)
    chunks = [rows[at : at + CHUNK] for at in range(0, len(rows), CHUNK)]
    seen = [reader.behind_a_flashing(record(charts, drops, chunk)) for chunk in chunks]
    return np.concatenate(seen) if seen else np.zeros(0, dtype=bool)


def _leak(
    charts: Charts,
    drops: Drops,
    trace: Trace,
    ways: WaysIn,
    causes: Causes,
    rows: Ints,
    here: Ints,
    places: Places,
) -> Leak:
    """One leak from its ways in (rows `here` of `ways`), with the drops that `rows` names."""
    surface = charts.surface
    names, roles = surface.part_names, surface.part_roles
    fate = trace.fate[rows[here]]
    inside = bool((fate == Fate.INSIDE).any())
    worst = here[fate == (Fate.INSIDE if inside else Fate.UNDERLAY)]
    main = here[_most_alike(causes, here)]
    point = _typical(causes.point[main])
    arrives = _typical(ways.arrives[worst])
    chosen = np.zeros(len(drops), dtype=bool)
    chosen[rows[here]] = True
    share, share_se = share_of(drops.flow, chosen)
    flow = fsum(drops.flow[rows[here]])
    one = main[0]
    came_from, behind = int(causes.came_from[one]), int(causes.behind[one])
    goal = int(np.bincount(surface.face_part[ways.goal[worst] // 2]).argmax())
    story = Story(
        cause=ORDER[causes.cause[one]], came_from=names[came_from],
        came_from_role=roles[came_from], behind=names[behind], past=bool(causes.past[one]),
        corner=tuple(names[part] for part in causes.corner[one] if part >= 0),
        where=places.words(point - surface.centre), share=share, flow=flow,
        goal=names[goal], goal_role=roles[goal], lower=float(point[2] - arrives[2]),
        along=float(np.linalg.norm((point - arrives)[:2])),
    )  # fmt: skip
    parts = story.corner or tuple(dict.fromkeys((story.came_from, story.behind)))
    if story.cause is Cause.FELL_STRAIGHT_IN:
        parts = (story.goal,)
    return Leak(
        id=0, severity="inside" if inside else "underlay", way_in=story.way_in(), parts=parts,
        cause=story.cause, point=point, arrives=arrives, share=share, share_se=share_se, flow=flow,
        why=story.why(), cure="", rows=rows[here],
    )  # fmt: skip


def _most_alike(causes: Causes, rows: Ints) -> Flags:
    """Which of the rows (k,) have the cause and the parts that most of them have."""
    key = np.column_stack([causes.cause, causes.came_from, causes.behind, causes.corner])[rows]
    _, kind, count = np.unique(key, axis=0, return_inverse=True, return_counts=True)
    return kind.reshape(-1) == count.argmax()


def _typical(points: Floats) -> Floats:
    """The one of the points (n, 3) that lies nearest to their median."""
    away = np.linalg.norm(points - np.median(points, axis=0), axis=1)
    return points[np.round(away, 9).argmin()]
