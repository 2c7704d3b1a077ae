"""Place labels on a picture so that no two boxes overlap; pure arithmetic on pixels."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import cos, hypot, inf, pi, sin

Leader = tuple[tuple[float, float], tuple[float, float]]

SPOILT = 300.0
"""A label goes this many pixels further off rather than cover what is worth seeing altogether."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in pixels: left, top, right, bottom; y runs down."""

    left: float
    top: float
    right: float
    bottom: float

    @staticmethod
    def around(x: float, y: float, width: float, height: float) -> Box:
        """The box of that size whose middle is (x, y)."""
        return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)

    def scaled(self, by: float) -> Box:
        """The same box in units `by` times smaller."""
        return Box(by * self.left, by * self.top, by * self.right, by * self.bottom)

    @property
    def width(self) -> float:
        """Left to right [px]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Top to bottom [px]."""
        return self.bottom - self.top

    def overlaps(self, other: Box, gap: float = 0.0) -> bool:
        """True when the two are less than `gap` pixels apart."""
        across = self.left < other.right + gap and other.left < self.right + gap
        return across and self.top < other.bottom + gap and other.top < self.bottom + gap

    def inside(self, frame: Box) -> bool:
        """True when no part of this box stands out of `frame`."""
        across = frame.left <= self.left and self.right <= frame.right
        return across and frame.top <= self.top and self.bottom <= frame.bottom

    def nearest_to(self, x: float, y: float) -> tuple[float, float]:
        """The point of the box nearest to (x, y): where its leader line starts."""
        return min(max(x, self.left), self.right), min(max(y, self.top), self.bottom)

    def crossed_by(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        """True when the straight line from start to end touches the box (slab test)."""
        enter, leave = 0.0, 1.0
        for a, b, low, high in (
            (start[0], end[0], self.left, self.right),
            (start[1], end[1], self.top, self.bottom),
        ):
            run = b - a
            if run == 0:
                if not low <= a <= high:
                    return False
                continue
            first, last = sorted(((low - a) / run, (high - a) / run))
            enter, leave = max(enter, first), min(leave, last)
        return enter <= leave


@dataclass(frozen=True, slots=True)
class Wish:
    """A label that wants to stand near (x, y). `distance`: how far off it starts looking [px];
    `keep_clear`: half the size of the thing it names, which no label may cover [px]."""

    x: float
    y: float
    width: float
    height: float
    distance: float = 0.0
    keep_clear: float = 0.0


def place(
    wishes: Sequence[Wish],
    frame: Box,
    taken: Iterable[Box] = (),
    *,
    gap: float = 4.0,
    spoils: Callable[[Box], float] = lambda box: 0.0,
) -> list[Box | None]:
    """One box for each wish, in order: earlier wishes choose first.

    Each box lies in `frame`, at least `gap` pixels from every other box and from `taken`, and its
    leader line crosses none of them wherever that can be had. Spots tried: rings of 16 directions
    round the point. The cheapest counts: its distance, and SPOILT pixels more times `spoils(box)`,
    the share (0 to 1) of what the box would cover that is worth seeing. None where the frame has
    no room left.
    """
    blocked = list(taken)
    blocked += [Box.around(w.x, w.y, 2 * w.keep_clear, 2 * w.keep_clear) for w in wishes]
    own_spot = len(blocked) - len(wishes)
    leaders: list[Leader] = []
    placed: list[Box | None] = []
    for rank, wish in enumerate(wishes):
        others = blocked[: own_spot + rank] + blocked[own_spot + rank + 1 :]
        own = blocked[own_spot + rank]
        box = _best(wish, frame, others, own, leaders, gap, spoils)
        if box is None:
            box = _best(wish, frame, others, own, None, gap, spoils)
        placed.append(box)
        if box is not None:
            blocked.append(box)
            leaders.append((box.nearest_to(wish.x, wish.y), (wish.x, wish.y)))
    return placed


def _best(
    wish: Wish,
    frame: Box,
    others: list[Box],
    own: Box,
    leaders: list[Leader] | None,
    gap: float,
    spoils: Callable[[Box], float],
) -> Box | None:
    best, least = None, inf
    for x, y in _spots(wish, frame):
        away = hypot(x - wish.x, y - wish.y)
        if away >= least + wish.width:
            break
        box = Box.around(x, y, wish.width, wish.height)
        if away < least and _is_free(box, wish, frame, others, own, leaders, gap):
            cost = away + SPOILT * spoils(box)
            if cost < least:
                best, least = box, cost
    return best


def _is_free(
    box: Box,
    wish: Wish,
    frame: Box,
    others: list[Box],
    own: Box,
    leaders: list[Leader] | None,
    gap: float,
) -> bool:
    if not box.inside(frame) or any(box.overlaps(other, gap) for other in others):
        return False
    if wish.distance > 0 and box.overlaps(own, gap):
        return False
    if leaders is None:
        return True
    if any(box.crossed_by(*leader) for leader in leaders):
        return False
    leader = (box.nearest_to(wish.x, wish.y), (wish.x, wish.y))
    return not any(_blocks(other, leader) for other in others)


def _blocks(box: Box, leader: Leader) -> bool:
    real = box.right > box.left and box.bottom > box.top
    return real and box.crossed_by(*leader)


def _spots(wish: Wish, frame: Box) -> list[tuple[float, float]]:
    """Middles to try, nearest ring first; a ring follows the label's own shape."""
    spots = [(wish.x, wish.y)] if wish.distance == 0 else []
    reach = hypot(frame.right - frame.left, frame.bottom - frame.top)
    away = max(wish.distance, 2.0)
    while away < reach:
        for step in range(16):
            angle = 2 * pi * step / 16 - pi / 4
            across = (away + wish.width / 2) * cos(angle)
            down = (away + wish.height / 2) * sin(angle)
            spots.append((wish.x + across, wish.y + down))
        away += 8 + away * 0.12
    return spots
