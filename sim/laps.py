"""Laps, measured on the meshes alone: how far sheets lie over each other, and if that is enough."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from meshes.parts import Role
from sim.cast import Caster
from sim.laps_borders import Flags, Floats, HalfEdges, Ints, go_on
from sim.laps_sheets import Borders, look_round
from sim.laps_table import END_OF_A_FOLD, HALF_DEGREE, LYING, NARROWEST, ROUNDING
from sim.laps_ways import (
    Ways,
    edge_line,
    extent,
    in_waves,
    waves_levelled,
    ways_between,
    ways_round_corners,
)
from sim.places import WORDS, Places
from sim.rulebook import Need, need_of
from sim.slope import Slopes
from sim.surface import Surface


@dataclass(frozen=True, slots=True, eq=False)
class Lap:
    """One lap, at its weakest way. Lengths [m], points in the assembly's coordinates.

    id: 1 and up; where: in plain words, from the stack; length: straight way from the open edge to
    the edge that leads behind, or to the fold that turns the upper sheet away from the lower (of
    flashings that lie on the roof: along its plane, from an upright over one end to an upright over
    the other; of an edge folded over another's: with the fold's own breadth); rise: how much higher
    that way's inner end is; width: of the lap, across the way; needed, rule, source: the rule
    book's; edge (k, 3): the open edge; way (2, 3): the weakest way, outer end first.
    """

    id: int
    upper: str
    lower: str
    where: str
    length: float
    rise: float
    width: float
    needed: float
    rule: str
    source: str
    edge: Floats
    way: Floats

    @property
    def ok(self) -> bool:
        """Whether it is long enough, to within the rounding of `laps_table`."""
        return self.length >= self.needed - ROUNDING

    @property
    def missing(self) -> float:
        """What the lap lacks of the length that the rule book asks [m]; 0 when it is long enough."""
        return 0.0 if self.ok else self.needed - self.length


def measure_laps(surface: Surface, caster: Caster | None = None) -> tuple[Lap, ...]:
    """All laps of a surface for which the rule book has a rule, ordered by their parts and places.

    A lap is found where the open edge of an upper sheet lies over the wet side of a lower one.
    A sheet between two courses laps the next one down through the course that lies between them.
    Pairs without a rule (courses over courses, sheets over the underlay) are left out. An edge
    folded over another's is measured where it is deepest, for a fin dies out to nothing; every
    other lap where it is weakest.
    """
    borders = look_round(surface, caster or Caster.of(surface))
    measure = _Measure(surface, borders, Places.of(surface), Slopes.of(surface))
    pairs = np.unique(np.column_stack([borders.outer.part, borders.over]), axis=0)
    found = []
    for upper, lower in pairs.tolist():
        laps = measure.laps(upper, lower)
        found += sorted(laps, key=lambda lap: (lap.where, -round(lap.width, 6), lap.length))
    return tuple(replace(lap, id=row + 1) for row, lap in enumerate(found))


@dataclass(frozen=True, slots=True, eq=False)
class _Measure:
    """What a lap is measured with."""

    surface: Surface
    borders: Borders
    places: Places
    slopes: Slopes | None

    def laps(self, upper: int, lower: int) -> list[Lap]:
        """The laps of one part over another, one for each separate run of open edge; of a run that goes
        round the stack, one for each place; of one that is between courses in part, one for that part."""
        rows = np.flatnonzero((self.borders.outer.part == upper) & (self.borders.over == lower))
        outer, off_corners = self.borders.outer.rows(rows), self.borders.off_corners[rows]
        flashing = self.surface.part_roles[upper] is Role.FLASHING
        waves = None if flashing else in_waves(outer)
        if waves is not None:
            outer = waves_levelled(outer, waves)
        ways = self._ways(outer, self.borders.foot[rows], upper, lower)
        if not len(ways.open_row):
            return []
        sizes = self._sizes(ways, outer, rows, waves)
        place = self._places(outer.rows(ways.open_row))
        between = self.borders.between[rows[ways.open_row]]
        run = (outer.run[ways.open_row] * len(WORDS) + place) * 2 + between
        found = []
        for number in np.unique(run).tolist():
            here = np.flatnonzero(run == number)
            judged = here[off_corners[ways.open_row[here]]]
            row, need = self._weakest(upper, lower, ways, sizes, judged)
            if need is None:
                continue
            edge = outer.rows(ways.open_row[here])
            way = np.stack([ways.start[row], ways.inner[row]])
            lap = Lap(
                id=0, upper=self.surface.part_names[upper], lower=self.surface.part_names[lower],
                where=WORDS[place[here[0]]],
                length=float(sizes.length[row]), rise=float(sizes.rise[row]),
                width=extent(edge, way[1] - way[0]), needed=need.length, rule=need.rule,
                source=need.source, edge=edge_line(edge) + self.surface.centre,
                way=way + self.surface.centre,
            )  # fmt: skip
            if lap.width >= NARROWEST:
                found.append((lap, bool(ways.wrapped[row] > 0)))
        return _without_ends_of_folds(found)

    def _places(self, outer: HalfEdges) -> Ints:
        """The place (n,) of each piece of open edge: that of its run's middle, or its own where the run
        winds."""
        runs, run = np.unique(outer.run, return_inverse=True)
        run = run.reshape(-1)
        way = _sums(outer.inward, run, len(runs))
        size = np.linalg.norm(way, axis=1, keepdims=True)
        ahead = go_on(outer.inward, (way / np.where(size > 0, size, 1.0))[run])
        winds = np.bincount(run, ~ahead, len(runs)) > 0
        middle = _sums(outer.middle, run, len(runs)) / np.bincount(run)[:, None]
        place = self.places.numbers(np.concatenate([outer.middle, middle]))
        return np.where(winds[run], place[: len(run)], place[len(run) :][run])

    def _ways(self, outer: HalfEdges, foot: Floats, upper: int, lower: int) -> Ways:
        """Ways to the lower sheet's borders, along it; and to the upper's folds away from it."""
        borders = self.borders
        hidden, wrapped = borders.under(upper, lower)
        away = borders.folds.rows((borders.folds.part == upper) & borders.leaves[:, lower])
        corners, onward = borders.corners_under(upper, lower)
        found = ways_between(foot, outer, hidden, wrapped)
        found = found.or_shorter(ways_round_corners(foot, outer, corners, onward, hidden))
        return found.or_shorter(ways_between(outer.middle, outer, away))

    def _sizes(self, ways: Ways, outer: HalfEdges, rows: Ints, waves: Flags | None) -> _Sizes:
        """Ways as they are judged: those of flashings that lie on the roof, in its plane; so are those of
        other sheets in waves, for from a crest to a trough it is nearer than along either. rows: of the open
        edges; waves: which of those are, None for a flashing's."""
        straight = ways.inner - ways.start
        length, rise = ways.length, straight[:, 2]
        row = rows[ways.open_row]
        upright, between = self.borders.upright[row], self.borders.between[row]
        if self.slopes is not None:
            along = self.slopes.along(ways.start, straight)
            if waves is None:
                both = np.linalg.norm(straight, axis=1) * np.linalg.norm(along, axis=1)
                lies = ((straight * along).sum(axis=1) > np.cos(LYING) * both) & ~ways.bent
                # A sheet between courses lies as they do, without a bend at any nose.
                lies &= ~between
            else:
                lies = waves[ways.open_row] & ~upright & ~ways.bent
            length = np.where(lies, np.linalg.norm(along, axis=1), length)
            rise = np.where(lies, along[:, 2], rise)
        pitch = np.full(len(length), np.nan)
        if self.slopes is not None:
            pitch = self.slopes.pitches(ways.start)
        square_in = self._square_in(ways.start, outer.inward[ways.open_row], upright)
        return _Sizes(length + ways.wrapped, rise, upright, between, square_in, pitch)

    def _square_in(self, points: Floats, inward: Floats, upright: Flags) -> Floats:
        """How steeply the way square in from open edges climbs (n,) [rad], by the roof's plane where a
        sheet lies: along the fall line the way is level, though the covering has waves."""
        rise = np.clip(inward[:, 2], -1, 1)
        if self.slopes is not None:
            along = self.slopes.along(points, inward)
            size = np.linalg.norm(along, axis=1)
            lying = ~upright & (size > 0)
            rise = np.where(lying, along[:, 2] / np.where(size > 0, size, 1.0), rise)
        return np.arcsin(rise)

    def _weakest(
        self, upper: int, lower: int, ways: Ways, sizes: _Sizes, rows: Ints
    ) -> tuple[int, Need | None]:
        """The way (of rows) that a lap is judged by, and what it needs: None without a rule."""
        roles = self.surface.part_roles
        by_length = np.lexsort((rows, np.round(sizes.length[rows], 6)))
        first: tuple[int, Need] | None = None
        last: tuple[int, Need] | None = None
        for row in rows[by_length].tolist():
            length, rise = float(sizes.length[row]), float(sizes.rise[row])
            pitch = None if self.slopes is None else _to_half_a_degree(float(sizes.pitch[row]))
            need = need_of(
                roles[upper], roles[lower], length, rise, wraps=bool(ways.wrapped[row] > 0),
                upright=bool(sizes.upright[row]), square_in=float(sizes.square_in[row]), roof_pitch=pitch,
                between_courses=bool(sizes.between[row]),
            )  # fmt: skip
            if need is None:
                continue
            first, last = first or (row, need), (row, need)
            if not ways.wrapped[row] > 0:
                return first
        return last or (-1, None)


@dataclass(frozen=True, slots=True, eq=False)
class _Sizes:
    """Length and rise of ways (n,) [m] as they are judged, whether they run up an upright face, whether
    a course lies between the two sheets, how steeply it climbs square in from their open edge [rad],
    and the roof's pitch there [rad], not a number without a covering."""

    length: Floats
    rise: Floats
    upright: Flags
    between: Flags
    square_in: Floats
    pitch: Floats


def _sums(rows: Floats, run: Ints, count: int) -> Floats:
    """The sum of the rows (n, 3) of each run (count, 3); run (n,): of each row."""
    return np.column_stack([np.bincount(run, column, count) for column in rows.T])


def _without_ends_of_folds(laps: list[tuple[Lap, bool]]) -> list[Lap]:
    """Laps less those at the own ends of an edge that is folded over another's (the flag)."""
    widest = max((lap.width for lap, folded in laps if folded), default=0.0)
    return [lap for lap, folded in laps if not folded or lap.width >= END_OF_A_FOLD * widest]


def _to_half_a_degree(angle: float) -> float:
    return round(angle / HALF_DEGREE) * HALF_DEGREE
