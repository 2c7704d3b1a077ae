"""The blank: the flat piece before folding, found by unfolding, and folding it again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from meshes.sheet import Facets, in_plane, normal_of


@dataclass(frozen=True, slots=True, eq=False)
class Bend:
    """One bend line between two panels of a blank.

    panels: (panel it is unfolded from, panel unfolded); line: (2, 2) ends on the blank [m];
    angle: turn from flat, positive when the wet side closes (folds up) [rad].
    """

    panels: tuple[int, int]
    line: NDArray[np.float64]
    angle: float


@dataclass(frozen=True, slots=True, eq=False)
class Blank:
    """Flat panels (each (k, 2) [m]) with the bends that join them, and the joints that must be
    dressed, soldered or patched because no flat sheet has them (`worked`: pairs of panels)."""

    panels: tuple[NDArray[np.float64], ...]
    names: tuple[str, ...]
    bends: tuple[Bend, ...]
    worked: tuple[tuple[int, int], ...]

    @property
    def area(self) -> float:
        """Area of all panels [m2]."""
        return float(sum(abs(_signed_area(panel)) for panel in self.panels))


def unfold(sheet: Facets) -> Blank:
    """Lay a folded sheet flat, panel by panel, across its longest bends first.

    The first panel lies with its longest edge along the first axis. Every panel keeps its shape.
    """
    rows = [list(row) for row in sheet.polygons]
    shared = _shared_edges(rows, sheet.points)
    tree = _longest_tree(len(rows), shared)
    flat: dict[int, NDArray[np.float64]] = {0: in_plane(sheet.points[rows[0]])}
    bends = []
    waiting = list(tree)
    while waiting:
        pair = next(p for p in waiting if (p[0] in flat) != (p[1] in flat))
        waiting.remove(pair)
        known, new = pair if pair[0] in flat else pair[::-1]
        start, end = shared[(min(known, new), max(known, new))][0]
        a, b = (flat[known][rows[known].index(point)] for point in (start, end))
        own = in_plane(sheet.points[rows[new]])
        c, d = (own[rows[new].index(point)] for point in (start, end))
        flat[new] = _moved(own, c, d, a, b)
        bends.append(Bend((known, new), np.array([a, b]), _turn(sheet, known, new, start, end)))
    bent = {tuple(sorted(pair)) for pair in tree}
    worked = tuple(pair for pair in sorted(shared) if pair not in bent)
    panels = tuple(flat[index] for index in range(len(rows)))
    return Blank(panels, sheet.names, tuple(bends), worked)


def fold(blank: Blank) -> tuple[NDArray[np.float64], ...]:
    """Fold a blank at its bends: corners of every panel (k, 3) [m], the first panel staying flat."""
    still = [np.column_stack([panel, np.zeros(len(panel))]) for panel in blank.panels]
    moves: dict[int, tuple[NDArray[np.float64], NDArray[np.float64]]] = {
        0: (np.eye(3), np.zeros(3))
    }
    for bend in blank.bends:
        turn, shift = moves[bend.panels[0]]
        a, b = (turn @ np.array([*end, 0.0]) + shift for end in bend.line)
        spin = _rotation((b - a) / np.linalg.norm(b - a), _hand(blank, bend) * bend.angle)
        moves[bend.panels[1]] = (spin @ turn, spin @ (shift - a) + a)
    return tuple(panel @ moves[i][0].T + moves[i][1] for i, panel in enumerate(still))


def _hand(blank: Blank, bend: Bend) -> float:
    """+1 when the panel unfolded lies to the left of the bend line, so that folding up turns it so."""
    a, b = bend.line
    side = blank.panels[bend.panels[1]] - a
    cross = (b - a)[0] * side[:, 1] - (b - a)[1] * side[:, 0]
    return 1.0 if cross[np.argmax(np.abs(cross))] > 0 else -1.0


def _turn(sheet: Facets, known: int, new: int, start: int, end: int) -> float:
    first = normal_of(sheet.points[list(sheet.polygons[known])])
    second = normal_of(sheet.points[list(sheet.polygons[new])])
    axis = sheet.points[end] - sheet.points[start]
    axis = axis / np.linalg.norm(axis)
    row = list(sheet.polygons[new])
    along = row[(row.index(start) + 1) % len(row)] == end
    # The new panel lies left of the axis when its own winding runs along it.
    turn = float(np.arctan2(np.cross(first, second) @ axis, first @ second))
    return turn if along else -turn


def _shared_edges(
    rows: list[list[int]], points: NDArray[np.float64]
) -> dict[tuple[int, int], list[tuple[int, int]]]:
    owners: dict[frozenset[int], list[int]] = {}
    for panel, row in enumerate(rows):
        for start, end in zip(row, row[1:] + row[:1], strict=True):
            owners.setdefault(frozenset((start, end)), []).append(panel)
    shared: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for edge, panels in owners.items():
        if len(panels) == 2:
            start, end = sorted(edge)
            shared.setdefault((min(panels), max(panels)), []).append((start, end))
    for edges in shared.values():
        edges.sort(key=lambda e: (-float(np.linalg.norm(points[e[1]] - points[e[0]])), e))
    return dict(
        sorted(
            shared.items(),
            key=lambda item: (
                -sum(float(np.linalg.norm(points[b] - points[a])) for a, b in item[1]),
                item[0],
            ),
        )
    )


def _longest_tree(
    count: int, shared: dict[tuple[int, int], list[tuple[int, int]]]
) -> list[tuple[int, int]]:
    group = list(range(count))
    tree = []
    for pair in shared:
        first, second = group[pair[0]], group[pair[1]]
        if first != second:
            tree.append(pair)
            group = [first if g == second else g for g in group]
    return tree


def _moved(
    panel: NDArray[np.float64],
    c: NDArray[np.float64],
    d: NDArray[np.float64],
    a: NDArray[np.float64],
    b: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Turn and shift a panel in its plane so that its points c, d come to lie on a, b."""
    before, after = complex(*(d - c)), complex(*(b - a))
    turn = after / before
    turn /= abs(turn)
    moved = (panel - c) @ np.array([[turn.real, turn.imag], [-turn.imag, turn.real]])
    return moved + a


def _rotation(axis: NDArray[np.float64], angle: float) -> NDArray[np.float64]:
    """Rotation matrix (3, 3) about a unit axis (Rodrigues)."""
    x, y, z = axis
    skew = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * skew + (1 - np.cos(angle)) * skew @ skew


def _signed_area(panel: NDArray[np.float64]) -> float:
    x, y = panel.T
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)
