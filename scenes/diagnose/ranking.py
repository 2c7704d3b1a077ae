"""Suspects in the order of their probability after what was seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scenes.diagnose.likelihood import likelihood, posterior
from scenes.diagnose.suspects import Suspect
from scenes.diagnose.trial import Tried
from scenes.weather_words import After

SEEN_BEFORE: Final = 0.2
"""How often water that gets in in any rain is told of as coming with wind, or with a blocked gutter,
only. An assumption."""


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What was seen. damp (k, 2) [m]: places in plan; after: the weather, None where nobody knows; winds:
    numbers of the trials' winds that may have blown, None for all; area: of the ceiling [m2]."""

    damp: NDArray[np.float64]
    after: After | None
    winds: tuple[int, ...] | None
    area: float

    def likelihood(self, tried: Tried) -> float:
        """How likely all this is with what was tried."""
        known: tuple[After, ...] = ("calm", "driving") if self.after is None else (self.after,)
        told = sum(self._of(tried, after) for after in known) / len(known)
        only_then = self.after in ("driving", "blocked")
        return told * (SEEN_BEFORE if only_then and len(tried.calm) else 1.0)

    def _of(self, tried: Tried, after: After) -> float:
        states = list(tried.states(after, self.winds).values())
        return likelihood(states, self.damp, self.area)


@dataclass(frozen=True, slots=True, eq=False)
class Ranked:
    """A suspect of any size. number: of the likeliest of its sizes, among all; probability: of all its
    sizes together."""

    number: int
    suspect: Suspect
    tried: Tried
    probability: float


def ranked(suspects: Sequence[Suspect], tried: Sequence[Tried], evidence: Evidence) -> list[Ranked]:
    """The suspects that can be built, the likeliest first; sizes of one count together.

    A suspect has to answer for water that doesn't come in without it. tried: of each suspect; the rows
    hold what each has to answer for.
    """
    right = next(one for who, one in zip(suspects, tried, strict=True) if not who.faults)
    tried = [
        one if one.wrong or not who.faults else one.beyond(right)
        for who, one in zip(suspects, tried, strict=True)
    ]
    built = [number for number, one in enumerate(tried) if not one.wrong]
    chances = posterior(
        [suspects[number].prior for number in built],
        [evidence.likelihood(tried[number]) for number in built],
    )
    groups: dict[tuple[tuple[str, str], ...], list[tuple[float, int]]] = {}
    for number, chance in zip(built, chances.tolist(), strict=True):
        groups.setdefault(suspects[number].key, []).append((chance, number))
    rows = []
    for sizes in groups.values():
        _, best = max(sizes, key=lambda one: (one[0], -one[1]))
        total = sum(chance for chance, _ in sizes)
        rows.append(Ranked(best, suspects[best], tried[best], total))
    return sorted(rows, key=lambda row: (-row.probability, row.number))
