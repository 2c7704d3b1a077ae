"""The way in of each path that ends behind: read backwards from its end to where it was last open."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Role
from sim.charts import Charts
from sim.events import NOT_ON_A_FACE, Event
from sim.laps_table import GAP, SKY
from sim.leaks_driven import driven
from sim.leaks_pieces import in_short_pieces
from sim.leaks_table import (
    BARE_BESIDE,
    FACING,
    HALVINGS,
    LEAST_BEHIND,
    LOOK_STEP,
    OFF_AN_EDGE,
    ON_A_RIM,
    SHARE_OFF_AN_EDGE,
)
from sim.looks_along import met_along
from sim.openness import closest_beside, lies_bare, sees_sky
from sim.tolerances import STANDOFF
from sim.trace import Paths

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

ALIKE = 9  # decimals [m] to which two pieces of path are one


class State(IntEnum):
    """What a piece of path says about where its water is."""

    NEUTRAL = 0
    """In the air, on the stack, on a hanging or upright face of the covering: says nothing."""
    OPEN = 1
    """On the wet side of a flashing or on the covering, nothing near over it, in sight of the sky."""
    BEHIND = 2
    """On covered underlay or inside, on a sheet's dry side, in a gap, or out of sight of the sky."""


@dataclass(frozen=True, slots=True, eq=False)
class WaysIn:
    """One row a path. point (n, 3) [m]: where it went behind; chart (n,): the chart it came from;
    sheet (n,): the face it went behind, -1 when it fell past the end of what it ran on; fell (n,):
    it was in the air; landing (n, 3) [m]: where it first was behind; direct (n,): it was behind where
    it landed from the sky; arrives (n, 3) [m] and goal (n,): where it reached the inside, or else
    first met the underlay, and that chart; landed (n, 3) [m]: where it came down first; before,
    behind, met (n,): numbers of points in its path, as `in_short_pieces` cuts it: the last in the open,
    the first behind, where it arrives; off, off_at (n,), (n, 3) [m]: number and place of the point where
    it leaves the wet side of the flashing that it was on last, up to `before`, or goes on in shelter on
    from there; -1 and nil for none; off_part (n,): that flashing; climbs, aside, stood (n,): see
    `leaks_driven.driven`."""

    point: Floats
    chart: Ints
    sheet: Ints
    fell: Flags
    landing: Floats
    direct: Flags
    arrives: Floats
    goal: Ints
    landed: Floats
    before: Ints
    behind: Ints
    met: Ints
    off: Ints
    off_at: Floats
    off_part: Ints
    climbs: Flags
    aside: Flags
    stood: Flags

    @staticmethod
    def joined(all_of_them: list[WaysIn]) -> WaysIn:
        """Chunks one after the other."""
        return WaysIn(
            *(
                np.concatenate([getattr(w, field.name) for w in all_of_them])
                for field in fields(WaysIn)
            )
        )


