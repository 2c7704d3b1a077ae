"""The fin joint at a front corner: two upright edges down the slope, an ear, and a fold over both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos, atan2, cos, pi, sin, tan

import numpy as np

from meshes.errors import require
from meshes.layout import Layout
from meshes.line import Line, between, height
from meshes.piece import Named, upright
from meshes.sheet import Point
from meshes.spec import Side

EAR_TIP = 0.9  # an ear's tip as a share of the fin's height there: trimmed to lie within the fin
CLEAR_OF_COVER = 0.003  # [m] the folded edge ends this far above the apron's cover


@dataclass(frozen=True, slots=True)
class Fin:
    """The apron's fin: from its lower end (y, z) to its upper end at the corner's upright, straight."""

    low: tuple[float, float]
    high: tuple[float, float]
    corner: tuple[float, float]

    @staticmethod
    def of(layout: Layout) -> Fin:
        """The fin tapers from the overhang's width at the stack to nothing at the apron's lower edge."""
        gap, detail = layout.detail.gap, layout.detail
        pitch = detail.roof.pitch
        y = -layout.front_lines["apron"]
        corner = (y, height(layout.cover_line("apron"), y))
        room = layout.water_line(y) - corner[1] - 0.012
        tall = min(detail.apron.overhang / cos(pitch), room)
        require(
            tall > 0.015,
            "fin",
            f"{tall * 1000:.0f} mm tall",
            "over 15 mm tall: it needs a wider apron overhang and a higher side upstand",
        )
        edge = layout.apron_edge
        nose_plane = edge * tan(pitch)
        return Fin((edge, nose_plane + 3 * gap / cos(pitch)), (y, corner[1] + tall), corner)

    def top(self, y: float, above: float = 0.0) -> float:
        """Height z [m] of the fin's edge over y, `above` [m] square to it."""
        return self.low[1] + self.slope * (y - self.low[0]) + above * (1 + self.slope**2) ** 0.5

    @property
    def slope(self) -> float:
        """Tangent of the edge's own slope."""
        return (self.high[1] - self.low[1]) / (self.high[0] - self.low[0])


def apron_fin(layout: Layout, fin: Fin, x: float, side: Side) -> list[Named]:
    """Fin of the apron with its ear, and the piece of upstand that stands with it, drawn at the right.

    The overhang has a surplus round the corner of 90 degrees less the pitch there; it is pleated into
    two leaves, laid against the outside of the fin with their mouth down the slope, or up it.
    """
    gap = layout.detail.gap
    way = 1 if layout.detail.facing == "down-slope" else -1
    above = fin_above(layout, side)
    y0, z0 = fin.corner
    base = between(layout.cover_line("apron"), layout.apron_edge, y0)
    down = np.array(base[-2] - base[-1])
    fall = atan2(-down[1], -down[0])
    normal = fall + pi / 2
    surplus = pi - (pi / 2 + fall)
    reach = _reach(fin, normal, above)
    split = gap / reach

    def ray(angle: float) -> np.ndarray:
        """Direction (y, z) at an angle from the upslope level."""
        return np.array([cos(angle), sin(angle)])

    first, second = ray(normal + split / 2), ray(normal - split / 2)
    lift = 2 * gap / (EAR_TIP * reach)

    def tip(angle: float) -> np.ndarray:
        flat = ray(normal + way * angle) * cos(lift)
        return np.array([sin(lift), flat[0], flat[1]])

    def excess(angle: float) -> float:
        t = tip(angle)
        leaves = acos(t[1:] @ first) + acos(t[1:] @ second)
        return leaves - surplus - split

    turn = _root(excess, 0.01, pi / 2 - 0.01)
    p1 = _on_edge(fin, first, above)
    p2 = _on_edge(fin, second, above)
    t = tip(turn) * EAR_TIP * min(reach, _reach(fin, normal + way * turn, above))
    ear: Point = (x + float(t[0]), y0 + float(t[1]), z0 + float(t[2]))
    a1: Point = (x, float(p1[0]), float(p1[1]))
    a2: Point = (x, float(p2[0]), float(p2[1]))
    c: Point = (x, y0, z0)
    top = (y0, fin.top(y0, above))
    rows = [*base.tolist(), p1.tolist(), (base[0, 0], fin.top(base[0, 0], above))]
    named: list[Named] = [
        ("fin", upright(x, rows)),
        ("ear under", [c, a1, ear]),
        ("ear over", [c, ear, a2]),
        ("fin at stack", [c, a2, (x, *top)]),
    ]
    if above > 0:
        named += fold_over(fin, layout, side, x, toward=1)
    return named


