"""Both sides of a comparison as stages: the same drops, letters, colours and numbers in both."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from meshes.parts import Assembly, Role
from scenes.colours import Colour
from scenes.compare import Comparison
from scenes.compare_parts import WORTH_MARKING, is_another_stack, marked, triangles_of
from scenes.compare_surface import elsewhere
from scenes.faults.apply import flashings_made_right
from scenes.run import Result, stage_of
from scenes.stage import LeakMark, Piece, Stage
from scenes.stage_letters import keyed
from scenes.stage_water import MOST_BEHIND, MOST_PATHS
from sim.fates import Fate
from sim.shares import evenly

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Side = Literal["first", "second"]


@dataclass(frozen=True, slots=True, eq=False)
class Differs:
    """A part that is marked: its triangles that lie elsewhere than in the other scene (n, 3, 3), those
    of the other that are not here (m, 3, 3), and all that it has here (k, 3, 3) [m]; each may be 0."""

    name: str
    here: Floats
    there: Floats
    whole: Floats


def stages(comparison: Comparison) -> tuple[Stage, Stage]:
    """Both results as they are shown side by side."""
    return staged(comparison, with_the_same_drops(comparison))


def staged(comparison: Comparison, results: tuple[Result, Result]) -> tuple[Stage, Stage]:
    """As `stages`, of results that `with_the_same_drops` gave."""
    one, two = (stage_of(result) for result in results)
    first, second = comparison.first.assembly, comparison.second.assembly
    names = {part.name for part in first}
    union = Assembly((*first, *(part for part in second if part.name not in names)))
    sides = (comparison.first, comparison.second)
    known = {name for side in sides for name in flashings_made_right(side.scene)}
    known |= {part.name for part in first if part.role is Role.FLASHING} if known else set()
    key = {part.name: (letter, colour) for part, letter, colour in keyed(union, known)}

    def alike(stage: Stage, side: Side) -> Stage:
        numbers = leak_numbers(comparison, side)
        pieces = tuple(_keyed(piece, *key[piece.name]) for piece in stage.pieces)
        return replace(stage, pieces=pieces, leaks=_numbered(stage.leaks, numbers))

    return alike(one, "first"), alike(two, "second")


def leak_numbers(comparison: Comparison, side: Side) -> dict[int, int]:
    """The number that both views give to a leak of one side, by its own number there."""
    rows = comparison.found["leaks"]
    return {row[side]["id"]: row["number"] for row in rows if row[side]}


def differing(comparison: Comparison) -> tuple[tuple[Differs, ...], tuple[Differs, ...]]:
    """What to mark in the first view and in the second; how the other side lies is left out where
    even the stack is another."""
    names = marked(comparison.parts)
    one, two = (
        {part.name: triangles_of(part) for part in result.assembly}
        for result in (comparison.first, comparison.second)
    )
    none = np.empty((0, 3, 3))
    pairs = [(name, one.get(name, none), two.get(name, none)) for name in names]
    apart = [(_far(a, b), _far(b, a)) for _, a, b in pairs]
    if is_another_stack(comparison.parts):
        return _all_of(pairs, 1), _all_of(pairs, 2)
    return (
        tuple(
            Differs(name, a, b, one) for (name, one, _), (a, b) in zip(pairs, apart, strict=True)
        ),
        tuple(
            Differs(name, b, a, two) for (name, _, two), (a, b) in zip(pairs, apart, strict=True)
        ),
    )


def _all_of(pairs: list[tuple[str, Floats, Floats]], side: Literal[1, 2]) -> tuple[Differs, ...]:
    """Parts marked whole, each as it is on one side."""
    none = np.empty((0, 3, 3))
    return tuple(Differs(row[0], row[side], none, row[side]) for row in pairs if len(row[side]))


def _far(these: Floats, others: Floats) -> Floats:
    """Triangles that lie elsewhere than on the others by more than their dressing order can make."""
    if len(these) == 0 or len(others) == 0:
        return these
    return elsewhere(these, others, WORTH_MARKING)


def _keyed(piece: Piece, letter: str, colour: Colour) -> Piece:
    return replace(piece, letter=letter, colour=colour)


def _numbered(leaks: Iterable[LeakMark], numbers: dict[int, int]) -> tuple[LeakMark, ...]:
    rows = [replace(leak, number=numbers[leak.number]) for leak in leaks]
    return tuple(sorted(rows, key=lambda leak: leak.number))


def with_the_same_drops(comparison: Comparison) -> tuple[Result, Result]:
    """Both results with the paths of the same drops: some that get behind in either, and of the rest
    an even choice."""
    from sim.trace import record

    runs = (comparison.first, comparison.second)
    lost = [run.drops.drop[np.isin(run.trace.fate, (Fate.UNDERLAY, Fate.INSIDE))] for run in runs]
    wet = np.union1d(*lost)
    landed = np.intersect1d(runs[0].drops.drop, runs[1].drops.drop)
    dry = np.setdiff1d(landed, wet)
    chosen = [_evenly(wet, MOST_BEHIND), _evenly(dry, MOST_PATHS - MOST_BEHIND)]
    numbers = np.sort(np.concatenate(chosen))
    same = []
    for run in runs:
        rows = np.flatnonzero(np.isin(run.drops.drop, numbers))
        paths = record(run.charts, run.drops, rows)
        same.append(replace(run, rows=rows, paths=paths, leak_of=_leak_of(run, rows)))
    return same[0], same[1]


def _leak_of(run: Result, rows: Ints) -> NDArray[np.int32]:
    """The number of the leak that each of some drops' rows belongs to, 0 for none."""
    numbers = np.zeros(len(run.drops), np.int32)
    for leak in run.findings.leaks:
        numbers[leak.rows] = leak.id
    return numbers[rows]


def _evenly(numbers: Ints, most: int) -> Ints:
    return numbers[evenly(len(numbers), most)]
