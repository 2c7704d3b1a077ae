"""A cure: what is changed, what that does, what it takes; and the same in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import degrees, isfinite
from typing import Any

from scenes.cures.check import Fall
from scenes.cures.keys import changed_keys, unit_of
from scenes.cures.lever import WORDS, Lever, Work
from scenes.cures.made import Made
from scenes.cures.measures import DEGREES_STEP
from scenes.cures.words import Length, grouped, joined, length_words
from scenes.faults.asked import parsed
from sim.wind_inputs import MOST_GUST

LEAST_METAL = 0.05
"""Less metal is none [kg]."""
FAR_FEWER = 3
"""Times as many pieces cut anew make one cure not worth telling beside another."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cure:
    """One cure, checked. leaks, laps: the ids that it is for; levers and their values; was and now: what
    is made; stood: the least gust [m/s] that brings any of those leaks now; stands: that then brings any
    but the other leaks; None where none was looked for, inf for none; lengths: of the laps after it [m],
    by their ids, and what they need; short: the same before it; metal: more of it [kg]; anew: pieces that
    are cut anew; falls: directions from which it stands less than before; others: whether there are
    leaks that it isn't for."""

    leaks: tuple[int, ...]
    laps: tuple[int, ...]
    levers: tuple[Lever, ...]
    values: tuple[float, ...]
    was: Made
    now: Made
    stands: float | None
    stood: float | None
    lengths: Mapping[int, Length]
    short: Mapping[int, Length]
    metal: float
    anew: tuple[str, ...]
    falls: tuple[Fall, ...] = ()
    others: bool = False

    @property
    def work(self) -> Work:
        """The hardest work in it."""
        return max(lever.work for lever in self.levers)

    @property
    def rank(self) -> tuple[Any, ...]:
        """Cures are told in this order: by work, metal, pieces; words last, so that none are equal."""
        steps = len(self.levers)
        return self.work, steps, round(max(self.metal, 0.0), 2), len(self.anew), self.what

    @property
    def what(self) -> str:
        """What is changed: "side cover 150 -> 190 mm"."""
        return " and ".join(
            change_words(lever, value)
            for lever, value in zip(self.levers, self.values, strict=True)
        )

    def words(self, material: str) -> str:
        """What is changed, what that does, and what it takes, in one line."""
        return f"{self.what}: {self.does()}. {self.takes(material)}"

    def does(self) -> str:
        """What it does, and its price: "stands 31 m/s instead of 22"."""
        told = []
        if self.stood is not None and self.stands is not None:
            then = f"{self.stands:.1f}" if isfinite(self.stands) else f"over {MOST_GUST:g}"
            told.append(f"stands {then} m/s instead of {self.stood:.1f}")
        elif self.leaks:
            told.append("keeps this weather's rain out" + " there" * self.others)
        if self.lengths:
            many = "the laps are" if len(self.lengths) > 1 else "the lap is"
            told.append(f"{many} {length_words(self.short, self.lengths)}")
        price = [joined([one.words() for one in self.falls])] if self.falls else []
        return "; but ".join([", and ".join(told), *price])

    def takes(self, material: str) -> str:
        """What it takes: "1.9 kg more lead code 4; cut anew: left side flashing."."""
        metal = f"{self.metal:.1f} kg more {material}"
        if abs(self.metal) < LEAST_METAL:
            metal = "No more metal"
        elif self.metal < 0:
            metal = f"{-self.metal:.1f} kg less {material}"
        work = WORDS[self.work]
        if self.work is Work.ANEW:
            work = f"cut anew: {', '.join(grouped(self.anew))}"
        elif self.anew:
            work = f"{work}, and cut anew: {', '.join(grouped(self.anew))}"
        return f"{metal}; {work}."

    def to_dict(self, material: str) -> dict[str, Any]:
        """What findings.json holds of it."""
        return {
            "leaks": list(self.leaks),
            "laps": list(self.laps),
            "what": self.what,
            "does": self.does(),
            "takes": self.takes(material),
            "changes": changes(self.was, self.now),
            "stood_m_s": _gust(self.stood),
            "stands_m_s": _gust(self.stands),
            "lap_lengths_mm": {
                str(lap): round(length * 1000, 1) for lap, (length, _) in self.lengths.items()
            },
            "metal_kg": round(self.metal, 2) + 0.0,
            "cut_anew": list(self.anew),
            "work": WORDS[self.work],
        }


def worth_it(cures: Sequence[Cure]) -> list[Cure]:
    """Cures without those for which another one does: one that is for more and takes no more, or that
    takes no more work and metal and far fewer pieces cut anew. Nobody takes off a whole side where one
    strip will do."""

    def instead(other: Cure, one: Cure) -> bool:
        as_good = {*one.leaks} <= {*other.leaks} and {*one.laps} <= {*other.laps}
        if other.work > one.work or other.metal > one.metal + LEAST_METAL or not as_good:
            return False
        more = len(other.leaks) + len(other.laps) > len(one.leaks) + len(one.laps)
        pieces, instead_of = len(other.anew), len(one.anew)
        more = more and len(other.falls) <= len(one.falls) and len(other.levers) <= len(one.levers)
        return (more and pieces <= instead_of) or FAR_FEWER * max(pieces, 1) < instead_of

    return [one for one in cures if not any(instead(other, one) for other in cures)]


def change_words(lever: Lever, value: float) -> str:
    """A lever and its value: "side cover 150 -> 190 mm", and what is usual where that is more; what is to
    be done, where it is or isn't."""
    if lever.whole:
        return lever.words
    beside = f", {lever.beside}" if lever.beside and lever.past_right(value) else ""
    angle = lever.step == DEGREES_STEP
    now, then, usual = (
        "" if one is None else f"{degrees(one):.3g}" if angle else f"{one * 1000:.0f}"
        for one in (lever.start, value, lever.usual)
    )
    less = f" ({usual} is usual)" if lever.short_of_usual(value) else ""
    return f"{lever.words} {now} -> {then} {'degrees' if angle else 'mm'}{less}{beside}"


def changes(was: Made, now: Made) -> list[dict[str, Any]]:
    """Each key of the scene's file that a cure changes, and each fault that it puts right."""
    rows = [
        {"key": _key(place), "was": one, "now": two, "unit": unit_of(place[-1])}
        for place, (one, two) in changed_keys(was.detail, now.detail).items()
    ]
    left = {parsed(text).label: parsed(text) for text in now.faults}
    for asked in (parsed(text) for text in was.faults):
        then = left.get(asked.label)
        if then is None or then.amount != asked.amount:
            unit = asked.fault.unit or None
            amount = None if then is None else then.amount
            rows.append(
                {"key": f'--fault "{asked.label}"', "was": asked.amount if unit else "there",
                 "now": "none" if then is None else amount, "unit": unit}
            )  # fmt: skip
    return rows


def _key(place: Sequence[str]) -> str:
    return place[0] if len(place) == 1 else f"[{place[0]}] {place[1]}"


def _gust(gust: float | None) -> float | None:
    return None if gust is None or not isfinite(gust) else round(gust, 2)