def _root(excess: Callable[[float], float], low: float, high: float) -> float:
    """Root of a rising function by halving; scipy's solvers cost 0.3 s of every start to import."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if excess(middle) < 0 else (low, middle)
    return (low + high) / 2


def fin_start(layout: Layout) -> float:
    """y [m] where a side flashing's upstand steps down to its fin: just in front of the corner."""
    return -layout.front_lines["apron"] - 4 * layout.detail.gap


def fin_above(layout: Layout, side: Side) -> float:
    """How far the apron's fin stands above the fin's line: a gap where it is folded over the side's."""
    return 0.0 if layout.earlier("apron", side) else layout.detail.gap


def side_fin(layout: Layout, fin: Fin, side: Side) -> list[tuple[float, float]]:
    """Rows (y, z) that carry a side flashing's upstand on down the slope as a fin, after its water line."""
    above = layout.detail.gap - fin_above(layout, side)
    low = fin_start(layout)
    return [(low, fin.top(low, above)), (layout.apron_edge, fin.top(layout.apron_edge, above))]


def fold_over(fin: Fin, layout: Layout, side: Side, x: float, *, toward: int) -> list[Named]:
    """The edge of the outer sheet, folded over the inner one's and down its other face.

    x: plane of the sheet that is folded; toward: -1 folds to the stack's middle, +1 away from it.
    """
    gap, detail = layout.detail.gap, layout.detail
    apart = layout.side_lines[side] - layout.side_lines["apron"]
    across = apart + gap
    far = x + toward * across
    deep = detail.sides.fold_over + 2 * gap
    # Turned outward, it must also pass the side's upright edge.
    high = fin_start(layout) - (0 if toward < 0 else gap)
    cover = between(layout.cover_line("apron" if toward < 0 else side), layout.apron_edge, high)

    def top(y: float) -> float:
        return fin.top(y, gap)

    upright_depth = deep * (1 + fin.slope**2) ** 0.5
    spare = np.array([top(y) - z for y, z in cover]) - CLEAR_OF_COVER - 0.002
    if spare.max() <= 0 or deep <= 0.002:
        return []
    low = _first_clear(cover, top)
    ys = sorted({low, high, *[float(y) for y, _ in cover if low < y < high]})
    edge = [(y, max(top(y) - upright_depth, _over(cover, y))) for y in ys]
    rows = [(ys[0], top(ys[0])), (high, top(high))]
    rows += [row for row in reversed(edge) if row[1] < top(row[0]) - 1e-6]
    crossing: list[Point] = [
        (x, ys[0], top(ys[0])),
        (x, high, top(high)),
        (far, high, top(high)),
        (far, ys[0], top(ys[0])),
    ]
    return [("fold over", crossing), ("folded edge", upright(far, rows))]


def _over(cover: Line, y: float) -> float:
    """Lowest height [m] for a folded edge over y: clear of every step of the cover near it."""
    near = cover[np.abs(cover[:, 0] - y) < 0.004]
    highest = max([height(cover, y), *near[:, 1].tolist()])
    return highest + CLEAR_OF_COVER


def _first_clear(cover: Line, top: Callable[[float], float]) -> float:
    """Lowest y from which the fin's edge stays clear of the cover by 5 mm all the way up."""
    ys = np.linspace(cover[0, 0], cover[-1, 0], 400)
    short = [y for y in ys if top(y) - _over(cover, float(y)) < 0.002]
    return float(short[-1] if short else ys[0])


def _reach(fin: Fin, angle: float, above: float) -> float:
    hit = _on_edge(fin, np.array([cos(angle), sin(angle)]), above)
    return float(np.hypot(hit[0] - fin.corner[0], hit[1] - fin.corner[1]))


def _on_edge(fin: Fin, way: np.ndarray, above: float) -> np.ndarray:
    """Where a ray from the corner meets the fin's straight edge: (y, z)."""
    start = fin.top(fin.corner[0], above) - fin.corner[1]
    along = start / (way[1] - fin.slope * way[0])
    return np.array([fin.corner[0] + along * way[0], fin.corner[1] + along * way[1]])
