"""A lever: one thing about a detail that a cure may change, how far, and what work that is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from math import ceil

from scenes.cures.made import Made

MILLIMETRE = 0.001
ROUND_OFF = 1e-6  # share of a step by which a value may pass a mark and still be on it


class Work(IntEnum):
    """Classes of work, the least first: an order by common practice, no source."""

    CLEAR = 0
    """Clear away what lies there."""
    MEND = 1
    """Point a chase, solder or patch a sheet that stays where it is."""
    DRESS = 2
    """Take pieces up and dress them again, cut as they are."""
    ANEW = 3
    """Cut pieces anew."""
    CHASE = 4
    """Cut the chases anew, higher or deeper, and the pieces in them."""
    COVERING = 5
    """Lift the covering, and cut or lay it anew."""
    ANOTHER = 6
    """Make it another way altogether."""


WORDS = {
    Work.CLEAR: "clear it away",
    Work.MEND: "mend it in its place",
    Work.DRESS: "take up and dress again",
    Work.ANEW: "cut anew",
    Work.CHASE: "cut the chases anew",
    Work.COVERING: "lift the covering",
    Work.ANOTHER: "make it another way",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lever:
    """One change to what is made, by more or less.

    words: what it is, in the trade's words; start, far: its value now and at the far end of what the
    trade does, in metres, radians or of no unit; step: to whole steps of which a cure is rounded, away
    from `start`; whole: it is or it isn't, and only `far` can be tried; known: it
    takes away what is known to be done wrong, so that it is tried first, wherever the water runs; right:
    between start and far, what it would be had it been made as all else was, None where it was; last: so
    near to that, or to far, there is nothing in between; beside: words for what else changes beyond it;
    usual: what is usual, None where that isn't known; put: the made thing at a value.
    """

    words: str
    work: Work
    start: float
    far: float
    step: float
    put: Callable[[Made, float], Made]
    whole: bool = False
    known: bool = False
    last: float = 0.0
    right: float | None = None
    beside: str = ""
    usual: float | None = None

    def outward(self, value: float) -> float:
        """A value between start and far, rounded to a whole step away from the start, at most to far."""
        if self.whole:
            return self.far
        up = self.far > self.start
        steps = value / self.step
        whole = ceil(steps - ROUND_OFF) if up else -ceil(-steps - ROUND_OFF)
        marked = round(whole * self.step, 9)
        stop = self.far if self.right is None else self.right
        lacks = stop - marked if up else marked - stop
        if 0 < lacks < self.last - ROUND_OFF * self.step:
            return stop
        return min(marked, self.far) if up else max(marked, self.far)

    def past_right(self, value: float) -> bool:
        """Whether a value goes on beyond what it would be had it been made as all else was."""
        if self.right is None:
            return False
        off = value - self.right if self.far > self.start else self.right - value
        return off > ROUND_OFF * self.step

    def short_of_usual(self, value: float) -> bool:
        """Whether a value, on the way from start to far, doesn't reach what is usual."""
        if self.usual is None:
            return False
        lacks = self.usual - value if self.far > self.start else value - self.usual
        return lacks > self.step / 2

    def beyond(self, value: float) -> float | None:
        """The next value after this one, one step further out; None at the far end."""
        if self.whole or value == self.far:
            return None
        return self.outward(value + (self.step if self.far > self.start else -self.step))
