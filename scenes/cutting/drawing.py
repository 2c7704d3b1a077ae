"""What is drawn of a pattern, in millimetres: strokes by layer, and texts that don't lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenes.cutting.folds import Fold, is_hem
from scenes.cutting.lettering import Board, Text
from scenes.cutting.pattern import Pattern
from scenes.cutting.runs import joints_together, runs_of
from scenes.units import METRIC, Units

Layer = Literal["cut", "bend up", "bend down", "mark"]
LAYERS: tuple[Layer, ...] = ("cut", "bend up", "bend down", "mark")
MM = 1000.0
LETTERS = (4.0, 14.0)  # [mm] least and most height of letters
PER_LETTER = 75.0  # [1] letters are so many times smaller than the blank
SHARES = (
    0.5,
    0.4,
    0.6,
    0.3,
    0.7,
    0.2,
    0.8,
    0.1,
    0.9,
    0.45,
    0.55,
    0.35,
    0.65,
    0.25,
    0.75,
    0.15,
    0.85,
)
TICK = 0.35  # [1] of a letter, an arrow's head


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """A line of points (n, 2) [mm], y upwards; closed: whether it ends where it began."""

    layer: Layer
    points: NDArray[np.float64]
    closed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A pattern that begins at (0, 0), with what is written on it and round it; y upwards.

    box: (low, high) corners of all of it [mm]; letter: height of its letters [mm].
    """

    strokes: tuple[Stroke, ...]
    texts: tuple[Text, ...]
    box: tuple[NDArray[np.float64], NDArray[np.float64]]
    letter: float


def drawing_of(
    pattern: Pattern, letter: float | None = None, units: Units = METRIC, *, together: bool = False
) -> Drawing:
    """The drawing of a pattern at full size: cuts, bends with number, angle and way, how far they are
    from what edge, joints, laps, overall size, and which way goes up the slope.

    letter: height of its letters [mm], None for what can be read at full size; units: of what is written;
    together: bends and joints of one kind that are many have one text, as in the words beside it.
    """
    width, height = (side * MM for side in pattern.size)
    if letter is None:
        letter = float(np.clip(max(width, height) / PER_LETTER, *LETTERS))
    strokes = [Stroke("cut", ring * MM, closed=True) for ring in pattern.outlines]
    strokes += [
        Stroke("bend up" if fold.up else "bend down", fold.line * MM) for fold in pattern.folds
    ]
    drawn = [
        np.vstack([one.points, one.points[:1]]) if one.closed else one.points for one in strokes
    ]
    board = Board(drawn, (width, height), letter)
    marks = _overall(board, width, height, units)
    if pattern.up is not None:
        marks += _up_arrow(board, pattern.up, width, height)
    board.keep_off(marks)
    rows = pattern.numbered
    runs = runs_of(rows) if together else [(at, at) for at in range(len(rows))]
    for start, end in runs:
        if start == 0 or not is_hem(rows[start - 1], rows[start]):
            fold, words = _label(rows, start, end)
            marks += board.along(fold.line * MM, words)
    for at in sorted({at for run in runs for at in run}):
        if at == 0 or not is_hem(rows[at - 1], rows[at]):
            marks += _distance(board, rows[at], units)
    joints = joints_together(pattern.worked) if together else [(one,) for one in pattern.worked]
    for some in joints:
        longest = max(some[0].lines, key=lambda line: float(np.linalg.norm(line[1] - line[0])))
        called = f"joint {some[0].number}"
        if len(some) > 1:
            called = f"joints {some[0].number} to {some[-1].number}"
        marks += board.along(longest * MM, called)
    for lap in pattern.laps:
        marks.append(lap.line * MM)
        marks += board.along(lap.line * MM, f"lap {_bare(lap.width * MM, units, 0)}")
    strokes += [Stroke("mark", line) for line in marks]
    corners = [one.points for one in strokes] + [text.corners for text in board.texts]
    points = np.vstack(corners)
    return Drawing(
        tuple(strokes),
        tuple(board.texts),
        (points.min(axis=0), points.max(axis=0)),
        letter,
    )


