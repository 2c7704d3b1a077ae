"""What the window shows at a moment, as one plain value: what keys and clicks change. Nothing is drawn
here."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

SLOWER: Final = (1, 2, 4, 8, 16, 32)
"""How many times slower than in truth water can be shown to move."""
USUAL_SLOW: Final = 2

Kind = Literal["piece", "path", "lap", "leak"]


@dataclass(frozen=True, slots=True)
class Picked:
    """A thing that was asked about. number: of a piece, its place in the stage; of a path, its place
    among the kept ones; of a lap or a leak, its number in the text."""

    kind: Kind
    number: int


@dataclass(frozen=True, slots=True)
class Shown:
    """views: how many named ones there are; leaks: how many; dressed: the flashings, by their places in
    the stage, in dressing order.

    view: place of the named view that the camera was last sent to; leak: number of the leak that it was
    sent close to instead, 0 for none; sent: how often it was sent anywhere, so that asking again for the
    same sends it there again; turned: whether it was turned by hand since. hidden: places in the stage of
    pieces hidden by hand; peeled: how many of the last dressed are taken off; playing, time [s]: whether
    water runs, and since when by its own clock, which goes `slow` times slower than a true one.
    """

    views: int
    leaks: int
    dressed: tuple[int, ...]
    view: int = 0
    leak: int = 0
    sent: int = 0
    turned: bool = False
    picked: Picked | None = None
    hidden: frozenset[int] = frozenset()
    peeled: int = 0
    apart: bool = False
    see_through: bool = False
    playing: bool = False
    time: float = 0.0
    slow: int = USUAL_SLOW

    @property
    def out_of_sight(self) -> frozenset[int]:
        """Places of all pieces that are not shown: hidden by hand, or peeled off."""
        return self.hidden | set(self.dressed[len(self.dressed) - self.peeled :])

    @property
    def water(self) -> bool:
        """Whether water, leaks and laps are shown: not on pieces that are apart."""
        return not self.apart

    def next_leak(self) -> Shown:
        """Close on the leak after this one; after the last, the first."""
        return self._at_leak(self.leak % self.leaks + 1) if self.leaks else self

    def leak_before(self) -> Shown:
        """Close on the leak before this one; before the first, the last."""
        return self._at_leak((self.leak - 2) % self.leaks + 1 if self.leak else self.leaks)

    def _at_leak(self, number: int) -> Shown:
        if not self.leaks:
            return self
        asked = Picked("leak", number)
        sent = self.sent + 1
        return replace(self, leak=number, picked=asked, apart=False, sent=sent, turned=False)

    def from_view(self, number: int) -> Shown:
        """All of it, seen from the view at this place; unchanged where there is none."""
        if not 0 <= number < self.views:
            return self
        return replace(self, view=number, leak=0, sent=self.sent + 1, turned=False)

    def turn(self) -> Shown:
        """The camera was turned by hand."""
        return replace(self, turned=True)

    def pick(self, what: Picked | None) -> Shown:
        """Ask about a thing; None: about nothing more."""
        return replace(self, picked=what)

    def hide(self) -> Shown:
        """Hide the picked piece, or show it again; unchanged while none is picked."""
        if self.picked is None or self.picked.kind != "piece":
            return self
        return replace(self, hidden=self.hidden ^ {self.picked.number})

    def take_off(self) -> Shown:
        """Take off the piece that was dressed last of those still on."""
        return replace(self, peeled=min(self.peeled + 1, len(self.dressed)))

    def put_back(self) -> Shown:
        """Put back the piece that was taken off last."""
        return replace(self, peeled=max(self.peeled - 1, 0))

    def apart_or_together(self) -> Shown:
        """Move the pieces apart, or together again."""
        return replace(self, apart=not self.apart, playing=False)

    def through_or_solid(self) -> Shown:
        """Let the covering be seen through, or not."""
        return replace(self, see_through=not self.see_through)

    def play(self) -> Shown:
        """Let water run, or stop it where it is; water runs only on pieces that are together."""
        return replace(self, playing=not self.playing, apart=False)

    def slower(self) -> Shown:
        """The next slower speed, down to the slowest."""
        return replace(self, slow=SLOWER[min(SLOWER.index(self.slow) + 1, len(SLOWER) - 1)])

    def faster(self) -> Shown:
        """The next faster speed, up to the true one."""
        return replace(self, slow=SLOWER[max(SLOWER.index(self.slow) - 1, 0)])

    def after(self, seconds: float) -> Shown:
        """So many seconds later; water has gone on if it runs."""
        return replace(self, time=self.time + seconds / self.slow) if self.playing else self

    def home(self) -> Shown:
        """As at the beginning, but for the speed."""
        start = Shown(self.views, self.leaks, self.dressed, slow=self.slow)
        return replace(start, sent=self.sent + 1)
