"""A pattern in words: its cuts, bends, joints and laps, in the units that are spoken."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import degrees
from re import sub

import numpy as np
import shapely
from numpy.typing import NDArray

from scenes.cutting.folds import SAME_LINE, Fold, is_hem
from scenes.cutting.lay_flat import signed_area
from scenes.cutting.lengths import bare, from_to, listed, with_unit
from scenes.cutting.pattern import Lap, Pattern, Worked
from scenes.cutting.runs import LIKE_LENGTH, joints_together, offsets_of, runs_of, wave_of
from scenes.say_text import count
from scenes.units_text import in_units, spoken

DASH = "-"
STEP = 0.0015  # [m] so far a cut in words may be off the pattern's
SLIT = 0.0015  # [m] a hole that is narrower on the mean is a slit


def pattern_rows(pattern: Pattern) -> list[tuple[str, str]]:
    """All that is said of a pattern, each with the mark before it: cuts, bends, joints, laps, notes."""
    rows = [("cut", cut_words(pattern)), *bend_rows(pattern)]
    if not pattern.folds:
        rows.append((DASH, "flat: no bends"))
    if dressed := len(pattern.folds) - len(pattern.numbered):
        narrow = count(dressed, "narrow edge")
        rows.append((DASH, f"{narrow} without a number: dressed by hand to what lies below"))
    rows += [(DASH, worked_words(some)) for some in joints_together(pattern.worked)]
    rows += [(DASH, lap_words(lap)) for lap in pattern.laps]
    if pattern.stretch > 0:
        rows.append((DASH, f"its foot is stretched by {100 * pattern.stretch:.0f} % in dressing"))
    return rows + [(DASH, note_words(note)) for note in pattern.notes]


def size_words(pattern: Pattern) -> str:
    """Width by height, without their unit."""
    return " x ".join(bare(side) for side in pattern.size)


def bend_rows(pattern: Pattern) -> list[tuple[str, str]]:
    """The numbers of the bend lines and what is said of them; those of which the same is said together,
    the two lines of a welt, and bends of one kind that are many."""
    rows: list[tuple[int, int, str]] = []
    folds = pattern.numbered
    for start, end in runs_of(folds):
        number, fold = start + 1, folds[start]
        if end > start:
            rows.append((number, end + 1, run_words(folds[start : end + 1])))
            continue
        if start and is_hem(folds[start - 1], fold):
            continue
        last = number + (number < len(folds) and is_hem(fold, folds[number]))
        words = fold_words(fold, folds[last - 1])
        if rows and rows[-1][2] == words:
            rows[-1] = (rows[-1][0], last, words)
        else:
            rows.append((number, last, words))
    return [(f"{a}" if a == b else f"{a}-{b}", words) for a, b, words in rows]


def run_words(run: Sequence[Fold]) -> str:
    """Bends of one kind in words: how many, by how much, how long, where each is, between what."""
    wave, first = wave_of(run), run[0]
    what = (
        f"{len(run)} bends" if wave is None else f"{len(run)} bends in waves, one in {bare(wave)}"
    )
    ways = {fold.up for fold in run}
    way = "up or down" if len(ways) > 1 else "up" if first.up else "down"
    angle = from_to([f"{degrees(abs(fold.angle)):.1f}" for fold in run])
    long = from_to([bare(fold.length) for fold in run])
    names = dict.fromkeys(name for fold in run for name in fold.beside)
    return f"{what}, {way} {angle} degrees, {long} long, {_places(run)}: {' and '.join(names)}"


def _places(run: Sequence[Fold]) -> str:
    """Where each line of a run is, as far as words can say it."""
    offsets = offsets_of(run)
    if offsets is None:
        far = [end for fold in run if fold.measured for end in fold.measured.ends]
        if len(far) == 2 * len(run) and max(far) < LIKE_LENGTH * min(far):
            return f"{from_to([bare(end) for end in far])} from the edge beside each"
        return "each where the pattern has it"
    middles = np.array([fold.line.mean(axis=0) for fold in run])
    for axis, name in ((0, "left"), (1, "lower")):
        if abs(run[0].line[0, axis] - run[0].line[1, axis]) < SAME_LINE:
            return f"{_listed(middles[:, axis], run)} from the {name} edge"
    others = _listed(np.abs(offsets), run, 1)
    way = "" if len({fold.up for fold in run}) == 1 else " up" if run[0].up else " down"
    return f"the first{way} {_off_words(run[0])}, the others {others} from it"


def _listed(places: NDArray[np.float64], run: Sequence[Fold], start: int = 0) -> str:
    """Places of lines one after another; where some bend up and some down, with which way."""
    ways = [fold.up for fold in run][start:]
    lengths = [bare(float(place)) for place in places][start:]
    if len({fold.up for fold in run}) == 1:
        return listed(lengths)
    parts = [
        f"{' and '.join(length for _, length in some)} {'up' if up else 'down'}"
        for up, some in groupby(zip(ways, lengths, strict=True), key=lambda one: one[0])
    ]
    return ", ".join(parts)


def fold_words(fold: Fold, last: Fold) -> str:
    """One bend line in words: which way, by how much, where, between what. last: the second line of a
    welt, the same one otherwise."""
    way = "up" if fold.up else "down"
    left, right = ("above", "below") if _is_level(fold) else ("left", "right")
    if last is fold:
        turned = f"{way} {degrees(abs(fold.angle)):.1f} degrees"
    else:
        turned = f"turned right over, {way}, along both lines"
    sides = f"{_far(fold, last, 0)} {left}, {_far(fold, last, 1)} {right}"
    return f"{turned}, {where_words(fold)}: {sides}"


def _far(fold: Fold, last: Fold, side: int) -> str:
    """What lies to one side of a bend, of a welt beyond the narrow strip between its lines."""
    return last.beside[side] if fold.beside[side] == last.beside[1 - side] else fold.beside[side]


def where_words(fold: Fold) -> str:
    """From where a bend line is measured [mm], and how long it is."""
    long = "" if fold.measured is None else f", {bare(fold.length)} long"
    return _off_words(fold) + long


def _off_words(fold: Fold) -> str:
    """From where a bend line is measured."""
    if fold.measured is None:
        ends = " to ".join(f"({bare(x)}, {bare(y)})" for x, y in fold.line)
        return f"from {ends} right and up of the lower left corner"
    near, far = (bare(end) for end in fold.measured.ends)
    name = "the edge beside it" if fold.measured.name == "edge" else f"the {fold.measured.name}"
    off = near if near == far else f"{near} at its one end and {far} at its other"
    return f"{off} from {name}"


def _is_level(fold: Fold) -> bool:
    across, up = abs(fold.line[1] - fold.line[0])
    return bool(across > up)


def worked_words(some: Sequence[Worked]) -> str:
    """A joint in words, or several of one kind: number, length, how it is made and to what."""
    first = some[0]
    other = "along its slit" if first.meets == "itself" else f"to {first.meets}"
    if len(some) == 1:
        return f"joint {first.number}, {with_unit(first.length)}: {first.how} {other}"
    numbers = from_to([f"{one.number}" for one in some])
    long = in_units(f"{from_to([f'{one.length * 1000:.0f}' for one in some])} mm", spoken())
    return f"joints {numbers}, {long} each: {first.how} {other}"


def lap_words(lap: Lap) -> str:
    """A lap in words."""
    return f"laps {with_unit(lap.width)} {'over' if lap.over else 'under'} {lap.meets}"


def cut_words(pattern: Pattern) -> str:
    """Where the outline runs, from corner to corner, each right and up of the lower left corner."""
    if len(pattern.outlines) == 1 and len(pattern.outlines[0]) == 4 and _is_rectangle(pattern):
        return f"a plain rectangle of {size_words(pattern)}"
    holes = [f"; {_hole_words(ring)}" for ring in pattern.outlines[1:]]
    return f"from corner to corner, {_corners(pattern.outlines[0])}{''.join(holes)}"


def _hole_words(ring: NDArray[np.float64]) -> str:
    """A hole by its corners, or where it is no wider than a cut, as one."""
    sides = np.roll(ring, -1, axis=0) - ring
    lengths = np.linalg.norm(sides, axis=1)
    if abs(signed_area(ring)) > SLIT * float(lengths.sum()) / 2:
        return f"a hole, {_corners(ring)}"
    start = int(lengths.argmax())
    ends = " to ".join(
        f"({bare(x)}, {bare(y)})"
        for x, y in (ring[start] + share * sides[start] for share in (0, 1))
    )
    return f"a slit from {ends}"


def _is_rectangle(pattern: Pattern) -> bool:
    width, height = pattern.size
    return abs(pattern.area - width * height) < SAME_LINE


def _corners(ring: NDArray[np.float64]) -> str:
    """The corners of a ring, from the lowest of those furthest left on, without steps that no shears make."""
    start = int(np.lexsort((ring[:, 0], np.round(ring[:, 1], 4)))[0])
    closed = np.roll(ring, -start, axis=0)[[*range(len(ring)), 0]]
    plain = shapely.get_coordinates(shapely.simplify(shapely.LineString(closed), STEP))[:-1]
    words = [f"({bare(x)}, {bare(y)})" for x, y in plain.tolist()]
    return ", ".join(word for at, word in enumerate(words) if word != words[at - 1])


def note_words(note: str) -> str:
    """A note in the units that are spoken: slivers are in square millimetres, or in square inches."""
    if spoken().is_imperial:
        note = sub(r"\b(\d+) mm2\b", lambda found: f"{int(found[1]) / 100:g} cm2", note)
    return in_units(note, spoken())