def _label(rows: Sequence[Fold], start: int, end: int) -> tuple[Fold, str]:
    """What is written of a bend, of the two of a hem, or of several of one kind, and along which."""
    if end > start:
        run = rows[start : end + 1]
        shown = run[len(run) // 2]
        ways = {"up" if fold.up else "down" for fold in run}
        way = " and ".join(sorted(ways, reverse=True))
        return shown, f"{start + 1}-{end + 1}: {degrees(abs(shown.angle)):.1f}° {way}"
    fold, number = rows[start], start + 1
    hem = number < len(rows) and is_hem(fold, rows[number])
    called = f"{number} and {number + 1}" if hem else f"{number}"
    angle = abs(fold.angle) + (abs(rows[number].angle) if hem else 0.0)
    return fold, f"{called}: {degrees(angle):.1f}° {'up' if fold.up else 'down'}"


def _bare(length: float, units: Units, decimals: int = 1) -> str:
    """A length [mm] without its unit: millimetres, or inches to a sixteenth."""
    if units.is_imperial:
        return units.length(length / MM).removesuffix(" in")
    return f"{length:.{decimals}f}"


def _overall(board: Board, width: float, height: float, units: Units) -> list[NDArray[np.float64]]:
    """Overall width below the blank, overall height to its left."""
    off = 2.2 * board.letter
    marks = _measure(np.array([0.0, -off]), np.array([width, -off]), board.letter)
    marks += _measure(np.array([-off, 0.0]), np.array([-off, height]), board.letter)
    board.put(np.array([width / 2, -off - 0.8 * board.letter]), _bare(width, units), 0.0)
    board.put(np.array([-off - 0.8 * board.letter, height / 2]), _bare(height, units), 90.0)
    return marks


def _measure(
    a: NDArray[np.float64], b: NDArray[np.float64], letter: float
) -> list[NDArray[np.float64]]:
    """A dimension line with a slanting tick at each end."""
    along = (b - a) / np.linalg.norm(b - a)
    slant = np.array([along[0] - along[1], along[1] + along[0]]) * TICK * letter
    return [np.array([a, b]), *(np.array([end - slant, end + slant]) for end in (a, b))]


def _distance(board: Board, fold: Fold, units: Units) -> list[NDArray[np.float64]]:
    """How far a bend lies from the edge that it is measured from, where there is room to write it."""
    if fold.measured is None:
        return []
    line, edge = fold.line * MM, fold.measured.edge * MM
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    low, high = sorted(float((end - line[0]) @ along) for end in edge)
    low, high = max(low, 0.0), min(high, float(np.linalg.norm(line[1] - line[0])))
    way = (edge[1] - edge[0]) / np.linalg.norm(edge[1] - edge[0])
    for share in SHARES:
        a = line[0] + along * (low + (high - low) * share)
        b = edge[0] + way * float((a - edge[0]) @ way)
        far = float(np.linalg.norm(b - a))
        if board.measure(np.array([a, b]), _bare(far, units)):
            return _measure(a, b, board.letter)
    return []


def _up_arrow(
    board: Board, up: NDArray[np.float64], width: float, height: float
) -> list[NDArray[np.float64]]:
    """An arrow to the right of the blank, and what it says."""
    long = 8 * board.letter
    foot = np.array([width + 7 * board.letter + max(0.0, -up[0]) * long, height * 0.5])
    tip = foot + up * long
    across = np.array([-up[1], up[0]])
    barbs = [
        np.array([tip, tip - (up + side * across * 0.5) * board.letter]) for side in (-1.0, 1.0)
    ]
    board.put(foot + np.array([0.0, -1.2 * board.letter]), "up the slope", 0.0)
    return [np.array([foot, tip]), *barbs]