@dataclass(frozen=True, slots=True, eq=False)
class Reader:
    """Reads pieces of paths on the charts of one assembly."""

    charts: Charts
    normals: Floats
    quiet: Flags
    caught: Flags
    dry: Flags
    under: Flags
    loft: Flags
    flashing: Flags

    @staticmethod
    def of(charts: Charts) -> Reader:
        """Roles and sides of all charts, looked up once."""
        surface = charts.surface
        part = np.repeat(surface.face_part, 2)
        normals = charts.normals
        sheet = surface.of_role(part, Role.FLASHING, Role.COVERING)
        caught = surface.of_role(part, Role.UNDERLAY, Role.INSIDE)
        covering = surface.of_role(part, Role.COVERING)
        dry = sheet & (np.arange(len(part)) % 2 == 1)
        down = charts.drive / np.linalg.norm(charts.drive)
        faces_up = normals @ -down > 1e-6
        quiet = ~caught & ~dry & (~sheet | (covering & ~faces_up))
        under = surface.of_role(part, Role.UNDERLAY) & (np.arange(len(part)) % 2 == 0)
        flashing = surface.of_role(part, Role.FLASHING)
        loft = surface.of_role(part, Role.INSIDE)
        return Reader(charts, normals, quiet, caught, dry, under, loft, flashing)

    def sheets_over(self, points: Floats, chart: Ints) -> Ints:
        """Face (n,) that lies over each point (n, 3) [m] on a chart within the gap, -1 for none.

        Only coverings, flashings and underlays count, and a flashing's own folds don't.
        """
        surface = self.charts.surface
        normal = self.normals[chart]
        start = points + STANDOFF * normal
        _, face = self.charts.caster.first_hit(start, normal, GAP - STANDOFF)
        face = face.astype(np.int64)
        part, own = surface.face_part[face], surface.face_part[chart // 2]
        roles = np.array([role is Role.FLASHING for role in surface.part_roles])
        counts = surface.of_role(part, Role.COVERING, Role.FLASHING, Role.UNDERLAY) & ~(
            (part == own) & roles[own]
        )
        parallel = np.abs((surface.normals[face] * normal).sum(axis=1)) > FACING
        return np.where((face >= 0) & counts & parallel, face, -1)

    def _may_hide(self, face: Ints) -> Ints:
        """The faces (n,) that water can be said to be behind: not the underlay, which catches it."""
        surface = self.charts.surface
        hides = surface.of_role(surface.face_part[face], Role.FLASHING, Role.COVERING)
        return np.where(hides, face, -1)

    def states(self, paths: Paths, rows: Ints) -> tuple[Ints, Ints]:
        """State (n,) of the pieces of paths that begin at rows (n,), where they begin, and the face
        they are behind, or -1."""
        first, each = _alike(paths, rows, rows + 1)
        one = rows[first]
        state, sheet = self._states_at(paths, one, paths.points[one])
        return state[each], sheet[each]

    def states_at_ends(self, paths: Paths, rows: Ints) -> tuple[Ints, Ints]:
        """The same where the pieces end, a little before the edge there."""
        first, each = _alike(paths, rows, rows + 1)
        one = rows[first]
        start = paths.points[one]
        along = paths.points[np.minimum(one + 1, len(paths.points) - 1)] - start
        size = np.linalg.norm(along, axis=1, keepdims=True)
        short = np.maximum(SHARE_OFF_AN_EDGE * size, size - OFF_AN_EDGE)
        points = start + along * short / np.where(size > 0, size, 1.0)
        state, sheet = self._states_at(paths, one, points)
        return state[each], sheet[each]

    def _states_at(self, paths: Paths, rows: Ints, points: Floats) -> tuple[Ints, Ints]:
        chart = paths.chart[rows].astype(np.int64)
        state = np.where(self.quiet[chart], State.NEUTRAL, State.OPEN).astype(np.int64)
        over = self.sheets_over(points, chart)
        rim = self.dry[chart] & self._along_a_rim(paths, rows)
        dry, over = self.dry[chart] & ~rim, np.where(rim, -1, over)
        state[(over >= 0) | (self.caught[chart] & ~self._bare(points, chart)) | dry] = State.BEHIND
        state[np.isin(paths.kind[rows], NOT_ON_A_FACE)] = State.NEUTRAL
        # On a flashing's dry side water is behind that flashing, whatever it lies on.
        own = dry & ((over < 0) | self.flashing[chart])
        sheet = np.where(own, chart // 2, self._may_hide(over))
        asked = np.flatnonzero(state == State.OPEN)
        asked = asked[~self.in_sight(points[asked], chart[asked])]
        state[asked] = State.BEHIND
        sheet[asked] = self._shelter(points[asked], chart[asked])
        return state, sheet

    def _bare(self, points: Floats, chart: Ints) -> Flags:
        """Whether points (n, 3) [m] on charts (n,) are of an underlay that lies open to the sky."""
        wet = np.flatnonzero(self.under[chart])
        bare = np.zeros(len(chart), dtype=bool)
        start = self._off_edges(points[wet], chart[wet])
        bare[wet] = lies_bare(self.charts.caster, start, self.normals[chart[wet]], BARE_BESIDE)
        return bare

    def _along_a_rim(self, paths: Paths, rows: Ints) -> Flags:
        """Whether pieces (n,) of paths run down a rim of their sheet: on both its sides at once."""
        charts = self.charts
        chart = paths.chart[rows].astype(np.int64)
        ends = np.minimum(rows + 1, len(paths.points) - 1)
        middle = (paths.points[rows] + paths.points[ends]) / 2 - charts.surface.centre
        face = chart // 2
        corner = np.roll(charts.surface.faces[face], -1, axis=1)
        away = middle[:, None] - charts.surface.vertices[corner]
        inside = -(away * charts.edges.outward[face]).sum(axis=2)
        rim = charts.edges.neighbour[chart] == (chart ^ 1)[:, None]
        return (rim & (np.abs(inside) < ON_A_RIM)).any(axis=1)

    def in_sight(self, points: Floats, chart: Ints) -> Flags:
        """Whether points (n, 3) [m] on charts (n,) see the sky."""
        surface = self.charts.surface
        return sees_sky(self.charts.caster, self._off_edges(points, chart) - surface.centre, SKY)

    def _off_edges(self, points: Floats, chart: Ints) -> Floats:
        surface = self.charts.surface
        middle = surface.vertices[surface.faces[chart // 2]].mean(axis=1) + surface.centre
        inward = middle - points
        size = np.linalg.norm(inward, axis=1, keepdims=True)
        inward = inward * np.minimum(1.0, OFF_AN_EDGE / np.where(size > 0, size, 1.0))
        return points + inward + STANDOFF * self.normals[chart]

    def _shelter(self, points: Floats, chart: Ints) -> Ints:
        """The face (n,) that keeps the sky off each point: an upright one close by, or what is straight
        above; -1 where that is neither flashing nor covering."""
        start = self._off_edges(points, chart)
        surface = self.charts.surface
        beside = closest_beside(self.charts.caster, surface, start - surface.centre, GAP)
        up = np.broadcast_to([0.0, 0.0, 1.0], start.shape)
        _, above = self.charts.caster.first_hit(start, up)
        return np.where(beside >= 0, beside, self._may_hide(above.astype(np.int64)))

    def ways_in(self, paths: Paths, *, from_outside: bool = False) -> WaysIn:
        """The way in of each path: its last step from open to behind.

        from_outside: the paths begin in the open, however near to an edge, and none fell from the sky.
        """
        paths = in_short_pieces(paths, self.under)
        first, last = paths.start[:-1], paths.start[1:] - 1
        count = len(first)
        at, behind = last.copy(), last.copy()
        sheet = np.full(count, -1, dtype=np.int64)
        arrives = last.copy()
        live = np.arange(count)
        in_gap = np.zeros(count, dtype=bool)
        while len(live):
            rows = at[live]
            state, over = self.states(paths, rows)
            if from_outside:
                state = np.where(rows == first[live], State.OPEN, state)
            rest = np.flatnonzero(state != State.BEHIND)
            at_end, over_end = self.states_at_ends(paths, rows[rest])
            within = at_end == State.BEHIND
            behind[live[rest[within]]] = rows[rest[within]] + 1
            sheet[live[rest[within]]] = over_end[within]
            # From bare underlay the way in is into a gap; elsewhere it is where water came out.
            in_gap[live[rest]] |= within & (over_end >= 0)
            bare = self.under[paths.chart[rows]] & (state == State.OPEN)
            state = np.where(bare & ~in_gap[live], State.BEHIND, state)
            now = state == State.BEHIND
            in_gap[live] = (over >= 0) | (in_gap[live] & self.under[paths.chart[rows]])
            behind[live[now]], sheet[live[now]] = rows[now], over[now]
            met = now & self.caught[paths.chart[rows]]
            arrives[live[met]] = rows[met]
            live = live[(state != State.OPEN) & (rows > first[live])]
            at[live] -= 1
        before = np.maximum(behind - 1, first)
        direct = behind == first
        fell = (paths.kind[before] == Event.FELL) & ~direct
        point = paths.points[before].copy()
        ran = np.flatnonzero(~fell & ~direct)
        some, each = _alike(paths, before[ran], behind[ran])
        placed, over = self._placed(paths, before[ran[some]], behind[ran[some]])
        point[ran] = placed[each]
        sheet[ran] = np.where(sheet[ran] >= 0, sheet[ran], over[each])
        arrives = np.where(self.loft[paths.chart[last]] & ~direct, last, arrives)
        goal = paths.chart[arrives].astype(np.int64)
        off, off_part = self._off_a_flashing(paths, before, first)
        off_at = np.where(off[:, None] >= 0, paths.points[off], 0.0)
        return WaysIn(
            point, paths.chart[before].astype(np.int64), sheet, fell, paths.points[behind], direct,
            paths.points[arrives], goal, paths.points[first], before - first, behind - first, arrives - first,
            np.where(off >= 0, off - first, -1), off_at, off_part,
            *driven(self.charts, paths, before, behind),
        )  # fmt: skip

    def _off_a_flashing(self, paths: Paths, before: Ints, first: Ints) -> tuple[Ints, Ints]:
        """Where each path leaves the wet side of the flashing that it was on last, from row `before` (n,)
        back to its `first` (n,): the row (n,) that begins there, and the flashing, by part; -1 for none."""
        chart = paths.chart.astype(np.int64)
        on = self.flashing[chart] & ~self.dry[chart] & ~np.isin(paths.kind, NOT_ON_A_FACE)
        part = np.where(on, self.charts.surface.face_part[chart // 2], -1)
        last = paths.start[1:] - 1
        row = before.copy()
        while (back := (part[row] < 0) & (row > first)).any():
            row[back] -= 1
        flashing = part[row]
        while (onward := (flashing >= 0) & (part[row] == flashing) & (row < last)).any():
            row[onward] += 1
        return np.where(flashing >= 0, row, -1), flashing

    def _placed(self, paths: Paths, before: Ints, behind: Ints) -> tuple[Floats, Ints]:
        """Where a run that begins open and ends behind meets the edge of the sheet over it: the
        point (n, 3) [m] and that sheet's face, or -1."""
        chart = paths.chart[before].astype(np.int64)
        start, end = paths.points[before], paths.points[behind]
        low, high = np.zeros(len(before)), np.ones(len(before))
        found = self.sheets_over(end, chart)
        sheltered = (found < 0) & ~self.quiet[chart]
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            points = start + (end - start) * middle[:, None]
            over = self.sheets_over(points, chart)
            inner = over >= 0
            inner[sheltered] |= ~self.in_sight(points[sheltered], chart[sheltered])
            low, high = np.where(inner, low, middle), np.where(inner, middle, high)
            found = np.where(over >= 0, over, found)
        return start + (end - start) * high[:, None], self._may_hide(found)

    def behind_a_flashing(self, paths: Paths) -> Flags:
        """Whether each path ran in a gap under a flashing or on a flashing's dry side, for LEAST_BEHIND in
        all."""
        rows = np.flatnonzero(self.pieces_behind(paths))
        ends = np.minimum(rows + 1, len(paths.points) - 1)
        length = np.linalg.norm(paths.points[ends] - paths.points[rows], axis=1)
        path = np.searchsorted(paths.start, rows, side="right") - 1
        return np.bincount(path, length, minlength=len(paths)) >= LEAST_BEHIND

    def pieces_behind(self, paths: Paths) -> Flags:
        """Whether the piece of path that begins at each point (p,) runs there, on any of its way."""
        charts, own = self.charts, paths.chart
        on = ~np.isin(paths.kind, NOT_ON_A_FACE)
        behind = self.dry[own] & self.flashing[own] & on
        behind |= met_along(
            charts.caster, charts.surface, paths.points, own, on & ~behind, self.flashing[::2],
            step=LOOK_STEP, lift=STANDOFF, reach=GAP - STANDOFF, facing=FACING,
        )  # fmt: skip
        dry = np.flatnonzero(behind & self.dry[own])
        behind[dry[self._along_a_rim(paths, dry)]] = False
        return behind


def _alike(paths: Paths, rows: Ints, ends: Ints) -> tuple[Ints, Ints]:
    """Pieces of paths that begin at rows (n,) and end at `ends` (n,), each kind once: which of them to
    look at (k,), and for every piece which of those it is (n,). Water that gathers in one crease goes
    on along one path."""
    last = np.minimum(ends, len(paths.points) - 1)
    key = np.column_stack(
        [paths.points[rows], paths.points[last], paths.chart[rows], paths.kind[rows]]
    )
    _, first, each = np.unique(np.round(key, ALIKE), axis=0, return_index=True, return_inverse=True)
    return first, each.reshape(-1)
